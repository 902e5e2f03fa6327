package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// taxOn returns the tax of the ways to go on with a job, by way.
func taxOn(t *testing.T, owner *client, job, more string) map[string]openapi.SumLine {
	t.Helper()
	lines := map[string]openapi.SumLine{}
	for _, w := range want[openapi.CostToGo](t, owner.do(http.MethodGet, "/v1/jobs/"+job+
		"/cost-to-go?sale=18000.00&parts_sale=900.00&parts_hours=12"+more, nil),
		http.StatusOK).Ways {
		for _, l := range w.Lines {
			if l.Item == "tax" {
				lines[string(w.Way)] = l
			}
		}
	}
	return lines
}

// Computed by hand with 20 %: 18000 bought for 3000 holds 15000 ÷ 6 = 2500 of tax, and with nothing
// known of the purchase 18000 ÷ 6 = 3000. A premium of 600 counts: 14400 ÷ 6 = 2400. Tax of the
// seller's bill bars the scheme.
func TestTheTaxOnASaleFollowsFromTheRecordedPurchase(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		name      string
		owner     string
		offer     bool
		purchase  map[string]any
		more, tax string
		says      string
	}{
		{"nothing is recorded", "stock", false, nil, "", "-3000.00", "not known"},
		{"given", "stock", false, nil, "&bought_for=3000.00", "-2500.00", "given in the request"},
		{"bought by an offer", "offered", true, nil, "", "-2500.00", "recorded when it was bought"},
		{
			"with a premium", "offered", true,
			map[string]any{"premium": amount("600.00")},
			"",
			"-2400.00", "with its premium",
		},
		{
			"what is given counts first", "offered", true,
			map[string]any{"premium": amount("600.00")},
			"&bought_for=6000.00", "-2000.00", "given in the request",
		},
		{
			"entered without a bid", "stock", false,
			map[string]any{"price": amount("2400.00"), "premium": amount("600.00")},
			"", "-2500.00",
			"with its premium",
		},
		{
			"tax on the seller's bill", "stock", false,
			map[string]any{"price": amount("2400.00"), "tax": amount("480.00")},
			"", "-3000.00",
			"no margin scheme",
		},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			owner := openShop(t).as(domain.Owner)
			set := owner.do(http.MethodGet, "/v1/workshop", nil)
			w := want[map[string]any](t, set, http.StatusOK)
			for _, k := range []string{"version", "created_at", "id"} {
				delete(w, k)
			}
			w["terms"] = with(w["terms"].(map[string]any), map[string]any{
				"tax_regime": "margin", "tax_rate": "0.2",
			})
			want[openapi.Workshop](t, owner.do(http.MethodPut, "/v1/workshop", w,
				"If-Match: "+set.header.Get("ETag")), http.StatusOK)
			i, s := surveyedOf(t, owner, x.owner)
			if x.offer {
				bid := bidOn(t, owner, s, nil)
				want[openapi.BidOffer](t, owner.do(http.MethodPost, "/v1/bids/"+bid.ID.String()+"/offers",
					with(bought("K-7"), map[string]any{"amount": amount("3000.00")})), http.StatusCreated)
			}
			if x.purchase != nil {
				want[openapi.CostDocument](t, owner.do(http.MethodPost,
					"/v1/instruments/"+i.ID.String()+"/purchase", x.purchase), http.StatusCreated)
			}
			sc := want[openapi.Scope](t, owner.do(http.MethodPost,
				"/v1/instruments/"+i.ID.String()+"/scopes",
				map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
			j := want[openapi.Job](t, owner.do(http.MethodPost, "/v1/jobs",
				map[string]any{"scope": sc.ID, "accepted_on": domain.DateOf(i.CreatedAt).String()}),
				http.StatusCreated)
			got := taxOn(t, owner, j.ID.String(), x.more)["go_on"]
			if got.Amount.Amount != x.tax || !strings.Contains(got.Basis, x.says) {
				t.Errorf("tax %s, %q; want %s that says %q", got.Amount.Amount, got.Basis, x.tax, x.says)
			}
		})
	}
}
