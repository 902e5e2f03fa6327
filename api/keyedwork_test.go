package api_test

import (
	"net/http"
	"testing"

	"bentside/openapi"
)

// A request under a key runs again once its result is computed, with the body that was sent.
func TestWhatIsWorkedOutUnderAKeyIsWorkedOutOnce(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	c := s.as("owner")
	_, scope := clientsGrand(t, c)
	key := `Idempotency-Key: "one"`
	bid := map[string]any{"survey": scope.Survey, "ways": []any{
		map[string]any{"depth": "recondition", "sale_price": amount("9000.00")},
	}}
	path := "/v1/instruments/" + scope.Instrument.String() + "/bids"
	first := want[openapi.Bid](t, c.do(http.MethodPost, path, bid, key), http.StatusCreated)
	again := want[openapi.Bid](t, c.do(http.MethodPost, path, bid, key), http.StatusCreated)
	if first.ID != again.ID {
		t.Errorf("sent again: bid %s, want %s", again.ID, first.ID)
	}
	list := want[openapi.BidPage](t, c.do(http.MethodGet, path, nil), http.StatusOK)
	if len(list.Items) != 1 {
		t.Errorf("%d bids were worked out, want 1", len(list.Items))
	}
	plan := map[string]any{"schedules": 1}
	one := want[openapi.Plan](t, c.do(http.MethodPost, "/v1/plan", plan, key), http.StatusCreated)
	two := want[openapi.Plan](t, c.do(http.MethodPost, "/v1/plan", plan, key), http.StatusCreated)
	if one.ID != two.ID {
		t.Errorf("sent again: plan %s, want %s", two.ID, one.ID)
	}
}
