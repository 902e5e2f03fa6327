package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// hammerShop is a shop that keeps hammers for a piano that gets new ones, on Monday, 2 March.
type hammerShop struct {
	*shop
	keeper, owner  *client
	hammers, wire  string // ids of parts
	supplier, path string // of the job
	job            openapi.Job
	now            *time.Time
}

func hammering(t *testing.T) hammerShop {
	t.Helper()
	now := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	s := hammerShop{now: &now, supplier: newID(t).String()}
	s.shop = openShopAt(t, func() time.Time { return now })
	s.keeper, s.owner = s.as(domain.Bookkeeper), s.as(domain.Owner)
	want[openapi.Party](t, s.owner.do(http.MethodPut, "/v1/parties/"+s.supplier,
		map[string]any{"name": "Felt & Wire"}, "If-None-Match: *"), http.StatusCreated)
	class := newID(t).String()
	want[openapi.PartClass](t, s.keeper.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "parts", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	s.wire = strings.TrimPrefix(partOf(t, s.keeper, class, "W-17"), "/v1/parts/")
	s.hammers = newID(t).String()
	want[openapi.Part](t, s.keeper.do(http.MethodPut, "/v1/parts/"+s.hammers, map[string]any{
		"code": "H-1", "name": "hammers", "class": class, "unit": "piece", "minimum": "0",
		"supplier": s.supplier, "serves": []any{map[string]any{
			"operation": "AC-06", "material": "hammers to sample, bored and tailed", "units": "1",
		}},
	}, "If-None-Match: *"), http.StatusCreated)
	s.job = jobUnderWay(t, s.owner)
	s.path = "/v1/jobs/" + s.job.ID.String()
	return s
}

// order orders a part for the job or, without one, for stock, due on 20 March.
func (s hammerShop) order(t *testing.T, part, quantity string, job bool) openapi.Order {
	t.Helper()
	line := map[string]any{"part": part, "quantity": quantity, "price": amount("480.00")}
	if job {
		line["job"], line["operation"] = s.job.ID, "AC-06"
	}
	return want[openapi.Order](t, s.keeper.do(http.MethodPost, "/v1/orders", map[string]any{
		"supplier": s.supplier, "currency": "EUR", "expected_on": "2026-03-20", "reference": "H-12",
		"lines": []any{line},
	}), http.StatusCreated)
}

func (s hammerShop) dates(t *testing.T) openapi.JobDates {
	t.Helper()
	return want[openapi.JobDates](t, s.owner.do(http.MethodGet, s.path+"/dates", nil), http.StatusOK)
}

func (s hammerShop) plan(t *testing.T) openapi.Plan {
	t.Helper()
	return want[openapi.Plan](t, s.owner.do(http.MethodPost, "/v1/plan",
		map[string]any{"schedules": 50}), http.StatusCreated)
}

// stale returns the kind of event that made the newest plan stale, empty where none has.
func (s hammerShop) stale(t *testing.T) string {
	t.Helper()
	p := want[openapi.Plan](t, s.owner.do(http.MethodGet, "/v1/plan", nil), http.StatusOK)
	if p.Stale == nil {
		return ""
	}
	return p.Stale.By
}

func startOf(t *testing.T, d openapi.JobDates, operation string) time.Time {
	t.Helper()
	for _, step := range d.Queued.Steps {
		if step.Operation == operation {
			return step.Start
		}
	}
	t.Fatalf("no step %s", operation)
	return time.Time{}
}

// Hammers are ordered for 20 March, a Friday, and then come eight weeks later, on 15 May: they are
// put on from the Monday after. What doesn't wait for them goes on, dates and plan name part, order
// and supplier, and the delivery ends the wait.
func TestHammersThatComeEightWeeksLatePutTheirTaskOffUntilTheyAreDelivered(t *testing.T) {
	t.Parallel()
	s := hammering(t)
	o := s.order(t, s.hammers, "88", true)
	on := s.dates(t)
	if got := day(startOf(t, on, "AC-06")); got != "2026-03-23" {
		t.Errorf("hammers due on Friday, 20 March are put on from %s, want Monday, 23 March", got)
	}
	if len(on.Waits) != 1 || on.Waits[0].Operation != "AC-06" || on.Waits[0].From != "2026-03-21" {
		t.Errorf("waits %+v", on.Waits)
	}
	s.plan(t)
	_, survey := surveyed(t, s.owner)
	bid := bidOn(t, s.owner, survey, nil)
	late := want[openapi.Order](t, s.keeper.do(http.MethodPost, at(o)+"/expected-days", map[string]any{
		"expected_on": "2026-05-15", "reason": "no felt to be had",
	}), http.StatusCreated)
	if late.ExpectedOn != "2026-05-15" || late.FirstExpectedOn != "2026-03-20" {
		t.Errorf("expected on %s, at first on %s", late.ExpectedOn, late.FirstExpectedOn)
	}
	if got := s.stale(t); got != "order.expected" {
		t.Errorf("the plan is stale by %q, want order.expected", got)
	}
	rests := want[openapi.Bid](t, s.owner.do(http.MethodGet, "/v1/bids/"+bid.ID.String(), nil),
		http.StatusOK)
	if rests.Stale == nil || rests.Stale.By != "order.expected" {
		t.Errorf("the bid behind that job is stale by %+v, want order.expected", rests.Stale)
	}
	off := s.dates(t)
	if got := day(startOf(t, off, "AC-06")); got != "2026-05-18" {
		t.Errorf("hammers due on 15 May are put on from %s, want Monday, 18 May", got)
	}
	const says = "waits for hammers from Felt & Wire, order H-12 of 2026-03-02, due 2026-03-20, " +
		"now 2026-05-15, 8 weeks late"
	if len(off.Waits) != 1 || off.Waits[0].Says != says || !slices.ContainsFunc(off.Queued.Path,
		func(p openapi.PathStep) bool { return p.Operation == "AC-06" && p.Why == says }) {
		t.Errorf("waits %+v, the path is %+v", off.Waits, off.Queued.Path)
	}
	for _, operation := range []string{"IN-02", "DS-01", "AC-01", "KY-01", "KY-02", "CS-02", "DA-02"} {
		if got := startOf(t, off, operation); day(got) >= "2026-05-15" {
			t.Errorf("%s starts on %s: it needn't wait for hammers", operation, day(got))
		}
	}
	s.plan(t)
	why := want[openapi.PlanWhy](t, s.owner.do(http.MethodGet,
		"/v1/plan/jobs/"+s.job.ID.String()+"/tasks/AC-06/why", nil), http.StatusOK)
	if last := why.Steps[len(why.Steps)-1]; last.Why != says {
		t.Errorf("the plan says %q of the hammers", last.Why)
	}
	s.delivered(t, o, "88")
	if got := s.stale(t); got != "part.received" && got != "order.delivered" {
		t.Errorf("the plan is stale by %q, want the delivery", got)
	}
	there := s.dates(t)
	if len(there.Waits) > 0 || !startOf(t, there, "AC-06").Before(startOf(t, on, "AC-06")) {
		t.Errorf("they are there, and put on from %s; waits %+v", startOf(t, there, "AC-06"),
			there.Waits)
	}
}

func day(at time.Time) string { return domain.DateOf(at).String() }

func (s hammerShop) delivered(t *testing.T, o openapi.Order, quantity string) {
	t.Helper()
	want[openapi.Delivery](t, s.keeper.do(http.MethodPost, at(o)+"/deliveries", map[string]any{
		"reference": "L " + quantity, "lines": []any{map[string]any{"line": 1, "quantity": quantity}},
	}), http.StatusCreated)
}

// An order of which nothing has come a week after its day is counted on for tomorrow.
func TestAnOverdueOrderPutsItsTaskOffFromDayToDay(t *testing.T) {
	t.Parallel()
	s := hammering(t)
	o := s.order(t, s.hammers, "88", true)
	*s.now = time.Date(2026, time.April, 15, 9, 0, 0, 0, time.UTC) // a Wednesday
	d := s.dates(t)
	if got := day(startOf(t, d, "AC-06")); got < "2026-04-17" || len(d.Waits) != 1 ||
		!strings.Contains(d.Waits[0].Says, "26 days overdue; counted on for 2026-04-16") {
		t.Errorf("put on from %s; waits %+v", got, d.Waits)
	}
	wantProblem(t, s.keeper.do(http.MethodPost, at(o)+"/expected-days", map[string]any{
		"expected_on": "2026-04-14", "reason": "they say so",
	}), http.StatusUnprocessableEntity, "validation")
}

func TestASetInStockIsWaitedForByNoTaskAndANewOrderForOtherPartsStalesNoPlan(t *testing.T) {
	t.Parallel()
	s := hammering(t)
	before := s.dates(t)
	if len(before.Waits) != 1 || !strings.Contains(before.Waits[0].Says, "isn't ordered") {
		t.Errorf("nothing is ordered, and it waits for %+v", before.Waits)
	}
	o := s.order(t, s.hammers, "100", false)
	s.delivered(t, o, "60")
	if d := s.dates(t); len(d.Waits) != 1 || !strings.Contains(d.Waits[0].Says, "H-12") {
		t.Errorf("60 of 88 are there, and it waits for %+v", d.Waits)
	}
	s.delivered(t, o, "28")
	d := s.dates(t)
	if on := startOf(t, d, "AC-06"); len(d.Waits) > 0 || !on.Before(startOf(t, before, "AC-06")) {
		t.Errorf("88 are there, put on from %s; waits %+v", on, d.Waits)
	}
	s.plan(t)
	other := s.order(t, s.wire, "50", false)
	s.delivered(t, other, "50")
	want[openapi.Order](t, s.keeper.do(http.MethodPost, at(s.order(t, s.wire, "50", false))+
		"/expected-days", map[string]any{"expected_on": "2026-09-01", "reason": "summer"}),
		http.StatusCreated)
	if got := s.stale(t); got != "" {
		t.Errorf("the plan is stale by %q, though no task calls for wire", got)
	}
	want[openapi.Order](t, s.keeper.do(http.MethodPost, at(o)+"/cancellation",
		map[string]any{"reason": "enough of them"}), http.StatusCreated)
	if got := s.stale(t); got != "order.cancelled" {
		t.Errorf("the plan is stale by %q, want order.cancelled: its hammers could have come of it", got)
	}
}
