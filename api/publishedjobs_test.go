package api_test

import (
	"fmt"
	"net/http"
	"testing"

	"bentside/openapi"
)

// ledger is a shop whose jobs are those of published examples. The books apply overhead to the
// money of labour; here one wage holds for everybody, so that the same rate is one an hour.
type ledger struct {
	examples
	hand, stuff string // who works, and the material, of which a piece costs 1.00
	jobs        map[string]openapi.JoinedPiano
}

// jobExample is a job of a published example.
type jobExample struct {
	name, before string // what it had cost before
	material     []string
	day          int   // of February on which the first of the hours were worked
	minutes      []int // day by day
	sums         string
	total        string
}

// monthOfJobs is that of OpenStax, Principles of Accounting 2, 4.5, with the sheet of MAC001 from
// 4.4 to 4.7: 2.50 of overhead on each 1.00 of labour, which is paid 30.00 an hour here.
var monthOfJobs = []jobExample{
	{
		name: "POR143", before: "1000.00", material: []string{"200"}, day: 3, minutes: []int{300},
		sums:  "opening work 1000.00\nlabour work 150.00\noverhead work 375.00\nparts work 200.00\n",
		total: "1725.00",
	},
	{
		name: "MAC001", material: []string{"300", "100", "60", "60", "120", "60"}, day: 2,
		minutes: []int{30, 30, 72},
		sums:    "labour work 66.00\noverhead work 165.00\nparts work 700.00\n", total: "931.00",
	},
	{
		name: "TRJ441", material: []string{"500"}, day: 4, minutes: []int{300},
		sums: "labour work 150.00\noverhead work 375.00\nparts work 500.00\n", total: "1025.00",
	},
}

// laterJobs go by later rates of the same shop.
var laterJobs = []jobExample{
	// justaaa.com 59061: 747,500 on 575,000 is 130 %; 100.00 an hour here.
	{
		name: "ticket", material: []string{"5000", "7020", "3330"}, day: 9,
		minutes: []int{420, 750, 750},
		sums:    "labour work 3200.00\noverhead work 4160.00\nparts work 15350.00\n",
		total:   "22710.00",
	},
	// solutioninn.com 4362451: 90,000 on 200,000 is 45 %, so that 101,250 are applied to 225,000 of
	// labour; 30,000.00 an hour here. How 4,250 too much is spread over the three isn't known to the
	// service, which holds no overhead that was spent.
	{
		name: "in work", day: 16, minutes: []int{45},
		sums: "labour work 22500.00\noverhead work 10125.00\n", total: "32625.00",
	},
	{
		name: "finished", day: 16, minutes: []int{135},
		sums: "labour work 67500.00\noverhead work 30375.00\n", total: "97875.00",
	},
	{
		name: "sold", day: 16, minutes: []int{270},
		sums: "labour work 135000.00\noverhead work 60750.00\n", total: "195750.00",
	},
}

func keepingLedger(t *testing.T) ledger {
	t.Helper()
	l := ledger{examples: playing(t), jobs: map[string]openapi.JoinedPiano{}}
	l.hand, l.stuff = hand(t, l.owner, ""), l.part("stuff", "fifo")
	for _, r := range [][3]string{
		{"2026-01-01", "30", "75"}, {"2026-02-09", "100", "130"}, {"2026-02-16", "30000", "13500"},
	} {
		want[openapi.Rates](t, l.owner.do(http.MethodPost, "/v1/rates", map[string]any{
			"from": r[0], "labour": r[1], "overhead": r[2],
		}), http.StatusCreated)
	}
	l.join(append(append([]jobExample(nil), monthOfJobs...), laterJobs...))
	return l
}

// join takes jobs over, with what the books said before.
func (l ledger) join(list []jobExample) {
	l.Helper()
	var pianos []any
	for _, e := range list {
		p := map[string]any{
			"kind": "upright", "maker": "Tessmann", "size_mm": 1280, "notes": 88, "owner": "stock",
			"stock_number": e.name, "depth": "recondition", "accepted_on": "2026-01-12",
			"tasks": []any{map[string]any{"operation": "AC-01", "hours_done": "0", "hours_left": "9"}},
		}
		if e.before != "" {
			p["cost_so_far"] = amount(e.before)
		}
		pianos = append(pianos, p)
	}
	r := want[openapi.JoinReport](l, l.owner.do(http.MethodPost, "/v1/joins",
		map[string]any{"pianos": pianos}), http.StatusCreated)
	for i, p := range r.Pianos {
		l.jobs[list[i].name] = p
	}
}

// work issues material to a job and books hours on it.
func (l ledger) work(e jobExample) {
	l.Helper()
	j := l.jobs[e.name]
	for _, q := range e.material {
		l.move(l.stuff, map[string]any{"kind": "issue", "quantity": q, "job": j.Job})
	}
	for i, n := range e.minutes {
		want[openapi.TimeEntry](l, l.owner.do(http.MethodPost, "/v1/time-entries", map[string]any{
			"person": l.hand, "job": j.Job, "operation": "AC-01", "minutes": n,
			"worked_on": fmt.Sprintf("2026-02-%02d", e.day+i),
		}), http.StatusCreated)
	}
}

// approve approves the hours of weeks.
func (l ledger) approve(mondays ...string) {
	l.Helper()
	for _, monday := range mondays {
		want[openapi.TimeApproval](l, l.owner.do(http.MethodPost, "/v1/people/"+l.hand+"/approvals",
			map[string]any{"week": monday}), http.StatusCreated)
	}
}

// wantCost compares what a job has cost, kind by kind.
func (l ledger) wantCost(e jobExample) {
	l.Helper()
	j := l.jobs[e.name]
	c := want[openapi.JobCost](l, l.owner.do(http.MethodGet, "/v1/jobs/"+j.Job.String()+"/cost", nil),
		http.StatusOK)
	if got := c.Spent.Inventory.Amount; got != e.total || sums(c.Sums) != e.sums {
		l.Errorf("%s has cost %s:\n%swant %s:\n%s", e.name, got, sums(c.Sums), e.total, e.sums)
	}
}

// finish finishes a job.
func (l ledger) finish(name string) {
	l.Helper()
	path := "/v1/jobs/" + l.jobs[name].Job.String()
	want[any](l, l.owner.do(http.MethodPost, path+"/tasks/AC-01/progress",
		map[string]any{"left": "0", "finished": true}), http.StatusCreated)
	want[openapi.Job](l, l.owner.do(http.MethodPost, path+"/closing",
		map[string]any{"outcome": "finished", "closed_on": "2026-03-02"}), http.StatusOK)
}

// sold sells an instrument and wants its cost of sales and gross profit.
func (l ledger) sold(instrument openapi.ID, buyer, price, cost, profit string) {
	l.Helper()
	s := want[openapi.Sale](l, l.owner.do(http.MethodPost,
		"/v1/instruments/"+instrument.String()+"/sales",
		map[string]any{"buyer": buyer, "price": amount(price)}), http.StatusCreated).Sums
	if s.CostOfSales.Amount != cost || s.Margin.Amount != profit {
		l.Errorf("sold for %s it comes to %+v, want %s less %s", price, s, profit, cost)
	}
}

// A month of jobs: 13,000 of material of which 1,400 are used; jobs that come to 1,725, 931 and
// 1,025; one of them and one from before are sold, at a cost of 2,462 in all; 1,025 are in progress
// and 1,725 finished in the end.
func TestAMonthOfJobsCostsWhatIsPublishedOverHTTP(t *testing.T) {
	t.Parallel()
	l := keepingLedger(t)
	for _, q := range []string{"2500", "10500"} {
		l.move(l.stuff, map[string]any{"kind": "receipt", "quantity": q, "value": amount(q + ".00")})
	}
	for _, e := range monthOfJobs {
		l.work(e)
	}
	l.approve("2026-02-02")
	for _, e := range monthOfJobs {
		l.wantCost(e)
	}
	if w := wantWIP(t, l.owner, ""); w.Posted.Amount != "3681.00" {
		t.Errorf("%s are in progress, want 1,725, 931 and 1,025", w.Posted.Amount)
	}
	before := want[openapi.Instrument](t, l.owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "stock"})), http.StatusCreated)
	want[openapi.CostDocument](t, l.owner.do(http.MethodPost,
		"/v1/instruments/"+before.ID.String()+"/purchase", map[string]any{"price": amount("1531.00")}),
		http.StatusCreated)
	l.finish("POR143")
	l.finish("MAC001")
	buyer := l.put("/v1/parties/", map[string]any{"name": "Edda Rosvall"})
	l.sold(l.jobs["MAC001"].Instrument, buyer, "2000.00", "931.00", "1069.00")
	l.sold(before.ID, buyer, "3500.00", "1531.00", "1969.00")
	if w := wantWIP(t, l.owner, ""); w.Posted.Amount != "1025.00" || w.Known.Amount != "1025.00" {
		t.Errorf("%s and %s are in progress, want 1,025", w.Posted.Amount, w.Known.Amount)
	}
	finished := want[openapi.InstrumentOutcome](t, l.owner.do(http.MethodGet, "/v1/instruments/"+
		l.jobs["POR143"].Instrument.String()+"/outcome", nil), http.StatusOK)
	if got := finished.Account.Carrying.Amount; got != "1725.00" {
		t.Errorf("what is finished stands at %s, want 1,725", got)
	}
	stock := want[openapi.StockPage](t, l.owner.do(http.MethodGet, "/v1/stock", nil), http.StatusOK)
	if got := stock.Items[0].Value.Amount; got != "11600.00" {
		t.Errorf("material for %s is left, want 11,600", got)
	}
	l.move(l.stuff, map[string]any{
		"kind": "receipt", "quantity": "15350", "value": amount("15350.00"),
	})
	for _, e := range laterJobs {
		l.work(e)
	}
	l.approve("2026-02-09", "2026-02-16")
	for _, e := range laterJobs {
		l.wantCost(e)
	}
}
