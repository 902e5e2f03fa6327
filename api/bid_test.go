package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// restoreFor returns a way that restores for a likely price within a sixth either way.
func restoreFor(likely string) map[string]any {
	price := decimal.RequireFromString(likely)
	sixth := price.Div(decimal.NewFromInt(6)).Round(0)
	return map[string]any{
		"depth": "restore", "sale_low": amount(price.Sub(sixth).StringFixed(2)),
		"sale_price": amount(likely), "sale_high": amount(price.Add(sixth).StringFixed(2)),
	}
}

// bidOn asks for a bid on an instrument, restored.
func bidOn(t testing.TB, c *client, s openapi.Survey, changes map[string]any) openapi.Bid {
	t.Helper()
	body := with(map[string]any{"survey": s.ID, "ways": []any{restoreFor("48000.00")}}, changes)
	return want[openapi.Bid](t,
		c.do(http.MethodPost, "/v1/instruments/"+s.Instrument.String()+"/bids", body), http.StatusCreated)
}

func TestEachFormOfAcquisitionIsBidFor(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	_, s := surveyed(t, buyer)
	bought := bidOn(t, buyer, s, map[string]any{"seller_asks": amount("4000.00")})
	if n := bought.Ways[0].Negotiation; bought.Form != "purchase" || n == nil ||
		n.WalkAway == nil ||
		n.Asked.ReturnPerMonth == nil {
		t.Errorf("bought: form %s, negotiation %+v", bought.Form, n)
	}
	consigned := bidOn(t, buyer, s, map[string]any{
		"form": "consigned", "consignment": map[string]any{"owner_bears": amount("2500.00")},
	})
	if c := consigned.Ways[0].Commissions; consigned.Form != "consigned" || c == nil ||
		c.Aim == nil || !c.Aim.Share.IsPositive() {
		t.Errorf("consigned: form %s, commissions %+v", consigned.Form, c)
	}
	exchanged := bidOn(t, buyer, s, map[string]any{
		"form":        "part_exchange",
		"other_sale":  map[string]any{"price": amount("15000.00"), "paid": amount("6000.00")},
		"seller_asks": amount("4000.00"),
	})
	if e := exchanged.Ways[0].Exchanges; e == nil || e.Asked == nil ||
		e.Asked.Cash.Amount != "11000.00" || e.Asked.OtherTax.Note == "" {
		t.Errorf("part exchange: %+v", e)
	}
	exact := func(v string) map[string]any {
		return map[string]any{"low": amount(v), "likely": amount(v), "high": amount(v)}
	}
	donor := bidOn(t, buyer, s, map[string]any{
		"form": "donor", "ways": nil,
		"donor": map[string]any{
			"parts": []any{
				map[string]any{"name": "action", "worth": exact("900.00"), "usable": "0.8"},
				map[string]any{"name": "legs and lyre", "worth": exact("350.00"), "usable": "1"},
			},
			"hours": map[string]any{"low": "4", "likely": "6", "high": "10"}, "skill": "general",
			"disposal": amount("90.00"),
		},
	})
	if w := donor.Ways[0]; w.SalePrice.Amount != "1070.00" || len(w.Parts) != 2 ||
		w.Negotiation == nil || w.Negotiation.Aim == nil {
		t.Errorf("donor: sale %v, parts %+v, negotiation %+v", w.SalePrice, w.Parts, w.Negotiation)
	}
	for _, b := range []openapi.Bid{bought, consigned, exchanged, donor} {
		again := want[openapi.Recomputation](t,
			buyer.do(http.MethodPost, "/v1/bids/"+b.ID.String()+"/recomputation", nil), http.StatusOK)
		if !again.Identical {
			t.Errorf("the bid of form %s does not recompute: %s", b.Form, again.Says)
		}
	}
}

func TestATalkIsRecordedStepByStepUntilTheInstrumentIsOurs(t *testing.T) {
	t.Parallel()
	shop := openShop(t)
	buyer := shop.as(domain.Buyer)
	i, s := surveyed(t, buyer)
	bid := bidOn(t, buyer, s, nil)
	path := "/v1/bids/" + bid.ID.String() + "/offers"
	walkAway := bid.Ways[0].Negotiation.WalkAway.Sums.Price.Amount
	for _, step := range []map[string]any{
		{"kind": "offered", "amount": amount("100.00")},
		{"kind": "countered", "amount": amount("4000.00"), "note": "wants it gone by Friday"},
		{"kind": "refused"},
		{"kind": "offered", "amount": amount(walkAway)},
	} {
		want[openapi.BidOffer](t, buyer.do(http.MethodPost, path, step), http.StatusCreated)
	}
	above := amount(decimal.RequireFromString(walkAway).Add(decimal.NewFromInt(1)).StringFixed(2))
	end := map[string]any{"kind": "bought", "amount": above, "stock_number": "K-200"}
	p := wantProblem(t, buyer.do(http.MethodPost, path, end),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/reason" ||
		!strings.Contains(p.Errors[0].Detail, walkAway) {
		t.Errorf("above the walk-away without a reason: %+v", p.Errors)
	}
	end["reason"], end["tax_shown"] = "a client waits for one like it", true
	made := want[openapi.BidOffer](t, buyer.do(http.MethodPost, path, end), http.StatusCreated)
	if made.Amount == nil || made.Amount.Amount != above["amount"] || made.StockNumber != "K-200" ||
		made.Depth != "restore" {
		t.Errorf("kept as %+v", made)
	}
	if got := made.OpenRegimes; len(got) != 1 || got[0] != openapi.TaxRegimeNone {
		t.Errorf("to a workshop that isn't registered, %v is open for the sale", got)
	}
	now := want[openapi.Instrument](t, buyer.do(http.MethodGet, "/v1/instruments/"+i.ID.String(), nil),
		http.StatusOK)
	if now.Owner != "stock" || now.StockNumber != "K-200" || now.State != "waiting" ||
		now.Version != i.Version+1 {
		t.Errorf("the instrument is now %+v", now)
	}
	p = wantProblem(t, buyer.do(http.MethodPost, path, map[string]any{"kind": "lost"}),
		http.StatusConflict, "conflict")
	if !strings.Contains(p.Detail, "bought") {
		t.Errorf("after the end: %q", p.Detail)
	}
	list := want[openapi.BidOfferPage](t,
		shop.as(domain.Bookkeeper).do(http.MethodGet, path+"?limit=4", nil), http.StatusOK)
	if len(list.Items) != 4 || list.Items[1].Note != "wants it gone by Friday" ||
		list.NextCursor == "" {
		t.Errorf("the negotiation reads %+v", list)
	}
	rest := want[openapi.BidOfferPage](t,
		shop.as(domain.Bookkeeper).do(http.MethodGet, path+"?cursor="+list.NextCursor, nil),
		http.StatusOK)
	if len(rest.Items) != 1 || rest.Items[0].Kind != "bought" ||
		!slices.Equal(rest.Items[0].OpenRegimes, made.OpenRegimes) {
		t.Errorf("its end reads %+v", rest)
	}
}

// The rule: an offer between aim and walk-away warns and is taken.
func TestAnOfferAboveTheAimIsRecordedAndWarnsOfWhatItLeaves(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	_, s := surveyed(t, buyer)
	b := bidOn(t, buyer, s, nil)
	n := b.Ways[0].Negotiation
	offer := func(price string) openapi.BidOffer {
		return want[openapi.BidOffer](t, buyer.do(
			http.MethodPost, "/v1/bids/"+b.ID.String()+"/offers",
			map[string]any{"kind": "offered", "amount": amount(price)},
		), http.StatusCreated)
	}
	if w := offer(n.Aim.Sums.Price.Amount).Warning; w != nil {
		t.Errorf("at the price to aim for warned of %+v", w)
	}
	last := n.WalkAway.Sums
	above := decimal.RequireFromString(last.Price.Amount).
		Sub(decimal.RequireFromString(n.Aim.Sums.Price.Amount)).StringFixed(2)
	w := offer(last.Price.Amount).Warning
	if w == nil || w.AboveAim.Amount != above || w.Profit.Amount != last.Profit.Amount ||
		w.TargetProfit.Amount != b.Ways[0].TargetProfit.Amount ||
		!w.ChanceOfLoss.Equal(n.WalkAway.ChanceOfLoss) || !strings.Contains(w.Says, above) {
		t.Errorf("at the walk-away price of %s warned of %+v", last.Price.Amount, w)
	}
	list := want[openapi.BidOfferPage](
		t, buyer.do(http.MethodGet, "/v1/bids/"+b.ID.String()+"/offers", nil), http.StatusOK,
	)
	if len(list.Items) != 2 {
		t.Errorf("recorded %+v", list.Items)
	}
}

func TestAStockNumberThatIsTakenIsRefusedByName(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{
			"maker": "Aldermere", "serial": "55", "owner": "stock", "stock_number": "K-118",
		})), http.StatusCreated)
	i, s := surveyed(t, owner)
	bid := bidOn(t, owner, s, nil)
	path := "/v1/bids/" + bid.ID.String() + "/offers"
	end := map[string]any{"kind": "bought", "amount": amount("100.00"), "stock_number": "K-118"}
	before := len(feed(t, owner))
	p := wantProblem(t, owner.do(http.MethodPost, path, end), http.StatusConflict, "conflict")
	if !strings.Contains(p.Detail, "K-118") || !strings.Contains(p.Detail, "Aldermere") {
		t.Errorf("refused with %q, want the number and who has it", p.Detail)
	}
	now := want[openapi.Instrument](t, owner.do(http.MethodGet, "/v1/instruments/"+i.ID.String(), nil),
		http.StatusOK)
	if now.Owner != "offered" || len(feed(t, owner)) != before {
		t.Errorf("the refused purchase left the instrument as %s", now.Owner)
	}
	list := want[openapi.BidOfferPage](t, owner.do(http.MethodGet, path, nil), http.StatusOK)
	if len(list.Items) != 0 {
		t.Errorf("the refused purchase is in the negotiation: %+v", list.Items)
	}
}

// What stops a purchase stops a consignment too, and its owner's piano isn't taken in on it.
func TestATwistedStructureIsNoMoreTakenInOnConsignmentThanBought(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, _ := surveyed(t, owner)
	s := want[openapi.Survey](t,
		owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/surveys", map[string]any{
			"taken_on": "2026-02-26", "findings": append([]any{
				map[string]any{"point": "SV-54", "value": "4"},
			}, soundStops("SV-54")...),
		}), http.StatusCreated)
	b := bidOn(t, owner, s, map[string]any{
		"form": "consigned", "consignment": map[string]any{"owner_bears": amount("0.00")},
	})
	if w := b.Ways[0]; w.Outcome != "stopped" || w.Commissions != nil || len(w.Stops) != 1 ||
		w.Stops[0].Stop != "structure-twisted" {
		t.Errorf("%s with %+v, stopped by %+v", w.Outcome, w.Commissions, w.Stops)
	}
	wantProblem(t,
		owner.do(http.MethodPost, "/v1/bids/"+b.ID.String()+"/offers",
			map[string]any{"kind": "taken_in", "amount": amount("100.00")}),
		http.StatusConflict, "conflict")
}

func TestAConsignedInstrumentStaysItsOwnersAndALostOneIsLetGo(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, s := surveyed(t, owner)
	lost := bidOn(t, owner, s, nil)
	consigned := bidOn(t, owner, s, map[string]any{
		"form": "consigned", "consignment": map[string]any{"owner_bears": amount("0.00")},
	})
	path := "/v1/bids/" + consigned.ID.String() + "/offers"
	p := wantProblem(t,
		owner.do(http.MethodPost, path, map[string]any{
			"kind": "bought", "amount": amount("100.00"), "stock_number": "K-9",
		}),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/kind" {
		t.Errorf("buying what is consigned: %+v", p.Errors)
	}
	want[openapi.BidOffer](t,
		owner.do(http.MethodPost, "/v1/bids/"+lost.ID.String()+"/offers", map[string]any{
			"kind": "lost", "amount": amount("9000.00"),
		}),
		http.StatusCreated)
	if now := want[openapi.Instrument](t,
		owner.do(http.MethodGet, "/v1/instruments/"+i.ID.String(), nil),
		http.StatusOK); now.State != "let_go" {
		t.Errorf("lost, it is %s", now.State)
	}
	want[openapi.BidOffer](t,
		owner.do(http.MethodPost, path, map[string]any{"kind": "taken_in", "amount": amount("100.00")}),
		http.StatusCreated)
	now := want[openapi.Instrument](t, owner.do(http.MethodGet, "/v1/instruments/"+i.ID.String(), nil),
		http.StatusOK)
	if now.Owner != "client" || now.State != "waiting" {
		t.Errorf("taken in, it is %s and %s", now.Owner, now.State)
	}
}
