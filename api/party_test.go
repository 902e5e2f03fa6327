package api_test

import (
	"net/http"
	"net/url"
	"testing"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/openapi"

	"github.com/google/uuid"
)

// TestAClientsPianosAreListedByTheClientAndSorted records two pianos of a client beside another
// piano, and reads the client's by maker, a page at a time.
func TestAClientsPianosAreListedByTheClientAndSorted(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	client := uuid.Must(uuid.NewV7())
	path := "/v1/parties/" + client.String()
	want[openapi.Party](t,
		manager.do(http.MethodPut, path, map[string]any{"name": "Ines Ferradal"}, "If-None-Match: *"),
		http.StatusCreated)
	want[openapi.Party](t,
		manager.do(http.MethodPut, path, map[string]any{"name": "Ines Ferradal"}, "If-None-Match: *"),
		http.StatusOK)
	p := want[openapi.Party](t,
		manager.do(http.MethodPut, path, map[string]any{"name": "Ines Ferradal", "phone": "+351 0"},
			`If-Match: "v1"`),
		http.StatusOK)
	if p.Phone != "+351 0" || p.Version != 2 {
		t.Errorf("changed to %+v", p)
	}
	for _, maker := range []string{"Wren & Cole", "aldermere", "Østergren"} {
		i := with(wornGrand(), map[string]any{"maker": maker, "owner": "client"})
		if maker != "Østergren" {
			i["party"] = client
		}
		made := want[openapi.Instrument](t, manager.do(http.MethodPost, "/v1/instruments", i),
			http.StatusCreated)
		if made.State != openapi.State(instrument.Waiting) {
			t.Errorf("%s is %s, want it waiting", maker, made.State)
		}
	}
	var got []string
	query := url.Values{
		"party": {client.String()}, "sort": {"maker"}, "state": {"waiting"}, "limit": {"1"},
	}
	for {
		page := want[openapi.InstrumentPage](t,
			manager.do(http.MethodGet, "/v1/instruments?"+query.Encode(), nil), http.StatusOK)
		for _, i := range page.Items {
			got = append(got, i.Maker)
		}
		if page.NextCursor == "" || len(got) > 3 {
			break
		}
		query.Set("cursor", page.NextCursor)
	}
	if len(got) != 2 || got[0] != "aldermere" || got[1] != "Wren & Cole" {
		t.Errorf("the client's pianos by maker are %q", got)
	}
	found := want[openapi.PartyPage](t, manager.do(http.MethodGet, "/v1/parties?name=ines", nil),
		http.StatusOK)
	if len(found.Items) != 1 || found.Items[0].ID != client {
		t.Errorf("by the beginning of the name %v is found", found.Items)
	}
}
