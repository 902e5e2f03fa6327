package api_test

import (
	"fmt"
	"net/http"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// wantInStates checks that a list filtered by each state of the contract holds just those that are
// in it, the newest first, and that there are some in every state.
func wantInStates(t *testing.T, c *client, operation, path string, made map[string][]string) {
	t.Helper()
	for _, o := range contractOperations(t) {
		if o.OperationID != operation {
			continue
		}
		for _, v := range o.Parameters.GetByInAndName("query", "state").Schema.Value.Enum {
			state := fmt.Sprint(v)
			page := want[struct {
				Items []struct{ ID, State string } `json:"items"`
			}](t, c.do(http.MethodGet, path+"?state="+state, nil), http.StatusOK)
			var got []string
			for _, x := range page.Items {
				got = append(got, x.ID)
				if x.State != state {
					t.Errorf("%s by %s shows one that is %s", path, state, x.State)
				}
			}
			newest := slices.Clone(made[state])
			slices.Reverse(newest)
			if len(newest) == 0 || !slices.Equal(got, newest) {
				t.Errorf("%s by %s\n got %v\nwant %v", path, state, got, newest)
			}
		}
	}
}

func TestBidsAreListedByWhereTheirNegotiationStands(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	made := map[string][]string{}
	negotiate := func(state string, bid map[string]any, steps ...map[string]any) {
		t.Helper()
		_, s := surveyed(t, buyer)
		b := bidOn(t, buyer, s, bid)
		for _, step := range steps {
			want[openapi.BidOffer](t, buyer.do(http.MethodPost, "/v1/bids/"+b.ID.String()+"/offers",
				step), http.StatusCreated)
		}
		made[state] = append(made[state], b.ID.String())
	}
	offered := map[string]any{"kind": "offered", "amount": amount("100.00")}
	countered := map[string]any{"kind": "countered", "amount": amount("4000.00")}
	bought := func(number string) map[string]any {
		return map[string]any{
			"kind": "bought", "amount": amount("100.00"), "stock_number": number,
		}
	}
	consigned := map[string]any{
		"form": "consigned", "consignment": map[string]any{"owner_bears": amount("2500.00")},
	}
	takenIn := map[string]any{"kind": "taken_in", "amount": amount("100.00")}
	for _, number := range []string{"K-1", "K-2"} {
		negotiate("open", nil)
		negotiate("bought", nil, offered, countered, bought(number))
		negotiate("open", nil, offered, countered, map[string]any{"kind": "refused"})
		negotiate("taken_in", consigned, takenIn)
		negotiate("open", consigned, offered)
		negotiate("lost", nil, map[string]any{"kind": "lost"})
		negotiate("lost", consigned, offered, map[string]any{"kind": "lost", "amount": amount("900.00")})
	}
	wantInStates(t, buyer, "listBids", "/v1/bids", made)
}

// TestQuotationsAreListedByWhereTheyStandToday looks on the day after the last one of some: an
// answer stays, and the last day itself still counts.
func TestQuotationsAreListedByWhereTheyStandToday(t *testing.T) {
	t.Parallel()
	monday := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	var now atomic.Pointer[time.Time]
	now.Store(&monday)
	manager := openShopAt(t, func() time.Time { return *now.Load() }).as(domain.Manager)
	day := domain.DateOf(monday)
	made := map[string][]string{}
	quote := func(state string, until domain.Date, answer map[string]any) {
		t.Helper()
		party, scope := clientsGrand(t, manager)
		draft := map[string]any{
			"party": party.ID, "valid_until": until.String(), "deposit": amount("0.00"),
			"options": []any{map[string]any{
				"scope": scope.ID, "title": "Reconditioned", "net": amount("4200.00"), "tax_rate": "0.23",
			}},
		}
		path := "/v1/instruments/" + scope.Instrument.String() + "/quotations"
		q := want[openapi.Quotation](t, manager.do(http.MethodPost, path, draft), http.StatusCreated)
		if state == "replaced" {
			draft["valid_until"], draft["replaces"] = day.AddDays(30).String(), []any{q.ID}
			by := want[openapi.Quotation](t, manager.do(http.MethodPost, path, draft), http.StatusCreated)
			made[state] = append(made[state], q.ID.String())
			state, q = "open", by
		}
		if answer != nil {
			want[openapi.Quotation](t, manager.do(http.MethodPost, "/v1/quotations/"+q.ID.String()+
				"/answer", with(answer, map[string]any{"on": day.String()})), http.StatusCreated)
		}
		made[state] = append(made[state], q.ID.String())
	}
	yes, no := map[string]any{"accepted": true, "option": 1}, map[string]any{"accepted": false}
	for _, until := range []domain.Date{day, day.AddDays(9)} {
		quote("accepted", until, yes)
		quote("expired", until, nil)
		quote("declined", until, no)
		quote("open", day.AddDays(10), nil)
		quote("declined", day.AddDays(30), no)
		quote("replaced", until, nil)
		quote("open", day.AddDays(30), nil)
		quote("accepted", day.AddDays(30), yes)
	}
	later := monday.AddDate(0, 0, 10)
	now.Store(&later)
	wantInStates(t, manager, "listQuotations", "/v1/quotations", made)
}
