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
)

// jobUnderWay accepts a scope of a surveyed grand.
func jobUnderWay(tb testing.TB, c *client) openapi.Job {
	tb.Helper()
	i, s := surveyedOurs(tb, c)
	scope := want[openapi.Scope](tb, c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+
		"/scopes",
		map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	return want[openapi.Job](tb, c.do(http.MethodPost, "/v1/jobs",
		map[string]any{"scope": scope.ID, "accepted_on": "2026-02-26"}), http.StatusCreated)
}

// A piano on offer is its seller's: it is bought before anybody plans work on it.
func TestAPianoOnOfferIsBoughtBeforeItsWorkIsAccepted(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, s := surveyed(t, owner)
	at := "/v1/instruments/" + i.ID.String()
	scope := want[openapi.Scope](t, owner.do(http.MethodPost, at+"/scopes",
		map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	accept := map[string]any{"scope": scope.ID, "accepted_on": "2026-11-25"}
	p := wantProblem(
		t, owner.do(http.MethodPost, "/v1/jobs", accept), http.StatusConflict, "conflict",
	)
	if !strings.Contains(p.Detail, "only on offer") || !strings.Contains(p.Detail, "bought") {
		t.Errorf("refused with %q, want it to say that the piano must be bought", p.Detail)
	}
	bid := bidOn(t, owner, s, nil)
	want[openapi.BidOffer](t, owner.do(http.MethodPost, "/v1/bids/"+bid.ID.String()+"/offers",
		bought("K-7")), http.StatusCreated)
	want[openapi.Job](t, owner.do(http.MethodPost, "/v1/jobs", accept), http.StatusCreated)
}

func TestAJobIsBookedSuspendedResumedAndClosedOverHTTP(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner, bench := s.as(domain.Owner), s.as(domain.Bench)
	j := jobUnderWay(t, owner)
	path, task := "/v1/jobs/"+j.ID.String(), j.Tasks[0].Operation
	hand(t, owner, want[openapi.Me](t, bench.do(http.MethodGet, "/v1/me", nil), http.StatusOK).
		User.String())
	booked := bench.do(http.MethodPost, path+"/tasks/"+task+"/progress", map[string]any{
		"hours": "2", "done": "2", "left": "1.5", "finished": false,
	})
	now := want[openapi.Job](t, booked, http.StatusCreated)
	if got := now.Tasks[0]; got.Done.String() != "2" || got.Left.String() != "1.5" ||
		now.Version != j.Version+1 {
		t.Errorf("got %+v at version %d", got, now.Version)
	}
	until := domain.DateOf(j.CreatedAt).AddDays(30)
	rest := map[string]any{"operation": task, "why": "the glue is late", "until": until.String()}
	resting := want[openapi.Job](t, owner.do(http.MethodPost, path+"/suspensions", rest),
		http.StatusCreated)
	if len(resting.Suspensions) != 1 {
		t.Fatalf("got %+v, want one suspension", resting.Suspensions)
	}
	dates := want[openapi.JobDates](t, bench.do(http.MethodGet, path+"/dates", nil), http.StatusOK)
	if len(dates.Queued.Steps) == 0 || dates.Queued.ReadyOn < until.String() {
		t.Errorf("ready on %s while its first task rests until %s", dates.Queued.ReadyOn, until)
	}
	resume := path + "/suspensions/" + resting.Suspensions[0].ID.String() + "/resumption"
	want[openapi.Job](t, owner.do(http.MethodPost, resume, map[string]any{"why": "it has come"}),
		http.StatusOK)
	end := map[string]any{
		"outcome": "abandoned", "closed_on": domain.DateOf(time.Now()).String(),
		"why": "sold as it stands",
	}
	if closed := want[openapi.Job](t, owner.do(http.MethodPost, path+"/closing", end),
		http.StatusOK); closed.State != "closed" {
		t.Errorf("got %+v", closed)
	}
	refused := owner.do(http.MethodPost, path+"/suspensions", rest)
	if p := wantProblem(t, refused, http.StatusConflict, "conflict"); !strings.Contains(p.Detail,
		"closed") {
		t.Errorf("got %q, want it to say that the job is closed", p.Detail)
	}
	if list := want[openapi.JobPage](t, owner.do(http.MethodGet, "/v1/jobs?closed=true", nil),
		http.StatusOK); len(list.Items) != 1 {
		t.Errorf("%d closed jobs, want one", len(list.Items))
	}
}

func TestTheBenchSeesWhatWasPlannedButNotTheMoney(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	path := "/v1/jobs/" + jobUnderWay(t, s.as(domain.Owner)).ID.String() + "/baseline"
	full := s.as(domain.Owner).do(http.MethodGet, path, nil)
	plain := s.as(domain.Bench).do(http.MethodGet, path, nil)
	seen := want[openapi.Baseline](t, full, http.StatusOK)
	if seen.ExpectedCost.Likely.Currency != "EUR" || seen.ReadyOn == "" || len(seen.Steps) == 0 ||
		!seen.PlannedHours.IsPositive() {
		t.Errorf("got %+v", seen)
	}
	if want[openapi.Baseline](t, plain, http.StatusOK); strings.Contains(string(plain.body),
		"currency") {
		t.Error("the bench is shown money")
	}
}

// Where two jobs need one place of the shop, the one that was moved ahead goes first from now on.
func TestAJobIsMovedInTheQueue(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager := s.as(domain.Manager)
	jobs := make([]openapi.Job, 4)
	for i := range jobs {
		jobs[i] = jobUnderWay(t, manager)
	}
	move := func(i, place int, version string) answer {
		return manager.do(http.MethodPut, "/v1/jobs/"+jobs[i].ID.String()+"/place",
			map[string]any{"place": place}, `If-Match: "`+version+`"`)
	}
	inQueue := func(want ...int) {
		t.Helper()
		var wanted, got []string
		for _, i := range want {
			wanted = append(wanted, jobs[i].ID.String())
		}
		for _, page := range pagesOf(t, manager, pagedList{path: "/v1/jobs"}, 2, nil) {
			got = append(got, page...)
		}
		if !slices.Equal(got, wanted) {
			t.Errorf("the queue is\n     %v\nwant %v", got, wanted)
		}
	}
	ahead := want[openapi.Job](t, move(3, 2, "v1"), http.StatusOK)
	if ahead.Place != 2 || ahead.Version != 2 {
		t.Errorf("moved to place %d, version %d, want 2 and 2", ahead.Place, ahead.Version)
	}
	inQueue(0, 3, 1, 2)
	passed := want[openapi.Job](t, manager.do(http.MethodGet, "/v1/jobs/"+jobs[1].ID.String(), nil),
		http.StatusOK)
	if passed.Place != 3 || passed.Version != 2 {
		t.Errorf("the one behind is at place %d, version %d, want 3 and 2", passed.Place, passed.Version)
	}
	wantProblem(t, move(1, 1, "v1"), http.StatusPreconditionFailed, "stale-version")
	if last := want[openapi.Job](t, move(0, 1000, "v1"), http.StatusOK); last.Place != 4 {
		t.Errorf("behind the last, it is at place %d, want 4", last.Place)
	}
	inQueue(3, 1, 2, 0)
	want[openapi.Job](t, move(3, 1, "v3"), http.StatusOK) // where it is
	inQueue(3, 1, 2, 0)
	wantProblem(t, manager.do(http.MethodPut, "/v1/jobs/"+jobs[1].ID.String()+"/place",
		map[string]any{"place": 1}), http.StatusPreconditionRequired, "precondition-required")
	if p := wantProblem(t, move(1, 0, "v3"), http.StatusUnprocessableEntity,
		"validation"); p.Errors[0].Pointer != "#/place" {
		t.Errorf("got %+v, want #/place", p.Errors)
	}
	want[openapi.Job](t, manager.do(http.MethodPost, "/v1/jobs/"+jobs[2].ID.String()+"/closing",
		map[string]any{
			"outcome": "abandoned", "closed_on": jobs[2].AcceptedOn, "why": "called off",
		}), http.StatusOK)
	wantProblem(t, move(2, 1, "v4"), http.StatusConflict, "conflict")
	inQueue(3, 1, 0)
	events := feed(t, s.as(domain.Owner))
	moved := 0
	for _, e := range events {
		if e.Kind == "job.moved" {
			moved++
		}
	}
	if moved != 3 {
		t.Errorf("the feed tells of %d moves, want 3", moved)
	}
}

// Of managers who rearrange the queue at once, none waits for another for ever, and every job has a
// place of its own.
func TestTheQueueStaysWholeWhileManyRearrangeIt(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager := s.as(domain.Manager)
	jobs := make([]openapi.Job, 3)
	for i := range jobs {
		jobs[i] = jobUnderWay(t, manager)
	}
	var all sync.WaitGroup
	for n := range 12 {
		all.Go(func() {
			path := "/v1/jobs/" + jobs[n%3].ID.String()
			tag := manager.do(http.MethodGet, path, nil).header.Get("ETag")
			a := manager.do(http.MethodPut, path+"/place", map[string]any{"place": 1 + n%2*2},
				"If-Match: "+tag)
			if a.status != http.StatusOK && a.status != http.StatusPreconditionFailed {
				t.Errorf("got %d: %s", a.status, a.body)
			}
			b := manager.do(http.MethodPost, path+"/tasks/"+jobs[0].Tasks[0].Operation+"/progress",
				map[string]any{"left": "1", "finished": false})
			if b.status != http.StatusCreated {
				t.Errorf("booking meanwhile: got %d: %s", b.status, b.body)
			}
		})
	}
	all.Wait()
	places := map[int]bool{}
	for _, j := range want[openapi.JobPage](t, manager.do(http.MethodGet, "/v1/jobs", nil),
		http.StatusOK).Items {
		places[j.Place] = true
	}
	if len(places) != 3 || !places[1] || !places[2] || !places[3] {
		t.Errorf("the places are %v, want 1 to 3", places)
	}
}
