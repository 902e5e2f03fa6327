package api_test

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
)

// hand adds somebody to the crew who is a user of the workshop, or none where it is empty.
func hand(tb testing.TB, c *client, user string) string {
	tb.Helper()
	id := newID(tb).String()
	body := map[string]any{
		"name": "Bruno Vale", "skills": []string{"stringing"}, "productive_share": "0.72",
	}
	if user != "" {
		body["user"] = user
	}
	want[openapi.Person](tb, c.do(http.MethodPut, "/v1/people/"+id, body, "If-None-Match: *"),
		http.StatusCreated)
	return id
}

// entering is a shop on a Monday with two jobs under way and two people of the crew.
type entering struct {
	*testing.T
	shop          *shop
	owner         *client
	first, second openapi.Job
	ada, bruno    string
}

func enteringHours(t *testing.T) entering {
	t.Helper()
	monday := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	s := openShopAt(t, func() time.Time { return monday })
	owner := s.as(domain.Owner)
	return entering{
		T: t, shop: s, owner: owner, first: jobUnderWay(t, owner), second: jobUnderWay(t, owner),
		ada: hand(t, owner, ""), bruno: hand(t, owner, ""),
	}
}

// on returns an entry of minutes on the nth task of a job.
func (e entering) on(person string, j openapi.Job, n, minutes int) map[string]any {
	return map[string]any{
		"person": person, "job": j.ID, "operation": j.Tasks[n].Operation, "minutes": minutes,
	}
}

func (e entering) enter(body map[string]any, headers ...string) answer {
	return e.owner.do(http.MethodPost, "/v1/time-entries", body, headers...)
}

func (e entering) entered(body map[string]any) openapi.TimeEntry {
	e.Helper()
	return want[openapi.TimeEntry](e, e.enter(body), http.StatusCreated)
}

// task returns a task of a job as it stands.
func (e entering) task(j openapi.Job, n int) openapi.Task {
	e.Helper()
	path := "/v1/jobs/" + j.ID.String()
	return want[openapi.Job](e, e.owner.do(http.MethodGet, path, nil), http.StatusOK).Tasks[n]
}

func (e entering) sheet(c *client, person, month string) openapi.Timesheet {
	e.Helper()
	return want[openapi.Timesheet](e,
		c.do(http.MethodGet, "/v1/people/"+person+"/timesheets/"+month, nil), http.StatusOK)
}

// wantFault wants a refusal at one member.
func (e entering) wantFault(what string, a answer, status int, pointer, says string) {
	e.Helper()
	kind := map[int]string{http.StatusConflict: "conflict"}[status]
	if kind == "" {
		kind = "validation"
	}
	p := wantProblem(e, a, status, kind)
	if pointersIn(p) != pointer || says != "" && !strings.Contains(p.Errors[0].Detail, says) {
		e.Errorf("%s: got %+v, want %q to say %q", what, p.Errors, pointer, says)
	}
}

// Two people book the same task at once: both entries are kept, and its hours are their sum. So it
// is with hours that come along with progress.
func TestWhoeverBooksOnATaskAtOnceNoHourIsLost(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	progress := "/v1/jobs/" + e.first.ID.String() + "/tasks/" + e.first.Tasks[0].Operation + "/progress"
	var all sync.WaitGroup
	const times = 8
	for n := range times {
		for _, person := range []string{e.ada, e.bruno} {
			all.Go(func() {
				a := e.enter(e.on(person, e.first, 0, 25))
				if a.status != http.StatusCreated {
					t.Errorf("entry %d: got %d: %s", n, a.status, a.body)
				}
				a = e.owner.do(http.MethodPost, progress, map[string]any{
					"hours": "0.25", "person": person, "left": "3", "finished": false,
				})
				if a.status != http.StatusCreated {
					t.Errorf("progress %d: got %d: %s", n, a.status, a.body)
				}
			})
		}
	}
	all.Wait()
	// 16 × 25 min and 16 × 15 min are 640 min.
	if got := e.task(e.first, 0); got.Done.String() != "10.6667" || got.Left.String() != "3" {
		t.Errorf("%v h are done and %v left, want 640 min and 3 h", got.Done, got.Left)
	}
	list := want[openapi.TimeEntryPage](t, e.owner.do(http.MethodGet,
		"/v1/jobs/"+e.first.ID.String()+"/time-entries?limit=200", nil), http.StatusOK).Items
	sum := 0
	for _, x := range list {
		sum += x.Minutes
	}
	if len(list) != 4*times || sum != 640 {
		t.Errorf("%d entries of %d min are kept, want %d of 640", len(list), sum, 4*times)
	}
	if s := e.sheet(e.owner, e.ada, "2026-03"); s.Total.Minutes != 320 || len(s.Entries) != 2*times {
		t.Errorf("the timesheet has %+v in %d entries", s.Total, len(s.Entries))
	}
}

func TestNobodyWorks25HoursADayWhoeverBooksAtOnce(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	var all sync.WaitGroup
	var mu sync.Mutex
	taken := 0
	for n := range 12 { // of 3 h each, 8 make a day
		all.Go(func() {
			body := e.on(e.ada, []openapi.Job{e.first, e.second}[n%2], 0, 180)
			if n%3 == 0 {
				body = map[string]any{"person": e.ada, "duty": "training", "hours": "3"}
			}
			a := e.enter(body)
			mu.Lock()
			defer mu.Unlock()
			if a.status == http.StatusCreated {
				taken++
				return
			}
			e.wantFault("too much", a, http.StatusUnprocessableEntity,
				map[bool]string{true: "hours", false: "minutes"}[n%3 == 0], "27 h")
		})
	}
	all.Wait()
	if s := e.sheet(e.owner, e.ada, "2026-03"); taken != 8 || s.Total.Minutes != 24*60 {
		t.Errorf("%d entries were taken, and %+v stand on the timesheet", taken, s.Total)
	}
	e.entered(e.on(e.bruno, e.first, 0, 60)) // each has a day of his own
}

func TestHoursAreTakenBackOnceByAnEntryThatSaysWhy(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	wrong := e.entered(e.on(e.ada, e.first, 0, 90))
	back := "/v1/time-entries/" + wrong.ID.String() + "/reversal"
	e.wantFault("no word why", e.owner.do(http.MethodPost, back, map[string]any{"why": " "}),
		http.StatusUnprocessableEntity, "why", "")
	e.wantFault("more than there is", e.owner.do(http.MethodPost, back, map[string]any{
		"minutes": 91, "why": "the wrong piano",
	}), http.StatusUnprocessableEntity, "minutes", "1 h 30 min")
	var all sync.WaitGroup
	var mu sync.Mutex
	statuses := map[int]int{}
	for range 6 {
		all.Go(func() {
			a := e.owner.do(http.MethodPost, back, map[string]any{"why": "it was the other piano"})
			mu.Lock()
			defer mu.Unlock()
			statuses[a.status]++
		})
	}
	all.Wait()
	if statuses[http.StatusCreated] != 1 || statuses[http.StatusConflict] != 5 {
		t.Errorf("taken back six times at once: %v, want once", statuses)
	}
	if got := e.task(e.first, 0).Done; !got.IsZero() {
		t.Errorf("%v h are done, want none", got)
	}
	s := e.sheet(e.owner, e.ada, "2026-03")
	if len(s.Entries) != 2 || s.Entries[1].Reverses != wrong.ID || s.Entries[1].Minutes != -90 ||
		s.Entries[1].Correction == "" || s.Total.Minutes != 0 {
		t.Errorf("the timesheet has %+v, want both entries", s.Entries)
	}
	wantProblem(t, e.owner.do(http.MethodPost, "/v1/time-entries/"+s.Entries[1].ID.String()+
		"/reversal", map[string]any{"why": "it was right after all"}), http.StatusConflict, "conflict")
	wantProblem(t, e.owner.do(http.MethodPost, "/v1/time-entries/"+uuid.NewString()+"/reversal",
		map[string]any{"why": "x"}), http.StatusNotFound, "not-found")
}

// What comes in while a week is approved is either approved with it or refused as late: nothing of
// an approved week is pending without a word why.
func TestAWeekIsApprovedWholeWhileHoursComeIn(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	e.entered(e.on(e.ada, e.first, 0, 1))
	approve := "/v1/people/" + e.ada + "/approvals"
	var all sync.WaitGroup
	for n := range 10 {
		all.Go(func() {
			if n == 5 {
				want[openapi.TimeApproval](t, e.owner.do(http.MethodPost, approve,
					map[string]any{"week": "2026-03-02"}), http.StatusCreated)
				return
			}
			if a := e.enter(e.on(e.ada, e.first, 0, 10)); a.status != http.StatusCreated {
				e.wantFault("late", a, http.StatusUnprocessableEntity, "correction", "2026-03-02")
			}
		})
	}
	all.Wait()
	s := e.sheet(e.owner, e.ada, "2026-03")
	if s.Total.Pending != 0 || len(s.Approvals) != 1 || s.Approvals[0].Minutes != s.Total.Approved ||
		s.Approvals[0].Entries != len(s.Entries) {
		t.Fatalf("got %+v with %+v, want all approved", s.Total, s.Approvals)
	}
	late := e.entered(with(e.on(e.ada, e.first, 0, 10), map[string]any{"correction": "forgotten"}))
	if late.Status != openapi.TimeEntryStatusPending {
		t.Errorf("a correction is %s, want it pending", late.Status)
	}
	back := want[openapi.TimeEntry](t, e.owner.do(http.MethodPost,
		"/v1/time-entries/"+s.Entries[0].ID.String()+"/reversal", map[string]any{"why": "not at all"}),
		http.StatusCreated)
	seen := map[string]any{"week": "2026-03-02", "minutes": late.Minutes}
	wantProblem(t, e.owner.do(http.MethodPost, approve, seen), http.StatusConflict, "conflict")
	seen["minutes"] = late.Minutes + back.Minutes
	again := want[openapi.TimeApproval](t, e.owner.do(http.MethodPost, approve, seen),
		http.StatusCreated)
	if again.Entries != 2 {
		t.Errorf("got %+v, want the two corrections approved", again)
	}
	wantProblem(t, e.owner.do(http.MethodPost, approve, map[string]any{"week": "2026-03-02"}),
		http.StatusConflict, "conflict")
	progress := "/v1/jobs/" + e.first.ID.String() + "/tasks/" + e.first.Tasks[0].Operation + "/progress"
	word := map[string]any{"hours": "0.25", "person": e.ada, "left": "0", "finished": true}
	e.wantFault("late with progress", e.owner.do(http.MethodPost, progress, word),
		http.StatusUnprocessableEntity, "correction", "2026-03-02")
	word["worked_on"] = "2026-03-03"
	e.wantFault("tomorrow", e.owner.do(http.MethodPost, progress, word),
		http.StatusUnprocessableEntity, "worked_on correction", "")
	word["worked_on"], word["correction"] = "2026-03-02", "forgotten"
	want[openapi.Job](t, e.owner.do(http.MethodPost, progress, word), http.StatusCreated)
	if s := e.sheet(e.owner, e.ada, "2026-03"); s.Total.Pending != 15 {
		t.Errorf("%d min are pending, want the 15 of progress", s.Total.Pending)
	}
	e.wantFault("no Monday", e.owner.do(http.MethodPost, approve, map[string]any{"week": "2026-03-03"}),
		http.StatusUnprocessableEntity, "week", "2026-03-02")
}

func TestHoursThatCannotBeAreRefusedAtTheirField(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	done := e.first.Tasks[0].Operation
	progress := "/v1/jobs/" + e.first.ID.String() + "/tasks/" + done + "/progress"
	want[openapi.Job](t, e.owner.do(http.MethodPost, progress, map[string]any{
		"left": "0", "finished": true,
	}), http.StatusCreated)
	closed := jobUnderWay(t, e.owner)
	want[openapi.Job](t, e.owner.do(http.MethodPost, "/v1/jobs/"+closed.ID.String()+"/closing",
		map[string]any{"outcome": "abandoned", "closed_on": "2026-03-02", "why": "sold as it stands"}),
		http.StatusOK)
	e.entered(map[string]any{
		"person": e.ada, "duty": "waiting", "from": "09:00", "to": "11:00",
	})
	ok := e.on(e.ada, e.second, 0, 60)
	for what, x := range map[string]struct {
		change  map[string]any
		status  int
		pointer string
		says    string
	}{
		"25 h":               {map[string]any{"minutes": nil, "hours": "25"}, 422, "hours", "25 h"},
		"more than a day":    {map[string]any{"minutes": 1500}, 422, "minutes", ""},
		"no time":            {map[string]any{"minutes": nil}, 422, "minutes", ""},
		"parts of a minute":  {map[string]any{"minutes": nil, "hours": "0.33"}, 422, "hours", "19.8"},
		"said twice":         {map[string]any{"hours": "1"}, 422, "hours", ""},
		"tomorrow":           {map[string]any{"worked_on": "2026-03-03"}, 422, "worked_on", "2026-03-02"},
		"at the same time":   {map[string]any{"from": "10:30", "to": "11:30"}, 422, "from", "09:00"},
		"backwards":          {map[string]any{"from": "12:30", "to": "11:30"}, 422, "to", ""},
		"no end":             {map[string]any{"from": "12:30"}, 422, "to", ""},
		"an unknown person":  {map[string]any{"person": uuid.NewString()}, 422, "person", ""},
		"an unknown job":     {map[string]any{"job": uuid.NewString()}, 422, "job", ""},
		"an unknown task":    {map[string]any{"operation": "ZZ-01"}, 422, "operation", ""},
		"nobody":             {map[string]any{"person": nil}, 422, "person", ""},
		"a job as a whole":   {map[string]any{"operation": nil}, 422, "operation", ""},
		"a task and a duty":  {map[string]any{"duty": "training"}, 422, "duty", ""},
		"an unknown duty":    {map[string]any{"duty": "dreaming"}, 422, "duty", ""},
		"a wrong clock":      {map[string]any{"from": "8:30", "to": "25:00"}, 422, "from to", ""},
		"what isn't a field": {map[string]any{"rate": "31.50"}, 422, "rate", ""},
		"a finished task": {
			map[string]any{"job": e.first.ID, "operation": done}, 409, "operation", "record progress",
		},
		"a closed job": {
			map[string]any{"job": closed.ID, "operation": closed.Tasks[0].Operation},
			409, "job",
			"another job",
		},
	} {
		body := with(ok, x.change)
		for k, v := range x.change {
			if v == nil {
				delete(body, k)
			}
		}
		e.wantFault(what, e.enter(body), x.status, x.pointer, x.says)
	}
	e.entered(ok)
	// What the refusals tell to do is done: forgotten hours come with progress that says why.
	late := map[string]any{"hours": "0.5", "person": e.ada, "left": "0", "finished": true}
	e.wantFault("no word why", e.owner.do(http.MethodPost, progress, late),
		http.StatusUnprocessableEntity, "note", "")
	late["note"] = "forgotten"
	want[openapi.Job](t, e.owner.do(http.MethodPost, progress, late), http.StatusCreated)
	if got := e.task(e.first, 0); got.Done.String() != "0.5" || got.FinishedAt.IsZero() {
		t.Errorf("got %+v, want half an hour on the finished task", got)
	}
	late["note"], late["done"] = "and another", "0.5"
	e.wantFault("counted without it", e.owner.do(http.MethodPost, progress, late),
		http.StatusUnprocessableEntity, "done", "the 1 h")
}

func TestTheBenchEntersAndSeesItsOwnHours(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	bench := e.shop.as(domain.Bench)
	me := want[openapi.Me](t, bench.do(http.MethodGet, "/v1/me", nil), http.StatusOK)
	mine := e.on(e.ada, e.first, 0, 60)
	delete(mine, "person")
	e.wantFault("as nobody of the crew", bench.do(http.MethodPost, "/v1/time-entries", mine),
		http.StatusUnprocessableEntity, "person", "")
	own := hand(t, e.owner, me.User.String())
	a := want[openapi.TimeEntry](t, bench.do(http.MethodPost, "/v1/time-entries", mine),
		http.StatusCreated)
	if a.Person.String() != own {
		t.Errorf("the hours are %v's, want %v's", a.Person, own)
	}
	theirs := e.entered(e.on(e.ada, e.first, 0, 30))
	progress := "/v1/jobs/" + e.first.ID.String() + "/tasks/" + e.first.Tasks[0].Operation + "/progress"
	for what, x := range map[string]answer{
		"another's entry": bench.do(http.MethodPost, "/v1/time-entries", e.on(e.ada, e.first, 0, 60)),
		"another's progress": bench.do(http.MethodPost, progress, map[string]any{
			"hours": "1", "person": e.ada, "left": "3", "finished": false,
		}),
		"another's reversal": bench.do(http.MethodPost,
			"/v1/time-entries/"+theirs.ID.String()+"/reversal", map[string]any{"why": "x"}),
		"another's timesheet": bench.do(http.MethodGet, "/v1/people/"+e.ada+"/timesheets/2026-03", nil),
		"an approval": bench.do(http.MethodPost, "/v1/people/"+own+"/approvals",
			map[string]any{"week": "2026-03-02"}),
		"a viewer's look": e.shop.as(domain.Viewer).do(http.MethodGet,
			"/v1/people/"+e.ada+"/timesheets/2026-03", nil),
	} {
		if x.status != http.StatusForbidden {
			t.Errorf("%s: got %d: %s", what, x.status, x.body)
		}
	}
	if s := e.sheet(bench, own, "2026-03"); s.Total.Minutes != 60 || s.Total.Pending != 60 {
		t.Errorf("the own timesheet has %+v", s.Total)
	}
	if s := e.sheet(e.shop.as(domain.Bookkeeper), own, "2026-03"); s.Total.Minutes != 60 {
		t.Errorf("the bookkeeper sees %+v", s.Total)
	}
	want[openapi.TimeApproval](t, e.shop.as(domain.Manager).do(http.MethodPost,
		"/v1/people/"+own+"/approvals", map[string]any{"week": "2026-03-02"}), http.StatusCreated)
	wantProblem(t, e.owner.do(http.MethodPut, "/v1/people/"+newID(t).String(), map[string]any{
		"name": "Twice", "skills": []string{"belly"}, "productive_share": "0.7", "user": me.User,
	}, "If-None-Match: *"), http.StatusConflict, "conflict")
	e.wantFault("nobody's user", e.owner.do(http.MethodPut, "/v1/people/"+newID(t).String(),
		map[string]any{
			"name": "Nobody", "skills": []string{"belly"}, "productive_share": "0.7",
			"user": uuid.NewString(),
		}, "If-None-Match: *"), http.StatusUnprocessableEntity, "user", "")
}

func TestATimesheetAsAFileHasTheSameSums(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	first := e.entered(with(e.on(e.ada, e.first, 0, 125), map[string]any{
		"note": "=HYPERLINK(\"x\")", "worked_on": "2026-02-27", "rework": "normal",
	}))
	e.entered(with(e.on(e.ada, e.second, 0, 50), map[string]any{"worked_on": "2026-02-28"}))
	e.entered(map[string]any{
		"person": e.ada, "duty": "upkeep", "hours": "0.75", "worked_on": "2026-02-28",
	})
	want[openapi.TimeApproval](t, e.owner.do(http.MethodPost, "/v1/people/"+e.ada+"/approvals",
		map[string]any{"week": "2026-02-23"}), http.StatusCreated)
	want[openapi.TimeEntry](t, e.owner.do(http.MethodPost, "/v1/time-entries/"+first.ID.String()+
		"/reversal", map[string]any{"minutes": 25, "why": "a break"}), http.StatusCreated)
	e.entered(e.on(e.ada, e.first, 0, 60)) // of March
	s := e.sheet(e.owner, e.ada, "2026-02")
	if s.Total.Minutes != 195 || s.Total.Approved != 220 || s.Total.Pending != -25 ||
		s.Total.Hours.String() != "3.25" || len(s.Days) != 2 || len(s.Work) != 3 ||
		len(s.Approvals) != 1 || s.Entries[0].Instrument == "" || s.Entries[0].Task == "" {
		t.Errorf("got %+v", s)
	}
	days, work := 0, 0
	for _, d := range s.Days {
		days += d.Sum.Minutes
	}
	for _, w := range s.Work {
		work += w.Sum.Minutes
	}
	path := "/v1/people/" + e.ada + "/timesheets/2026-02"
	a := e.owner.do(http.MethodGet, path, nil, "Accept: text/csv")
	rows, err := csv.NewReader(strings.NewReader(string(a.body))).ReadAll()
	if err != nil || a.status != http.StatusOK || a.header.Get("Content-Type") != "text/csv" {
		t.Fatalf("got %d %q, %v", a.status, a.header.Get("Content-Type"), err)
	}
	file := 0
	for _, row := range rows[1:] {
		n, err := strconv.Atoi(row[slices.Index(rows[0], "minutes")])
		if err != nil {
			t.Fatal(err)
		}
		file += n
	}
	if days != 195 || work != 195 || file != 195 || len(rows) != 5 ||
		!strings.Contains(string(a.body), "'=HYPERLINK") {
		t.Errorf("by day %d, by work %d, in the file %d min:\n%s", days, work, file, a.body)
	}
	wantProblem(t, e.owner.do(http.MethodGet, path, nil, "Accept: image/png"),
		http.StatusNotAcceptable, "not-acceptable")
	wantProblem(t, e.owner.do(http.MethodGet, "/v1/people/"+e.ada+"/timesheets/2026-13", nil),
		http.StatusUnprocessableEntity, "validation")
	wantProblem(t, e.owner.do(http.MethodGet,
		"/v1/people/"+uuid.NewString()+"/timesheets/2026-02", nil), http.StatusNotFound, "not-found")
}

func TestHoursSentAgainWithTheirKeyAreEnteredOnce(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	key := "Idempotency-Key: monday"
	body := e.on(e.ada, e.first, 0, 60)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			if a := e.enter(body, key); a.status != http.StatusCreated && a.status != http.StatusConflict {
				t.Errorf("got %d: %s", a.status, a.body)
			}
		})
	}
	all.Wait()
	first := want[openapi.TimeEntry](t, e.enter(body, key), http.StatusCreated)
	if s := e.sheet(e.owner, e.ada, "2026-03"); len(s.Entries) != 1 || s.Entries[0].ID != first.ID {
		t.Errorf("the timesheet has %+v, want one entry", s.Entries)
	}
	wantProblem(t, e.enter(e.on(e.ada, e.first, 0, 61), key), http.StatusUnprocessableEntity,
		"idempotency-key-reused")
}

// A closed job keeps its hours; only that they were never worked there is still taken.
func TestAClosedJobGivesBackHoursThatWereNeverWorkedThere(t *testing.T) {
	t.Parallel()
	e := enteringHours(t)
	wrong := e.entered(with(e.on(e.ada, e.first, 0, 90), map[string]any{"worked_on": "2026-03-02"}))
	end := "/v1/jobs/" + e.first.ID.String() + "/closing"
	e.wantFault("before its last hours", e.owner.do(http.MethodPost, end, map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-01", "why": "sold",
	}), http.StatusUnprocessableEntity, "closed_on", "2026-03-02")
	want[openapi.Job](t, e.owner.do(http.MethodPost, end, map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-02", "why": "sold",
	}), http.StatusOK)
	want[openapi.TimeEntry](t, e.owner.do(http.MethodPost,
		"/v1/time-entries/"+wrong.ID.String()+"/reversal", map[string]any{"why": "the other piano"}),
		http.StatusCreated)
	if got := e.task(e.first, 0).Done; !got.IsZero() {
		t.Errorf("%v h are done, want none", got)
	}
	told := map[string]int{}
	for _, x := range feed(t, e.owner) {
		if x.Kind == "task.worked" {
			told[fmt.Sprint(strings.Contains(string(x.Data), `"reverses"`))]++
		}
	}
	if told["true"] != 1 || told["false"] != 1 {
		t.Errorf("the feed tells %v", told)
	}
}

func TestWhoIsNotOnThePayrollIsSaid(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	path := "/v1/people/" + newID(t).String()
	body := map[string]any{
		"name": "Ines Duarte", "skills": []string{"belly"}, "productive_share": "0.6",
		"on_payroll": false,
	}
	put := func(header string) openapi.Person {
		a := owner.do(http.MethodPut, path, body, header)
		if a.status >= http.StatusMultipleChoices {
			t.Fatalf("got %d: %s", a.status, a.body)
		}
		return want[openapi.Person](t, a, a.status)
	}
	if p := put("If-None-Match: *"); p.OnPayroll {
		t.Error("she is on the payroll")
	}
	if p := put("If-None-Match: *"); p.OnPayroll || p.Version != 1 { // sent again
		t.Errorf("sent again: %+v", p)
	}
	delete(body, "on_payroll")
	if a := owner.do(http.MethodPut, path, body, "If-None-Match: *"); a.status !=
		http.StatusPreconditionFailed {
		t.Errorf("sent anew as somebody on the payroll: got %d", a.status)
	}
	if p := put(`If-Match: "v1"`); !p.OnPayroll {
		t.Error("left out, she isn't on the payroll")
	}
}
