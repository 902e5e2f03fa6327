import bentside.client.ApiClient;
import bentside.client.ApiException;
import bentside.client.api.BuyingApi;
import bentside.client.model.Kind;
import bentside.client.model.Ownership;

/** Uses the generated client: lists the grands that the workshop owns. */
public final class Use {
  public static void main(String[] args) throws ApiException {
    ApiClient client = new ApiClient();
    client.updateBaseUri(System.getenv("BENTSIDE_URL"));
    client.setRequestInterceptor(
        request -> request.header("Authorization", "Bearer " + System.getenv("BENTSIDE_TOKEN")));
    var page = new BuyingApi(client).listInstruments(
        Ownership.STOCK, Kind.GRAND, null, null, null, null, null, null, null, null, null);
    for (var i : page.getItems()) {
      System.out.printf("%s, %d mm, %s%n", i.getMaker(), i.getSizeMm(), i.getState());
    }
  }
}
