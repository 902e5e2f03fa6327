package api_test

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/domain/hours"
	"bentside/openapi"
)

// badly sends what is refused, with the field that it is about where one is named.
func (o overheads) badly(method, path string, body map[string]any, status int, pointer string) {
	o.Helper()
	name := map[int]string{
		http.StatusConflict: "conflict", http.StatusUnprocessableEntity: "validation",
	}
	p := wantProblem(o, o.owner.do(method, path, body), status, name[status])
	if pointer != "" && (len(p.Errors) == 0 || p.Errors[0].Pointer != pointer) {
		o.Errorf("%s %v: the faults are %+v, want %s", path, body, p.Errors, pointer)
	}
}

// Days are disposed of once, when they are over, while their books are open, and with a capacity to
// tell by what is idle. What rests on a disposition keeps it from being taken back.
func TestADispositionThatCannotBeIsRefused(t *testing.T) {
	t.Parallel()
	o := keepingOverhead(t, "2026-03-02")
	const dispose = "/v1/overhead-dispositions"
	february := map[string]any{
		"from": "2026-02-01", "through": "2026-02-28", "remainder": "cost_of_sales",
	}
	o.spends("rent", "850.00", "2026-02-01")
	o.rates("2026-02-02", map[string]any{
		"labour": "24", "overhead": "18", "fixed_overhead": "12", "normal_hours": "1600",
	})
	// normal capacity isn't said of the 1st
	o.badly(http.MethodPost, dispose, february, http.StatusConflict, "")
	o.rates("2026-01-01", map[string]any{
		"labour": "24", "overhead": "18", "fixed_overhead": "12", "normal_hours": "1600",
	})
	const invalid = http.StatusUnprocessableEntity
	for pointer, change := range map[string]map[string]any{
		"#/through":   {"through": "2026-01-31"},
		"#/from":      {"from": "1926-02-01"},
		"#/remainder": {"remainder": "stock"},
	} {
		o.badly(http.MethodPost, dispose, with(february, change), invalid, pointer)
	}
	o.badly(http.MethodPost, dispose, with(february, map[string]any{"through": "2026-03-02"}), invalid,
		"#/through")
	o.badly(http.MethodPost, dispose, with(february, map[string]any{"remainder": "prorated"}),
		http.StatusConflict, "#/remainder") // no job bears any
	o.badly(http.MethodPost, "/v1/overhead-costs", map[string]any{
		"kind": "rent", "amount": amount("-850.00"),
	}, invalid, "#/amount/amount")
	o.badly(http.MethodPost, "/v1/time-entries", map[string]any{
		"person": o.hand, "duty": "upkeep", "minutes": -90,
	}, invalid, "#/minutes")
	a := o.owner.do(http.MethodGet, "/v1/overhead?from=2026-02-28&through=2026-02-01", nil)
	if p := wantProblem(t, a, invalid, "validation"); p.Errors[0].Pointer != "#/query/through" {
		t.Errorf("a period that ends before it begins is wrong at %+v", p.Errors)
	}
	first := want[openapi.OverheadDisposition](t, o.owner.do(http.MethodPost, dispose, february),
		http.StatusCreated)
	o.badly(http.MethodPost, dispose, with(february, map[string]any{
		"from": "2026-02-28", "through": "2026-03-01",
	}), http.StatusConflict, "#/from")
	later := want[openapi.OverheadDisposition](t, o.owner.do(http.MethodPost, dispose,
		with(february, map[string]any{"from": "2026-03-01", "through": "2026-03-01"})),
		http.StatusCreated)
	back := func(d openapi.OverheadDisposition) string {
		return dispose + "/" + d.ID.String() + "/reversal"
	}
	why := map[string]any{"why": "a bill came in late"}
	o.badly(http.MethodPost, back(first), why, http.StatusConflict, "") // March rests on it
	want[openapi.OverheadDisposition](t, o.owner.do(http.MethodPost, back(later), why),
		http.StatusCreated)
	o.badly(http.MethodPost, back(later), why, http.StatusConflict, "")
	want[any](t, o.owner.do(http.MethodPost, "/v1/book-closings",
		map[string]any{"through": "2026-02-28"}), http.StatusCreated)
	o.badly(http.MethodPost, back(first), why, http.StatusConflict, "") // closed books do too
	o.badly(http.MethodPost, dispose, with(february, map[string]any{
		"from": "2026-01-01", "through": "2026-01-31",
	}), http.StatusConflict, "")
	// A late bill counts on the first open day, so that February stays as it was disposed of.
	if c := o.spends("power", "30.00", "2026-02-27"); c.PostedOn != "2026-03-01" {
		t.Errorf("a late bill counts on %s, want the first open day", c.PostedOn)
	}
	if a := o.account("2026-02-01", "2026-02-28"); a.Balance.Amount != "0.00" {
		t.Errorf("%s are left of February", a.Balance.Amount)
	}
}

// Of many who dispose of a month at once one does, and of many who reverse a cost at once.
func TestOfManyWhoDisposeOfAMonthAtOnceOneDoes(t *testing.T) {
	t.Parallel()
	o := keepingOverhead(t, "2026-03-02")
	o.rates("2026-01-01", map[string]any{
		"labour": "24", "overhead": "18", "fixed_overhead": "12", "normal_hours": "1600",
	})
	wrong := o.spends("rent", "850.00", "2026-02-01")
	for path, body := range map[string]map[string]any{
		"/v1/overhead-costs/" + wrong.ID.String() + "/reversal": {"why": "the bill of another shop"},
		"/v1/overhead-dispositions": {
			"from": "2026-02-01", "through": "2026-02-28", "remainder": "cost_of_sales",
		},
	} {
		var mu sync.Mutex
		var wg sync.WaitGroup
		answers := map[int]int{}
		for range 6 {
			wg.Go(func() {
				a := o.owner.do(http.MethodPost, path, body)
				mu.Lock()
				defer mu.Unlock()
				answers[a.status]++
			})
		}
		wg.Wait()
		if answers[http.StatusCreated] != 1 || answers[http.StatusConflict] != 5 {
			t.Errorf("%s: answered %v, want one taken and five conflicts", path, answers)
		}
	}
}

// Whatever months were like, nothing is left of their overhead once it is disposed of, and what was
// prorated is in what the jobs have cost.
func TestNothingIsLeftOfTheOverheadOfRandomMonths(t *testing.T) {
	t.Parallel()
	o := keepingOverhead(t, "2026-01-30")
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0)) //nolint:gosec // months that can be drawn again
	t.Logf("seed %d", seed)
	o.rates("2026-01-01", map[string]any{
		"labour": "24", "overhead": "18.7", "fixed_overhead": "11.3", "normal_hours": "240",
	})
	jobs := o.joins("2026-01-02", "900", "A", "B", "C")
	wantJobs := 0
	for month, days := range []int{0, 31, 28, 31} {
		if month == 0 {
			continue
		}
		last := fmt.Sprintf("2026-%02d-%02d", month, days)
		o.is(last)
		weeks := map[string]bool{mondayOf(t, fmt.Sprintf("2026-%02d-09", month)): true}
		for range 2 + r.IntN(4) {
			day := fmt.Sprintf("2026-%02d-%02d", month, 10+r.IntN(12))
			o.works(jobs[r.IntN(len(jobs))].Job, "", day, 1+r.IntN(280))
			weeks[mondayOf(t, day)] = true
		}
		o.works(openapi.ID{}, "waiting", fmt.Sprintf("2026-%02d-09", month), 1+r.IntN(700))
		for monday := range weeks {
			o.approves(monday)
		}
		o.spends("rent", fmt.Sprintf("%d.%02d", 100+r.IntN(900), r.IntN(100)), last)
		o.is(fmt.Sprintf("2026-%02d-01", month+1))
		d := o.disposes(fmt.Sprintf("2026-%02d-01", month), last, "prorated")
		o.wantShares(last, d, sharesOf(d))
		wantJobs += len(d.Lines)
	}
	if wantJobs == 0 {
		t.Error("nothing was ever prorated")
	}
	overhead := map[string]int{}
	for _, j := range jobs {
		page := want[openapi.CostLinePage](t, o.owner.do(http.MethodGet,
			"/v1/jobs/"+j.Job.String()+"/cost/lines?limit=200", nil), http.StatusOK)
		for _, l := range page.Items {
			overhead[string(l.SourceKind)]++
		}
	}
	if overhead["overhead_disposition"] != wantJobs {
		t.Errorf("jobs have lines %v, want %d of dispositions", overhead, wantJobs)
	}
}

// Parts that take the place of spoilt ones cost the job what they cost. As a normal loss that is in
// what the piano stands at, as an abnormal one an expense; what was got for scrap lowers the work.
// What is thrown away from stock is overhead where that is usual.
func TestAnAbnormalLossIsNeverInStock(t *testing.T) {
	t.Parallel()
	o := keepingOverhead(t, "2026-02-16")
	j := o.joins("2026-01-12", "9", "one")[0]
	part := o.part("wire", "fifo")
	o.move(part, map[string]any{"kind": "receipt", "quantity": "50", "value": amount("100.00")})
	o.move(part, map[string]any{"kind": "issue", "quantity": "10", "job": j.Job})
	o.move(part, map[string]any{
		"kind": "issue", "quantity": "2", "job": j.Job, "counts_as": "normal_loss",
	})
	lost := o.move(part, map[string]any{
		"kind": "issue", "quantity": "10", "job": j.Job, "counts_as": "abnormal_loss",
		"note": "cut for another scale",
	})
	o.move(part, map[string]any{"kind": "return", "quantity": "4", "of": lost.ID})
	for _, as := range []string{"normal_loss", "abnormal_loss"} {
		o.move(part, map[string]any{
			"kind": "scrap", "quantity": "3", "counts_as": as, "note": "rusted",
		})
	}
	at := "/v1/instruments/" + j.Instrument.String() + "/other-costs"
	sold := map[string]any{
		"kind": "scrap_sold", "purpose": "work", "amount": amount("1.50"), "job": j.Job, "note": "brass",
	}
	want[openapi.CostDocument](t, o.owner.do(http.MethodPost, at, sold), http.StatusCreated)
	o.badly(http.MethodPost, at, with(sold, map[string]any{"amount": amount("22.51")}),
		http.StatusConflict, "#/amount/amount")
	c := want[openapi.JobCost](t, o.owner.do(http.MethodGet, "/v1/jobs/"+j.Job.String()+"/cost", nil),
		http.StatusOK)
	const cost = "parts work 20.00\nparts normal_loss 4.00\nparts abnormal_loss 12.00\n" +
		"scrap_sold work -1.50\n"
	if sums(c.Sums) != cost || c.Spent.Inventory.Amount != "22.50" ||
		c.Spent.Management.Amount != "34.50" {
		t.Errorf("the job has cost %s and %s:\n%swant 22.50 and 34.50:\n%s", c.Spent.Inventory.Amount,
			c.Spent.Management.Amount, sums(c.Sums), cost)
	}
	o.spends("scrap_sold", "2.00", "2026-02-16")
	if a := o.account("2026-02-01", "2026-02-16"); a.Issued.Amount != "6.00" ||
		a.Actual.Amount != "4.00" {
		t.Errorf("overhead has cost %s, of which %s are parts; want 4.00 and 6.00", a.Actual.Amount,
			a.Issued.Amount)
	}
}

// Hours of upkeep that are taken back leave nothing, and those of a proprietor cost nothing.
func TestHoursOfNoJobAreOverheadOnceApproved(t *testing.T) {
	t.Parallel()
	o := keepingOverhead(t, "2026-02-20")
	o.rates("2026-01-01", map[string]any{"labour": "24", "overhead": "18", "notional": "40"})
	e := o.works(openapi.ID{}, "training", "2026-02-17", 90)
	if a := o.account("2026-02-01", "2026-02-20"); a.Actual.Amount != "0.00" {
		t.Errorf("%s are spent before the approval", a.Actual.Amount)
	}
	o.approves("2026-02-16")
	if a := o.account("2026-02-01", "2026-02-20"); a.Actual.Amount != "36.00" ||
		a.Spent[0].Minutes != 90 {
		t.Errorf("the account is %+v, want 90 min at 24.00", a)
	}
	list := want[openapi.OverheadCostPage](t, o.owner.do(http.MethodGet, "/v1/overhead-costs", nil),
		http.StatusOK).Items
	o.badly(http.MethodPost, "/v1/overhead-costs/"+list[0].ID.String()+"/reversal",
		map[string]any{"why": "he wasn't here"}, http.StatusConflict, "")
	want[any](t, o.owner.do(http.MethodPost, "/v1/time-entries/"+e.ID.String()+"/reversal",
		map[string]any{"why": "he wasn't here"}), http.StatusCreated)
	o.approves("2026-02-16")
	if a := o.account("2026-02-01", "2026-02-20"); a.Actual.Amount != "0.00" {
		t.Errorf("%s are left of hours that were taken back", a.Actual.Amount)
	}
	at := "/v1/people/" + o.hand
	want[openapi.Person](t, o.owner.do(http.MethodPut, at, map[string]any{
		"name": "Bruno Vale", "skills": []string{"stringing"}, "productive_share": "0.72",
		"on_payroll": false,
	}, "If-Match: "+o.owner.do(http.MethodGet, at, nil).header.Get("ETag")), http.StatusOK)
	o.works(openapi.ID{}, "upkeep", "2026-02-12", 30)
	o.approves("2026-02-09")
	if a := o.account("2026-02-01", "2026-02-20"); a.Actual.Amount != "0.00" ||
		a.Notional.Amount != "20.00" {
		t.Errorf("a proprietor's hours cost %s and count for %s, want nothing and 20.00",
			a.Actual.Amount, a.Notional.Amount)
	}
}

// mondayOf returns the Monday of a day's week.
func mondayOf(tb testing.TB, day string) string {
	tb.Helper()
	d, err := domain.ParseDate(day)
	if err != nil {
		tb.Fatal(err)
	}
	return hours.WeekOf(d).String()
}
