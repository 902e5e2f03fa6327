package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// costing is a shop that is registered for tax, on a Monday, with a job under way on a piano of its
// own, and the rates of the workshop case S-1 of the worked examples: 24.00 and 18.00 an hour. The
// case is in pounds, of which the shop here has euros.
type costing struct {
	entering
	job  openapi.Job
	at   string // the address of the instrument
	work string // of the job
}

func costingShop(t *testing.T) costing {
	t.Helper()
	c := costing{entering: enteringHours(t)}
	c.job = c.first
	c.at, c.work = "/v1/instruments/"+c.job.Instrument.String(), "/v1/jobs/"+c.job.ID.String()
	onMargin(t, c.owner)
	want[openapi.Rates](t, c.owner.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24.00", "overhead": "18.00", "normal_hours": "1600",
	}), http.StatusCreated)
	stockNumber(t, c.owner, c.at, "K-118")
	return c
}

// onMargin has a workshop tax its margins at 20 %.
func onMargin(tb testing.TB, owner *client) {
	tb.Helper()
	shop := owner.do(http.MethodGet, "/v1/workshop", nil)
	settings := want[map[string]any](tb, shop, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	settings["terms"] = with(settings["terms"].(map[string]any), map[string]any{
		"tax_regime": "margin", "tax_rate": "0.2",
	})
	want[openapi.Workshop](tb, owner.do(http.MethodPut, "/v1/workshop", settings,
		"If-Match: "+shop.header.Get("ETag")), http.StatusOK)
}

// stockNumber gives the worn grand, which is ours, a number.
func stockNumber(tb testing.TB, c *client, at, number string) {
	tb.Helper()
	want[openapi.Instrument](tb, c.do(http.MethodPut, at, with(wornGrand(), map[string]any{
		"owner": "stock", "stock_number": number,
	}), "If-Match: "+c.do(http.MethodGet, at, nil).header.Get("ETag")), http.StatusOK)
}

// post sends what must be taken.
func (c costing) post(path string, body map[string]any) openapi.CostDocument {
	c.Helper()
	return want[openapi.CostDocument](c, c.owner.do(http.MethodPost, path, body), http.StatusCreated)
}

// firm adds a party.
func (c costing) firm(name string) string {
	id := newID(c).String()
	want[openapi.Party](c, c.owner.do(http.MethodPut, "/v1/parties/"+id,
		map[string]any{"name": name}, "If-None-Match: *"), http.StatusCreated)
	return id
}

// works enters minutes on the first task of the job for a day.
func (c costing) works(person, day string, minutes int) openapi.TimeEntry {
	c.Helper()
	return c.entered(with(c.on(person, c.job, 0, minutes), map[string]any{"worked_on": day}))
}

func (c costing) approve(person, monday string) {
	c.Helper()
	want[openapi.TimeApproval](c, c.owner.do(http.MethodPost, "/v1/people/"+person+"/approvals",
		map[string]any{"week": monday}), http.StatusCreated)
}

func (c costing) cost() openapi.InstrumentCost {
	c.Helper()
	a := c.owner.do(http.MethodGet, c.at+"/cost", nil)
	return want[openapi.InstrumentCost](c, a, http.StatusOK)
}

func (c costing) jobCost() openapi.JobCost {
	c.Helper()
	return want[openapi.JobCost](c, c.owner.do(http.MethodGet, c.work+"/cost", nil), http.StatusOK)
}

func (c costing) wantSpent(what string, v openapi.CostViews, inventory, management string) {
	c.Helper()
	if v.Inventory.Amount != inventory || v.Management.Amount != management {
		c.Errorf("%s: %s and %s are spent, want %s and %s", what, v.Inventory.Amount,
			v.Management.Amount, inventory, management)
	}
}

// sums writes what was spent by kind and purpose.
func sums(list []openapi.CostSum) string {
	var b strings.Builder
	for _, s := range list {
		fmt.Fprintf(&b, "%s %s %s\n", s.Kind, s.Purpose, s.Management.Amount)
	}
	return b.String()
}

// The cost side of the workshop case S-1 (worked example M, built from the rules of costing.md):
// hammer 4,000 and premium 800, 161.29 of the haulier's bill, 12 coils for 226.00 of which one
// comes back at 23.00, 62.5 h at 24.00 and 18.00, plating for 640.00; 8,429.29 in all, of which
// 3,468.00 is work in progress and 4,961.29 the instrument.
func TestTheCostOfTheWorkshopCaseOverHTTP(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	c.incurS1(t)
	got := c.cost()
	c.wantSpent("S-1", got.Spent, "8429.29", "8429.29")
	want := "purchase_price acquisition 4000.00\nbuyers_premium acquisition 800.00\n" +
		"transport_in acquisition 161.29\nlabour work 1500.00\noverhead work 1125.00\n" +
		"parts work 203.00\noutside_work work 640.00\n"
	if sums(got.Sums) != want {
		t.Errorf("got\n%swant\n%s", sums(got.Sums), want)
	}
	c.wantSpent("work in progress of S-1", c.jobCost().Spent, "3468.00", "3468.00")
	w := wantWIP(t, c.owner, "")
	if w.Posted.Amount != "3468.00" || w.Known.Amount != "3468.00" {
		t.Errorf("%s and %s are in progress, want 3,468.00", w.Posted.Amount, w.Known.Amount)
	}
	// The hours were approved later than they were worked: the books of the 20th didn't have them.
	w = wantWIP(t, c.owner, "2026-02-20")
	if w.Posted.Amount != "0.00" || w.Known.Amount != "1680.00" || len(w.Late) != 10 {
		t.Errorf("on the 20th %s as posted, %s as known and %d late lines, want 0.00, 40 h for 1,680.00 "+
			"and 10", w.Posted.Amount, w.Known.Amount, len(w.Late))
	}
}

// incurS1 records what the instrument of the workshop case S-1 costs until it is sold.
func (c costing) incurS1(t *testing.T) {
	t.Helper()
	bought := c.post(c.at+"/purchase", map[string]any{
		"price": amount("4000.00"), "premium": amount("800.00"), "reference": "lot 114",
		"on": "2026-02-20",
	})
	if bought.MarginPrice.Amount != "4800.00" || fmt.Sprint(bought.OpenRegimes) != "[margin standard]" {
		t.Errorf("bought as %+v, want a margin from 4,800.00", bought)
	}
	c.hauled(haul{
		net: "250.00", tax: "50.00", total: "300.00", by: "value",
		over: []any{
			over(c.job.Instrument), over(c.bought("K-119", "1500.00")), over(c.bought("K-120", "700.00")),
		},
	})
	s := stockedShop{shop: c.shop, keeper: c.owner, bench: c.owner, job: c.job}
	class := newID(t).String()
	want[openapi.PartClass](t, s.keeper.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	s.wire = partOf(t, s.keeper, class, "W-17")
	s.receive(t, "10", "180.00")
	second := s.receive(t, "6", "126.00")
	move := func(body map[string]any) openapi.StockMove {
		return want[openapi.StockMove](t, s.keeper.do(http.MethodPost, s.wire+"/moves", body),
			http.StatusCreated)
	}
	move(map[string]any{
		"kind": "adjustment", "of": second.ID, "value": amount("12.00"), "note": "carriage",
	})
	issued := move(s.issue("300"))
	move(map[string]any{"kind": "return", "quantity": "1", "unit": "coil", "of": issued.ID})
	for n, day := range []string{"16", "17", "18", "19", "20", "23", "24"} {
		c.works([]string{c.ada, c.bruno}[n%2], "2026-02-"+day, 8*60)
	}
	c.works(c.ada, "2026-02-25", 6*60+30)
	if got := c.jobCost(); got.PendingMinutes != 3750 || got.Pending.Amount != "2625.00" {
		t.Errorf("%d min for %s are pending, want 62.5 h for 2,625.00", got.PendingMinutes,
			got.Pending.Amount)
	}
	for _, monday := range []string{"2026-02-16", "2026-02-23"} {
		c.approve(c.ada, monday)
		c.approve(c.bruno, monday)
	}
	c.post(c.work+"/outside-bills", map[string]any{
		"stage": "billed", "operation": c.job.Tasks[2].Operation, "firm": c.firm("Silver & Sons"),
		"amount": amount("640.00"), "tax": amount("128.00"), "reference": "bill 2207",
	})
}

func wantWIP(tb testing.TB, c *client, day string) openapi.WorkInProgress {
	tb.Helper()
	path := "/v1/work-in-progress"
	if day != "" {
		path += "?as_of=" + day
	}
	return want[openapi.WorkInProgress](tb, c.do(http.MethodGet, path, nil), http.StatusOK)
}

// A proprietor is paid no wage: the hours cost nothing in stock, what somebody would have cost in
// management, and carry overhead in both.
func TestAProprietorsHoursCostNoWageAndCarryOverhead(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	own := newID(t).String()
	want[openapi.Person](t, c.owner.do(http.MethodPut, "/v1/people/"+own, map[string]any{
		"name": "Ines Duarte", "skills": []string{"stringing"}, "productive_share": "0.7",
		"on_payroll": false,
	}, "If-None-Match: *"), http.StatusCreated)
	want[openapi.Rates](t, c.owner.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-02-24", "labour": "24.00", "overhead": "18.00", "notional": "30.00",
	}), http.StatusCreated)
	c.works(own, "2026-02-23", 60)
	c.works(own, "2026-02-24", 60)
	c.approve(own, "2026-02-23")
	c.wantSpent("two hours", c.jobCost().Spent, "36.00", "90.00")
}

// Hours that are taken back cost nothing any more, at the rates at which they were posted.
func TestHoursThatAreTakenBackLeaveNoCost(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	want[openapi.Rates](t, c.owner.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "23.7777", "overhead": "11.1111",
	}), http.StatusCreated)
	wrong := c.works(c.ada, "2026-02-24", 100)
	c.approve(c.ada, "2026-02-23")
	c.wantSpent("100 min", c.jobCost().Spent, "58.15", "58.15")
	want[openapi.Rates](t, c.owner.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "50", "overhead": "50",
	}), http.StatusCreated)
	back := "/v1/time-entries/" + wrong.ID.String() + "/reversal"
	for range 3 {
		want[openapi.TimeEntry](t, c.owner.do(http.MethodPost, back,
			map[string]any{"minutes": 33, "why": "another piano"}), http.StatusCreated)
	}
	if got := c.jobCost(); got.PendingMinutes != -99 {
		t.Errorf("%d min are pending, want what is taken back", got.PendingMinutes)
	}
	c.approve(c.ada, "2026-02-23")
	want[openapi.TimeEntry](t, c.owner.do(http.MethodPost, back,
		map[string]any{"why": "another piano"}), http.StatusCreated)
	c.approve(c.ada, "2026-02-23")
	c.wantSpent("all taken back", c.jobCost().Spent, "0.00", "0.00")
}

// Normal rework is part of what a piano costs, abnormal rework an expense (IAS 2, paragraph 16).
func TestAbnormalReworkIsNoCostOfStock(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	for _, mark := range []string{"normal", "abnormal"} {
		c.entered(with(c.on(c.ada, c.job, 0, 60), map[string]any{
			"worked_on": "2026-02-24", "rework": mark, "note": "a string broke",
		}))
	}
	c.approve(c.ada, "2026-02-23")
	got := c.jobCost()
	c.wantSpent("an hour of each", got.Spent, "42.00", "84.00")
	if got.Variance.Rework.Amount != "84.00" {
		t.Errorf("rework makes a difference of %s, want 84.00", got.Variance.Rework.Amount)
	}
}

// Outside work is a commitment when it is agreed, a cost when it is accrued, and the bill takes the
// place of both; on the way nothing counts twice.
func TestOutsideWorkIsCommittedThenAccruedThenBilled(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	firm := c.firm("Silver & Sons")
	before := c.jobCost()
	said := map[string]any{"operation": c.job.Tasks[2].Operation, "firm": firm}
	step := func(stage, price, of string) openapi.CostDocument {
		body := with(said, map[string]any{"stage": stage, "amount": amount(price)})
		if of != "" {
			body["of"] = of
		}
		if stage == "billed" {
			body["reference"] = "bill 1"
		}
		return c.post(c.work+"/outside-bills", body)
	}
	wantAt := func(what, spent, committed string) {
		t.Helper()
		got := c.jobCost()
		c.wantSpent(what, got.Spent, spent, spent)
		if got.Committed.Amount != committed {
			t.Errorf("%s: %s is committed, want %s", what, got.Committed.Amount, committed)
		}
	}
	agreed := step("agreed", "600.00", "")
	wantAt("agreed", "0.00", "600.00")
	accrued := step("accrued", "610.00", agreed.ID.String())
	wantAt("accrued", "610.00", "0.00")
	billed := step("billed", "640.00", accrued.ID.String())
	wantAt("billed", "640.00", "0.00")
	for what, a := range map[string]answer{
		"accrued once more": c.owner.do(http.MethodPost, c.work+"/outside-bills", with(said, map[string]any{
			"stage": "billed", "amount": amount("1.00"), "of": accrued.ID, "reference": "bill 2",
		})),
		"reversed in the middle": c.owner.do(http.MethodPost,
			"/v1/cost-documents/"+accrued.ID.String()+"/reversal", map[string]any{"why": "wrong"}),
	} {
		p := wantProblem(t, a, http.StatusConflict, "conflict")
		if !strings.Contains(p.Detail, "taken its place") {
			t.Errorf("%s: refused with %q", what, p.Detail)
		}
	}
	back := func(d openapi.CostDocument) {
		c.post("/v1/cost-documents/"+d.ID.String()+"/reversal", map[string]any{"why": "the wrong piano"})
	}
	back(billed)
	wantAt("bill reversed", "610.00", "0.00")
	back(accrued)
	wantAt("accrual reversed", "0.00", "600.00")
	back(agreed)
	wantAt("agreement reversed", "0.00", "0.00")
	after := c.jobCost()
	if after.ToGo.Likely.Amount != before.ToGo.Likely.Amount {
		t.Errorf("%s are to go, before it was %s", after.ToGo.Likely.Amount, before.ToGo.Likely.Amount)
	}
	wantProblem(t, c.owner.do(http.MethodPost, "/v1/cost-documents/"+agreed.ID.String()+"/reversal",
		map[string]any{"why": "again"}), http.StatusConflict, "conflict")
}

// Of two bills for one agreement that come at once one is taken.
func TestOneAgreementIsBilledOnce(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	agreed := c.post(c.work+"/outside-bills", map[string]any{
		"stage": "agreed", "operation": c.job.Tasks[2].Operation, "firm": c.firm("Silver & Sons"),
		"amount": amount("600.00"),
	})
	var all sync.WaitGroup
	var mu sync.Mutex
	statuses := map[int]int{}
	for n := range 4 {
		all.Go(func() {
			a := c.owner.do(http.MethodPost, c.work+"/outside-bills", map[string]any{
				"stage": "billed", "of": agreed.ID, "amount": amount("600.00"),
				"reference": fmt.Sprint("bill ", n),
			})
			mu.Lock()
			defer mu.Unlock()
			statuses[a.status]++
		})
	}
	all.Wait()
	if statuses[http.StatusCreated] != 1 || statuses[http.StatusConflict] != 3 {
		t.Errorf("answered %v, want one taken and three refused", statuses)
	}
	c.wantSpent("billed once", c.jobCost().Spent, "600.00", "600.00")
}

func TestACostIsRefusedWithTheFieldThatItIsAbout(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	yen := map[string]any{"amount": "100", "currency": "JPY"}
	other := map[string]any{"purpose": "work", "amount": amount("5.00"), "note": "a hired jack"}
	bill := map[string]any{
		"stage": "billed", "operation": c.job.Tasks[2].Operation, "firm": c.firm("Silver & Sons"),
		"amount": amount("5.00"), "reference": "bill 1",
	}
	for _, x := range []struct {
		path    string
		body    map[string]any
		change  map[string]any
		pointer string
	}{
		{"/purchase", map[string]any{}, nil, "#/price"},
		{"/purchase", map[string]any{"price": yen}, nil, "#/price/currency"},
		{"/purchase", map[string]any{"price": amount("1.00"), "on": "2026-03-03"}, nil, "#/on"},
		{"/purchase", map[string]any{"price": amount("-1.00")}, nil, "#/price/amount"},
		{"/purchase", map[string]any{"price": amount("1.00"), "seller": newID(t)}, nil, "#/seller"},
		{"/other-costs", other, map[string]any{"amount": yen}, "#/amount/currency"},
		{"/other-costs", other, map[string]any{"purpose": "storage", "inventory": true}, "#/inventory"},
		{
			"/other-costs", other,
			map[string]any{"purpose": "abnormal_rework", "inventory": true},
			"#/inventory",
		},
		{
			"/other-costs", other,
			map[string]any{"purpose": "commission", "inventory": true},
			"#/inventory",
		},
		{"/other-costs", other, map[string]any{"inventory": false}, "#/inventory"},
		{"/other-costs", other, map[string]any{"kind": "duty"}, "#/purpose"},
		{"/other-costs", other, map[string]any{"amount": amount("0.00")}, "#/amount"},
		{"/other-costs", other, map[string]any{"job": c.second.ID}, "#/job"},
		{"outside", bill, map[string]any{"amount": yen}, "#/amount/currency"},
		{"outside", bill, map[string]any{"operation": "XX-99"}, "#/operation"},
		{"outside", bill, map[string]any{"firm": newID(t)}, "#/firm"},
		{"outside", bill, map[string]any{"reference": ""}, "#/reference"},
		{"outside", bill, map[string]any{"of": newID(t)}, "#/of"},
		{"outside", bill, map[string]any{"stage": "agreed", "tax": amount("1.00")}, "#/tax"},
	} {
		path := c.at + x.path
		if x.path == "outside" {
			path = c.work + "/outside-bills"
		}
		p := wantProblem(t, c.owner.do(http.MethodPost, path, with(x.body, x.change)),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != x.pointer {
			t.Errorf("%s %v: refused with %+v, want a fault about %s", x.path, x.change, p.Errors, x.pointer)
		}
	}
	c.post(c.at+"/purchase", map[string]any{"price": amount("1.00")})
	p := wantProblem(t, c.owner.do(http.MethodPost, c.at+"/purchase",
		map[string]any{"price": amount("1.00")}), http.StatusConflict, "conflict")
	if !strings.Contains(p.Detail, "reverse it") {
		t.Errorf("bought twice: refused with %q", p.Detail)
	}
	want[openapi.Job](t, c.owner.do(http.MethodPost, c.work+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-02", "why": "called off",
	}), http.StatusOK)
	for path, body := range map[string]map[string]any{
		c.work + "/outside-bills": bill,
		c.at + "/other-costs":     with(other, map[string]any{"job": c.job.ID}),
	} {
		p := wantProblem(t, c.owner.do(http.MethodPost, path, body), http.StatusConflict, "conflict")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/job" {
			t.Errorf("on a closed job: refused with %+v", p)
		}
	}
}

// What an offer said when the piano was bought is posted once, and its purchase adds the rest.
func TestAPurchaseThatWasAgreedOnABidIsNotEnteredTwice(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, s := surveyed(t, owner)
	at := "/v1/instruments/" + i.ID.String()
	p := wantProblem(t, owner.do(http.MethodPost, at+"/purchase",
		map[string]any{"price": amount("1.00")}), http.StatusConflict, "conflict")
	if !strings.Contains(p.Detail, "on offer") {
		t.Errorf("refused with %q", p.Detail)
	}
	bid := bidOn(t, owner, s, nil)
	step := want[openapi.BidOffer](t, owner.do(http.MethodPost,
		"/v1/bids/"+bid.ID.String()+"/offers", bought("K-7")), http.StatusCreated)
	cost := func() openapi.InstrumentCost {
		return want[openapi.InstrumentCost](t, owner.do(http.MethodGet, at+"/cost", nil), http.StatusOK)
	}
	if got := cost().Spent.Inventory.Amount; got != step.Amount.Amount {
		t.Errorf("%s is spent, want the price of the offer, %s", got, step.Amount.Amount)
	}
	p = wantProblem(t, owner.do(http.MethodPost, at+"/purchase",
		map[string]any{"price": amount("1.00")}), http.StatusConflict, "conflict")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/price" {
		t.Errorf("at another price: refused with %+v", p)
	}
	d := want[openapi.CostDocument](t, owner.do(http.MethodPost, at+"/purchase",
		map[string]any{"premium": amount("10.00")}), http.StatusCreated)
	if got := cost(); got.Spent.Inventory.Amount != d.Amount.Amount || got.Purchase.ID != d.ID {
		t.Errorf("%s is spent, want %s", got.Spent.Inventory.Amount, d.Amount.Amount)
	}
}

// The bench books hours and sees no money; whoever may see money but not record it is refused too.
func TestTheBenchSeesNoCosts(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	for _, role := range []domain.Role{domain.Bench, domain.Viewer} {
		for _, path := range []string{
			c.at + "/cost", c.at + "/cost/lines", c.at + "/cost-documents", c.work + "/cost",
			c.work + "/cost/lines", "/v1/work-in-progress", "/v1/rates", "/v1/rates/in-force",
		} {
			wantProblem(t, c.shop.as(role).do(http.MethodGet, path, nil), http.StatusForbidden, "forbidden")
		}
	}
	wantProblem(t, c.shop.as(domain.Buyer).do(http.MethodPost, c.at+"/purchase",
		map[string]any{"price": amount("1.00")}), http.StatusForbidden, "forbidden")
}

// A coil at 50.00 that came earlier is entered once one at 25.00 was issued: the job is charged the
// difference, as known from the day of the issue and posted today.
func TestWhatALateReceiptChangesIsKnownAsOfTheIssue(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	class := newID(t).String()
	want[openapi.PartClass](t, c.owner.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	wire := partOf(t, c.owner, class, "W-17")
	move := func(body map[string]any) {
		t.Helper()
		want[openapi.StockMove](t, c.owner.do(http.MethodPost, wire+"/moves", body), http.StatusCreated)
	}
	move(map[string]any{
		"kind": "receipt", "quantity": "1", "unit": "coil", "value": amount("25.00"), "on": "2026-02-25",
	})
	move(map[string]any{"kind": "issue", "quantity": "25", "job": c.job.ID, "on": "2026-02-26"})
	before := wantWIP(t, c.owner, "2026-02-27")
	move(map[string]any{
		"kind": "receipt", "quantity": "1", "unit": "coil", "value": amount("50.00"), "on": "2026-02-24",
	})
	after := wantWIP(t, c.owner, "2026-02-27")
	if before.Posted.Amount != "25.00" || after.Posted.Amount != "25.00" ||
		after.Known.Amount != "50.00" || len(after.Late) != 1 || after.Late[0].Amount.Amount != "25.00" {
		t.Errorf("on the 27th %s were posted, now it is %s and %s known, late are %+v", before.Posted.Amount,
			after.Posted.Amount, after.Known.Amount, after.Late)
	}
}

// The rates of a day are the version that was recorded last of those for the last day before.
func TestACorrectionOfRatesIsANewVersion(t *testing.T) {
	t.Parallel()
	s := openShopAt(t, func() time.Time { return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC) })
	owner := s.as(domain.Owner)
	inForce := func(day string) openapi.Rates {
		return want[openapi.Rates](t, owner.do(http.MethodGet, "/v1/rates/in-force?on="+day, nil),
			http.StatusOK)
	}
	if got := inForce("2026-02-27"); got.From != "" || got.Overhead.String() != "12" {
		t.Errorf("without a version %+v hold, want the settings", got)
	}
	for _, x := range [][2]string{{"2026-02-01", "18"}, {"2026-02-27", "19"}, {"2026-02-01", "17"}} {
		want[openapi.Rates](t, owner.do(http.MethodPost, "/v1/rates", map[string]any{
			"from": x[0], "labour": "24", "overhead": x[1],
		}), http.StatusCreated)
	}
	for day, overhead := range map[string]string{
		"2026-01-31": "12", "2026-02-01": "17", "2026-02-26": "17", "2026-02-27": "19",
	} {
		if got := inForce(day); got.Overhead.String() != overhead {
			t.Errorf("on %s overhead is %s, want %s", day, got.Overhead, overhead)
		}
	}
	wantProblem(t, owner.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24", "overhead": "1",
		"labour_by_skill": map[string]any{"song": "1"},
	}), http.StatusUnprocessableEntity, "validation")
}
