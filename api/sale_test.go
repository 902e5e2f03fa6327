package api_test

import (
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
	"bentside/pricing/money"
)

// soldFor sends the sale of the instrument of a case.
func (c costing) soldFor(buyer, price, regime string) openapi.Sale {
	c.Helper()
	body := map[string]any{"buyer": buyer, "price": amount(price)}
	if regime != "" {
		body["regime"] = regime
	}
	return want[openapi.Sale](c, c.owner.do(http.MethodPost, c.at+"/sales", body), http.StatusCreated)
}

func (c costing) outcome() openapi.InstrumentOutcome {
	c.Helper()
	a := c.owner.do(http.MethodGet, c.at+"/outcome", nil)
	return want[openapi.InstrumentOutcome](c, a, http.StatusOK)
}

func (c costing) state() string {
	c.Helper()
	return string(want[openapi.Instrument](c, c.owner.do(http.MethodGet, c.at, nil),
		http.StatusOK).State)
}

// finish closes the job of the case as abandoned, as far as it has come.
func (c costing) finish() {
	c.Helper()
	want[any](c, c.owner.do(http.MethodPost, c.work+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-02", "why": "it plays well enough",
	}), http.StatusOK)
}

// The sale side of the workshop case S-1 (worked example M, row 10, built from the rules of
// costing.md): sold for 9,600.00 on a margin from 4,800.00, tax 800.00, revenue 8,800.00, cost of
// sales 8,429.29, gross profit 370.71. Tax of 195.12 would mean that the restoration was let into
// the margin.
func TestTheSaleOfTheWorkshopCaseOverHTTP(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	c.incurS1(t)
	priced := want[openapi.ShowroomPrice](t, c.owner.do(http.MethodPost, c.at+"/showroom-prices",
		map[string]any{"price": amount("9900.00")}), http.StatusCreated)
	if got := c.outcome(); got.ShowroomPrice == nil || got.ShowroomPrice.ID != priced.ID ||
		got.Account.Carrying.Amount != "8429.29" || got.Account.CostOfSales.Amount != "0.00" {
		t.Errorf("before the sale: %+v", got)
	}
	buyer := c.firm("Edda Rosvall")
	deposit := want[openapi.Deposit](t, c.owner.do(http.MethodPost, c.at+"/deposits", map[string]any{
		"buyer": buyer, "amount": amount("960.00"),
	}), http.StatusCreated)
	if got := c.outcome().Account; deposit.Held.Amount != "960.00" ||
		got.DepositsHeld.Amount != "960.00" || got.NetSales.Amount != "0.00" {
		t.Errorf("a deposit of 960.00 is %s held, %s owed and %s revenue", deposit.Held.Amount,
			got.DepositsHeld.Amount, got.NetSales.Amount)
	}
	x := c.soldFor(buyer, "9600.00", "margin")
	if x.Tax.Due.Amount != "800.00" || x.Tax.Base.Amount != "4800.00" ||
		x.PurchasePrice.Amount != "4800.00" || x.Tax.Note == "" {
		t.Errorf("taxed as %+v from %v, want 800.00 of 4,800.00", x.Tax, x.PurchasePrice)
	}
	if s := x.Sums; s.NetSales.Amount != "8800.00" || s.AtSale.Amount != "8429.29" ||
		s.AfterSale.Amount != "0.00" || s.CostOfSales.Amount != "8429.29" ||
		s.Margin.Amount != "370.71" {
		t.Errorf("the sale comes to %+v, want 8,800.00 less 8,429.29 is 370.71", s)
	}
	if x.Paper.ShowsTax || x.Paper.Wording != "Margin scheme – second-hand goods" {
		t.Errorf("the paper is %+v", x.Paper)
	}
	if x.Deposits.Amount != "960.00" || x.Balance.Amount != "8640.00" {
		t.Errorf("%s was paid before and %s is owed, want 960.00 and 8,640.00", x.Deposits.Amount,
			x.Balance.Amount)
	}
	after := c.outcome()
	if a := after.Account; a.Landed.Amount != "8429.29" || a.Carrying.Amount != "0.00" ||
		a.CostOfSales.Amount != "8429.29" || a.Margin.Amount != "370.71" ||
		a.DepositsHeld.Amount != "0.00" || after.ShowroomPrice != nil || after.State != "sold" {
		t.Errorf("after the sale: %+v", after)
	}
	if w := wantWIP(t, c.owner, ""); w.Posted.Amount != "0.00" || w.Known.Amount != "0.00" {
		t.Errorf("%s and %s are in progress on a piano that is sold", w.Posted.Amount, w.Known.Amount)
	}
	if w := wantWIP(t, c.owner, "2026-03-01"); w.Known.Amount != "2625.00" {
		t.Errorf("%s was in progress the day before as far as is known, want 62.5 h for 2,625.00",
			w.Known.Amount)
	}
	// A late bill goes to cost of sales and shows as after the sale; delivery is a selling expense.
	late := haul{net: "50.00", tax: "10.00", total: "60.00", by: "equally"}
	late.over = []any{over(c.job.Instrument)}
	c.hauled(late)
	c.finish()
	if c.state() != "sold" {
		t.Errorf("it is %s once its job has ended, want sold until it is handed over", c.state())
	}
	path := "/v1/sales/" + x.ID.String()
	given := want[openapi.Sale](t, c.owner.do(http.MethodPost, path+"/hand-over", map[string]any{}),
		http.StatusCreated)
	if given.HandOver == nil || given.HandOver.To.String() != buyer || c.state() != "gone" {
		t.Errorf("handed over as %+v, and it is %s", given.HandOver, c.state())
	}
	c.post(c.at+"/other-costs", map[string]any{
		"kind": "other", "purpose": "delivery", "amount": amount("120.00"), "note": "two men",
	})
	got := want[openapi.Sale](t, c.owner.do(http.MethodGet, path, nil), http.StatusOK)
	if s := got.Sums; s.AtSale.Amount != "8429.29" || s.AfterSale.Amount != "50.00" ||
		s.Margin.Amount != "320.71" || got.Tax.Due.Amount != "800.00" {
		t.Errorf("with a late bill the sale comes to %+v", s)
	}
	if a := c.outcome().Account; a.Selling.Amount != "120.00" || a.Result.Amount != "200.71" {
		t.Errorf("selling %s leaves %s, want 120.00 and 200.71", a.Selling.Amount, a.Result.Amount)
	}
	wantAddedUp(t, c.outcome())
}

// wantAddedUp checks that every figure of an outcome is the sum of others.
func wantAddedUp(tb testing.TB, o openapi.InstrumentOutcome) {
	tb.Helper()
	a := o.Account
	equal := func(what string, got openapi.Money, plus []openapi.Money, minus ...openapi.Money) {
		tb.Helper()
		sum := minorOf(tb, got)
		for _, m := range plus {
			sum -= minorOf(tb, m)
		}
		for _, m := range minus {
			sum += minorOf(tb, m)
		}
		if sum != 0 {
			tb.Errorf("%s is off by %d: %+v", what, sum, a)
		}
	}
	var net, cost []openapi.Money
	for _, x := range o.Sales {
		s := x.Sums
		equal("net sales of a sale", s.NetSales, []openapi.Money{x.Price}, s.Refund, s.Tax,
			s.OwedToOwner, s.OwnerBears)
		equal("cost of a sale", s.CostOfSales, []openapi.Money{s.AtSale, s.AfterSale}, s.CostBack)
		equal("margin of a sale", s.Margin, []openapi.Money{s.NetSales, s.OwnerBears}, s.CostOfSales)
		net, cost = append(net, s.NetSales), append(cost, s.CostOfSales)
	}
	equal("landed", a.Landed, []openapi.Money{
		a.Carrying, a.CostOfSales, a.WrittenDown, a.InParts, a.Lost,
	})
	equal("net sales", a.NetSales, net)
	equal("cost of sales", a.CostOfSales, cost)
	equal("margin", a.Margin, []openapi.Money{a.NetSales, a.Forfeited, a.OwnerBears}, a.CostOfSales,
		a.WrittenDown, a.Lost)
	equal("result", a.Result, []openapi.Money{a.Margin}, a.Selling, a.Other)
}

// minorOf returns an amount in minor units.
func minorOf(tb testing.TB, m openapi.Money) int64 {
	tb.Helper()
	return money.MustParse(m.Amount + " " + m.Currency).Minor()
}

// wantRegimeFault wants a refusal of the regime that says what is open.
func wantRegimeFault(tb testing.TB, a answer, says string) {
	tb.Helper()
	p := wantProblem(tb, a, http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/regime" ||
		!strings.Contains(p.Errors[0].Detail, says) {
		tb.Errorf("got %+v, want a fault at #/regime that says %q", p.Errors, says)
	}
}

// A regime that the purchase closed is refused with what is open: the seller's paper showed tax.
func TestATaxThatThePurchaseClosedIsRefusedWithWhatIsOpen(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	buyer := c.firm("Edda Rosvall")
	sell := func(regime string) answer {
		return c.owner.do(http.MethodPost, c.at+"/sales", map[string]any{
			"buyer": buyer, "price": amount("2400.00"), "regime": regime,
		})
	}
	wantRegimeFault(t, sell("margin"), "must be standard, not margin: no purchase")
	c.post(c.at+"/purchase", map[string]any{"price": amount("1000.00"), "tax": amount("200.00")})
	wantRegimeFault(t, sell("margin"), "must be standard, not margin: the purchase")
	x := want[openapi.Sale](t, sell("standard"), http.StatusCreated)
	// 2,400.00 contains 400.00 at 20 % (the general rule, r/(1+r)).
	if x.Tax.Due.Amount != "400.00" || !x.Paper.ShowsTax || x.PurchasePrice != nil {
		t.Errorf("taxed as %+v on %+v", x.Tax, x.Paper)
	}
}

// Of many sales of one instrument at once, one is taken and each other refused.
func TestOfManySalesAtOnceOneIsTaken(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	c.post(c.at+"/purchase", map[string]any{"price": amount("1000.00")})
	buyers := make([]string, 8)
	for i := range buyers {
		buyers[i] = c.firm("A buyer")
	}
	statuses := make([]int, len(buyers))
	var all sync.WaitGroup
	start := make(chan struct{})
	for i, buyer := range buyers {
		all.Go(func() {
			<-start
			statuses[i] = c.owner.do(http.MethodPost, c.at+"/sales", map[string]any{
				"buyer": buyer, "price": amount("2400.00"), "regime": "margin",
			}).status
		})
	}
	close(start)
	all.Wait()
	slices.Sort(statuses)
	if statuses[0] != http.StatusCreated || statuses[1] != http.StatusConflict ||
		statuses[7] != http.StatusConflict {
		t.Errorf("got %v, want one 201 and seven 409", statuses)
	}
	if got := c.outcome(); len(got.Sales) != 1 {
		t.Errorf("%d sales are recorded", len(got.Sales))
	}
}

// What the law bars is neither offered nor sold, nor kept for a buyer, before the papers are there;
// and papers lapse when the piano comes back, since it has a new owner again.
func TestWhatTheLawBarsIsNeitherOfferedNorSold(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	var mu sync.Mutex
	s := openShopAt(t, func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		now = now.Add(time.Second)
		return now
	})
	owner := s.as(domain.Owner)
	i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{
			"owner": "stock", "covering": "ivory", "country": "GB", "year": 1911,
		})), http.StatusCreated)
	at := "/v1/instruments/" + i.ID.String()
	buyer := newID(t).String()
	want[any](t, owner.do(http.MethodPut, "/v1/parties/"+buyer, map[string]any{"name": "Edda Rosvall"},
		"If-None-Match: *"), http.StatusCreated)
	offer := func() answer {
		return s.as(domain.Buyer).do(http.MethodPost, at+"/showroom-prices",
			map[string]any{"price": amount("9600.00")})
	}
	sell := func() answer {
		return owner.do(http.MethodPost, at+"/sales", map[string]any{
			"buyer": buyer, "price": amount("9600.00"),
		})
	}
	leave := func() answer {
		return owner.do(http.MethodPost, at+"/deposits", map[string]any{
			"buyer": buyer, "amount": amount("960.00"),
		})
	}
	barred := func() {
		t.Helper()
		for _, a := range []answer{offer(), leave(), sell()} {
			p := wantProblem(t, a, http.StatusConflict, "conflict")
			if len(p.Chain) == 0 {
				t.Errorf("the stop isn't named: %+v", p)
			}
		}
	}
	register := func(reference string) {
		t.Helper()
		want[any](t, owner.do(http.MethodPost, at+"/clearances", map[string]any{
			"stop": "ivory-register", "by": "Ines Duarte", "says": "registered", "reference": reference,
			"dated": "2026-02-11",
		}), http.StatusCreated)
	}
	barred()
	register("7QX4-2M")
	want[openapi.ShowroomPrice](t, offer(), http.StatusCreated)
	x := want[openapi.Sale](t, sell(), http.StatusCreated)
	want[openapi.Sale](t, owner.do(http.MethodPost, "/v1/sales/"+x.ID.String()+"/hand-over",
		map[string]any{}), http.StatusCreated)
	want[openapi.Sale](t, owner.do(http.MethodPost, "/v1/sales/"+x.ID.String()+"/return",
		map[string]any{"why": "too large for the room"}), http.StatusCreated)
	barred()
	register("8RY5-3N")
	want[openapi.Sale](t, sell(), http.StatusCreated)
}

// A client's piano isn't ours to offer, nor one that is only on offer to us.
func TestOnlyWhatIsOursIsOffered(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	for _, whose := range []string{"client", "offered"} {
		i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments",
			with(wornGrand(), map[string]any{"owner": whose})), http.StatusCreated)
		wantProblem(t, owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/showroom-prices",
			map[string]any{"price": amount("9600.00")}), http.StatusConflict, "conflict")
	}
}

// An instrument that comes back is ours at what it had cost less what stays, history is as it was,
// and the next sale has the same margin: bought at 1,500.00 and sold at 2,000.00 it owes 83.33
// (gov.uk, VAT margin schemes).
func TestWhatComesBackIsSoldAgainOnItsOldPurchase(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	c.post(c.at+"/purchase", map[string]any{"price": amount("1500.00")})
	c.finish()
	first, second := c.firm("Edda Rosvall"), c.firm("Rosa Lindqvist")
	x := c.soldFor(first, "2000.00", "margin")
	if x.Tax.Due.Amount != "83.33" {
		t.Errorf("tax %s, want 83.33", x.Tax.Due.Amount)
	}
	path := "/v1/sales/" + x.ID.String()
	want[openapi.Sale](t, c.owner.do(http.MethodPost, path+"/hand-over", map[string]any{}),
		http.StatusCreated)
	wantProblem(t, c.owner.do(http.MethodPost, c.at+"/sales", map[string]any{
		"buyer": second, "price": amount("2000.00"), "regime": "margin",
	}), http.StatusConflict, "conflict")
	back := want[openapi.Sale](t, c.owner.do(http.MethodPost, path+"/return", map[string]any{
		"refund": amount("1880.00"), "kept_taxed": true, "cost_stays": amount("100.00"),
		"why": "the lid was scratched",
	}), http.StatusCreated)
	// 120.00 that is kept contains 20.00 at 20 %.
	if r := back.Return; r.Kept.Amount != "120.00" || r.KeptTax.Amount != "20.00" ||
		r.CostOfSales.Amount != "1500.00" || r.CostBack.Amount != "1400.00" {
		t.Errorf("it came back as %+v", r)
	}
	if back.Price.Amount != "2000.00" || back.Tax.Due.Amount != "83.33" ||
		back.Sums.NetSales.Amount != "100.00" || back.Sums.Margin.Amount != "0.00" {
		t.Errorf("the sale is %+v, want it as it was settled, and nothing left of it", back)
	}
	o := c.outcome()
	if o.Account.Carrying.Amount != "1400.00" || o.State != "waiting" {
		t.Errorf("it stands at %s and is %s, want 1,400.00 and waiting", o.Account.Carrying.Amount,
			o.State)
	}
	wantAddedUp(t, o)
	again := c.soldFor(second, "2000.00", "margin")
	if again.Number != 2 || again.Tax.Due.Amount != "83.33" || again.Sums.AtSale.Amount != "1400.00" {
		t.Errorf("sold again as %+v", again)
	}
	wantAddedUp(t, c.outcome())
	wantProblem(t, c.owner.do(http.MethodPost, path+"/return", map[string]any{"why": "again"}),
		http.StatusConflict, "conflict")
}

// A deposit that is forfeited contains tax where the law says so, one that is refunded none; an
// instrument is kept for one buyer at a time.
func TestADepositIsAppliedRefundedOrForfeited(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	first, second := c.firm("Edda Rosvall"), c.firm("Rosa Lindqvist")
	leave := func(buyer, sum string) answer {
		return c.owner.do(http.MethodPost, c.at+"/deposits", map[string]any{
			"buyer": buyer, "amount": amount(sum),
		})
	}
	d := want[openapi.Deposit](t, leave(first, "500.00"), http.StatusCreated)
	wantProblem(t, leave(second, "500.00"), http.StatusConflict, "conflict")
	wantProblem(t, c.owner.do(http.MethodPost, c.at+"/sales", map[string]any{
		"buyer": second, "price": amount("2000.00"),
	}), http.StatusConflict, "conflict")
	release := func(body map[string]any) answer {
		return c.owner.do(http.MethodPost, "/v1/deposits/"+d.ID.String()+"/releases", body)
	}
	want[openapi.Deposit](t, release(map[string]any{
		"how": "refunded", "amount": amount("380.00"), "why": "half way",
	}), http.StatusCreated)
	wantProblem(t, release(map[string]any{
		"how": "refunded", "amount": amount("380.00"), "why": "twice",
	}), http.StatusConflict, "conflict")
	got := want[openapi.Deposit](t, release(map[string]any{
		"how": "forfeited", "taxed": true, "why": "nobody came",
	}), http.StatusCreated)
	if got.Held.Amount != "0.00" || got.Forfeited.Amount != "120.00" || got.Tax.Amount != "20.00" {
		t.Errorf("the deposit is %+v, want 120.00 forfeited with tax of 20.00 in it", got)
	}
	if a := c.outcome().Account; a.Forfeited.Amount != "100.00" || a.Tax.Amount != "20.00" {
		t.Errorf("the account has %+v", a)
	}
	want[openapi.Deposit](t, leave(second, "300.00"), http.StatusCreated)
	x := c.soldFor(second, "2000.00", "")
	if x.Deposits.Amount != "300.00" || x.Balance.Amount != "1700.00" {
		t.Errorf("%s is applied and %s owed", x.Deposits.Amount, x.Balance.Amount)
	}
	wantProblem(t, leave(second, "300.00"), http.StatusConflict, "conflict")
}
