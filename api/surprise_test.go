package api_test

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// surprises are what is found on the ten pianos of a shop that joined with all of them half-done,
// in the order of its file, and what each calls for beyond the work in hand. None of them has lines
// for the case, the keys or the bass strings; all have the action stripped or waiting for it.
var surprises = []struct{ says, point, value, added string }{
	{
		"the plank is parted under the new strings", "SV-15", "3",
		"DS-03 BD-02 BD-03 BD-13 FR-02 FR-03 FR-04 FR-05 FR-06 ST-01 ST-03",
	},
	{"live moth under the keys", "SV-46", "15", "KY-01 DA-01 DA-03"},
	{"no felt left at the top", "SV-32", "1.5", "AC-06 KY-06 RG-02 VO-01"},
	{
		"the case is worn through to bare wood", "SV-50", "3",
		"CS-01 CS-01L CS-03 CS-03L CS-07 CS-07L CS-08 CS-08L",
	},
	{"the keys rattle", "SV-39", "1.5", "KY-02"},
	{
		"the caps are split along the pins", "SV-28", "12",
		"DS-03 BD-12 BD-13 FR-02 FR-03 FR-04 FR-05 FR-06 ST-01 ST-03",
	},
	{"the pedals knock", "SV-49", "20", "DA-02"},
	{"every centre is slack", "SV-36", "14", ""},
	{"the dampers ring on", "SV-47", "12", "DA-01 DA-03"},
	{"the pins turn by hand", "SV-11", "1", "BD-05"},
}

// TestEachOfTenPianosThatJoinedHalfDoneGetsTheWorkThatItsSurpriseCallsFor joins ten pianos by one
// file with an order that cannot be in it, and finds something wrong on each.
func TestEachOfTenPianosThatJoinedHalfDoneGetsTheWorkThatItsSurpriseCallsFor(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	scarce(t, owner)
	// The eighth piano's action is said to be done while the piano has not been stripped down.
	file, wrong := tenPianos(t), 0
	for n, line := range strings.Split(file, "\n") {
		if strings.HasPrefix(line, "task,H,") && strings.Contains(line, "AC-01,0,8.5") {
			file = strings.Replace(file, line, strings.Replace(line, "AC-01,0,8.5", "AC-01,8,0", 1), 1)
			wrong = n + 1
		}
	}
	dry := want[openapi.JoinReport](t,
		owner.do(http.MethodPost, "/v1/joins?dry_run=true", file, asCSV), http.StatusOK)
	joined := want[openapi.JoinReport](t,
		owner.do(http.MethodPost, "/v1/joins", file, asCSV), http.StatusCreated)
	for _, report := range []openapi.JoinReport{dry, joined} {
		var warned []string
		for _, p := range report.Pianos {
			for _, w := range p.Warnings {
				warned = append(warned, fmt.Sprintf("%s: line %d, %s, %s before %v", p.Ref, w.Line,
					w.Pointer, w.Operation, w.Ahead))
			}
		}
		if w := []string{
			"D: line 51, #/pianos/3/tasks/7, AC-02 before [AC-01]", // which was begun
			fmt.Sprintf("H: line %d, #/pianos/7/tasks/4, AC-01 before [DS-01]", wrong),
		}; !slices.Equal(warned, w) {
			t.Errorf("dry run %v: warned of\n%s\nwant\n%s", report.DryRun,
				strings.Join(warned, "\n"), strings.Join(w, "\n"))
		}
	}
	for i, x := range surprises {
		job := want[openapi.Job](t,
			owner.do(http.MethodGet, "/v1/jobs/"+joined.Pianos[i].Job.String(), nil), http.StatusOK)
		s := surpriseOn{T: t, owner: owner, path: "/v1/jobs/" + job.ID.String(), job: job}
		s.found(x.says, x.point, x.value, strings.Fields(x.added))
	}
}

// surpriseOn is a job on which something is found.
type surpriseOn struct {
	*testing.T
	owner *client
	path  string
	job   openapi.Job
}

// found proposes what a finding calls for, accepts it where the piano is ours, and looks at what
// the job has and when it is planned.
func (s surpriseOn) found(says, point, value string, added []string) {
	s.Helper()
	p := want[openapi.Proposal](s, s.owner.do(http.MethodPost, s.path+"/proposals", map[string]any{
		"says":     says,
		"findings": []any{map[string]any{"point": point, "value": value}},
	}), http.StatusCreated)
	if got := operations(p.Added); !slices.Equal(got, added) {
		s.Errorf("%s: adds %v, want %v", says, got, added)
	}
	if len(p.Removed)+len(p.Changed) > 0 {
		s.Errorf("%s: removes %v, changes %v", says, operations(p.Removed), p.Changed)
	}
	for _, x := range s.job.Tasks {
		if slices.Contains(operations(p.Added), x.Operation) {
			s.Errorf("%s: %s is added, and the job has it", says, x.Operation)
		}
	}
	if p.NeedsConsent || p.Price != nil {
		return // the client is asked first
	}
	if len(added) == 0 {
		return
	}
	want[openapi.Proposal](s, s.owner.do(http.MethodPost, s.path+"/proposals/"+p.ID.String()+
		"/decision", map[string]any{"accept": true, "reason": "it won't hold otherwise"}),
		http.StatusCreated)
	now := want[openapi.Job](s, s.owner.do(http.MethodGet, s.path, nil), http.StatusOK)
	if len(now.Tasks) != len(s.job.Tasks)+len(added) {
		s.Errorf("%s: %d tasks, want the %d and %d more", says, len(now.Tasks), len(s.job.Tasks),
			len(added))
	}
	s.inOrder(says)
}

func operations(lines []openapi.ProposedLine) []string {
	list := make([]string, 0, len(lines))
	for _, l := range lines {
		list = append(list, l.Operation)
	}
	return list
}

// inOrder checks the planned dates against some orders that the trade knows.
func (s surpriseOn) inOrder(says string) {
	s.Helper()
	dates := want[openapi.JobDates](s, s.owner.do(http.MethodGet, s.path+"/dates", nil),
		http.StatusOK)
	starts, ends := map[string]time.Time{}, map[string]time.Time{}
	for _, x := range dates.Queued.Steps {
		if _, there := starts[x.Operation]; !there {
			starts[x.Operation] = x.Start
		}
		ends[x.Operation] = x.Finish
	}
	for _, order := range []string{
		"DS-01 AC-01", "DS-02 DS-03", "DS-03 BD-02", "BD-02 BD-03", "BD-03 FR-06", "FR-06 ST-02",
		"ST-02 ST-05", "BD-13 FR-06", "KY-01 RG-01", "KY-02 RG-01", "AC-06 RG-01", "RG-01 VO-01",
		"RG-01 RG-02", "AC-01 RG-01", "TU-01 TU-03", "RG-01 TU-03",
	} {
		first, then, _ := strings.Cut(order, " ")
		end, before := ends[first]
		start, after := starts[then]
		if before && after && start.Before(end) {
			s.Errorf("%s: %s is planned from %v, and %s until %v", says, then, start, first, end)
		}
	}
}

// TestHoursBeforeTheirTimeAreTakenWithTheirReason books the keys' regulation while the strings are
// still off.
func TestHoursBeforeTheirTimeAreTakenWithTheirReason(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	joined := want[openapi.JoinReport](t,
		owner.do(http.MethodPost, "/v1/joins", tenPianos(t), asCSV), http.StatusCreated)
	path := "/v1/jobs/" + joined.Pianos[0].Job.String()
	person := hand(t, owner, "")
	book := func(body map[string]any) answer {
		return owner.do(http.MethodPost, path+"/tasks/RG-01/progress",
			with(map[string]any{
				"hours": "1", "person": person, "left": "12", "finished": false,
			}, body))
	}
	p := wantProblem(t, book(nil), http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/reason" ||
		!strings.Contains(p.Errors[0].Detail, "AC-02") {
		t.Fatalf("without a reason: got %+v", p.Errors)
	}
	why := "the new man practises on it"
	now := want[openapi.Job](t, book(map[string]any{"reason": why}), http.StatusCreated)
	at := slices.IndexFunc(now.Tasks, func(x openapi.Task) bool { return x.Operation == "RG-01" })
	if x := now.Tasks[at].OutOfOrder; x.Reason != why || !slices.Contains(x.Ahead, "AC-02") {
		t.Errorf("the task says %+v", x)
	}
	want[openapi.Job](t, book(map[string]any{"left": "11"}), http.StatusCreated)
	entries := want[openapi.ProgressPage](t,
		owner.do(http.MethodGet, path+"/tasks/RG-01/progress", nil), http.StatusOK).Items
	if n := len(entries); n < 2 || entries[n-2].Reason != why || entries[n-1].Reason != "" ||
		!slices.Contains(entries[n-1].Ahead, "AC-02") {
		t.Errorf("the entries are %+v", entries)
	}
	told := 0
	for _, e := range feed(t, owner) {
		if e.Kind == "task.progressed" && strings.Contains(string(e.Data), why) {
			told++
		}
	}
	if told != 2 {
		t.Errorf("%d events give the reason, want both", told)
	}
	s := surpriseOn{T: t, owner: owner, path: path}
	s.inOrder("begun before its time")
	// Something found since goes before it too: that is another reason to give.
	found := want[openapi.Proposal](t, owner.do(http.MethodPost, path+"/proposals", map[string]any{
		"says": "the keys rattle", "findings": []any{map[string]any{"point": "SV-39", "value": "1.5"}},
	}), http.StatusCreated)
	want[openapi.Proposal](t, owner.do(http.MethodPost, path+"/proposals/"+found.ID.String()+
		"/decision", map[string]any{"accept": true, "reason": "bushed now"}), http.StatusCreated)
	p = wantProblem(t, book(map[string]any{"left": "10"}),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || !strings.Contains(p.Errors[0].Detail, "KY-02") {
		t.Errorf("with something new before it: got %+v", p.Errors)
	}
	s.inOrder("with the keys before it")
}
