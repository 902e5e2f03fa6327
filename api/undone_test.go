package api_test

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// joinOne joins one grand of our own with tasks that are done, at 3 h each, and tasks of 4 h to do.
func joinOne(t *testing.T, owner *client, depth, done, left string) openapi.Job {
	t.Helper()
	header, _, _ := strings.Cut(tenPianos(t), "\n")
	file := header + "\npiano,A,grand,Orbell,Concertino,9034,1926,1720,88,plastic,shellac,walnut," +
		"roller,stock,,K-118,2100.00,,," + depth + ",2026-01-12,,,,\n"
	tasks := func(codes, hours string) {
		for _, code := range strings.Fields(codes) {
			file += fmt.Sprintf("task,A%s,%s,%s\n", strings.Repeat(",", 20), code, hours)
		}
	}
	tasks(done, "3,0")
	tasks(left, "0,4")
	joined := want[openapi.JoinReport](t, owner.do(http.MethodPost, "/v1/joins", file, asCSV),
		http.StatusCreated)
	return want[openapi.Job](t,
		owner.do(http.MethodGet, "/v1/jobs/"+joined.Pianos[0].Job.String(), nil), http.StatusOK)
}

func propose(t *testing.T, owner *client, j openapi.Job, point, value string) openapi.Proposal {
	t.Helper()
	return want[openapi.Proposal](t, owner.do(http.MethodPost, "/v1/jobs/"+j.ID.String()+"/proposals",
		map[string]any{
			"says":     "found at the bench",
			"findings": []any{map[string]any{"point": point, "value": value}},
		}), http.StatusCreated)
}

// Nobody looked at the case, the hammers or the pins of these pianos, whose work keeps them.
func TestWhatNobodyLookedAtRefusesNoSurpriseOnAJobThatHoldsTheWork(t *testing.T) {
	t.Parallel()
	for _, x := range []struct{ kept, depth, done, left string }{
		{"CS-09", "recondition", "DS-01 CS-09", "RG-01 CS-12 TU-03"},
		{"AC-05", "recondition", "DS-01", "AC-05 RG-01 CS-12 TU-03"},
		{"BD-04", "restore", "DS-01 DS-02 BD-04", "ST-01 ST-02 ST-03 ST-05 RG-01 CS-12 TU-03"},
		{"BD-05", "recondition", "DS-01 ST-04", "BD-05 RG-01 CS-12 TU-03"},
	} {
		t.Run(x.kept, func(t *testing.T) {
			t.Parallel()
			owner := openShop(t).as(domain.Owner)
			j := joinOne(t, owner, x.depth, x.done, x.left)
			p := propose(t, owner, j, "SV-39", "1.7")
			if got := operations(p.Added); !slices.Equal(got, []string{"KY-02"}) || len(p.Removed) > 0 {
				t.Errorf("keys that rattle add %v and remove %v, want them bushed", got, p.Removed)
			}
			path := "/v1/jobs/" + j.ID.String()
			want[openapi.Proposal](t, owner.do(http.MethodPost, path+"/proposals/"+p.ID.String()+
				"/decision", map[string]any{"accept": true, "reason": "they rattle"}), http.StatusCreated)
			for _, of := range []string{"/cautions", "/cost-to-go", "/dates"} {
				if a := owner.do(http.MethodGet, path+of, nil); a.status != http.StatusOK {
					t.Errorf("%s: got %d", of, a.status)
				}
			}
		})
	}
}

func TestAProposalSaysWhatDoneWorkItUndoesAndThatItsHoursAreNotInThePrice(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	j := joinOne(t, owner, "restore", "IN-02 IN-03 DS-01 DS-02 ST-01 ST-02 ST-03 ST-05",
		"RG-01 TU-01 CS-12 TU-03")
	p := propose(t, owner, j, "SV-13", "7.5")
	var got []string
	for _, u := range p.Undoes {
		got = append(got, u.Operation+" "+u.Hours.String())
		if u.Name == "" || u.Because == "" {
			t.Errorf("%+v has no name or cause", u)
		}
		if tension := strings.HasSuffix(u.Caution, catalogue.Deference); tension !=
			(u.Operation == "DS-02") {
			t.Errorf("%s comes with the caution %q", u.Operation, u.Caution)
		}
	}
	if w := []string{"DS-02 3", "ST-02 3", "ST-03 3", "ST-05 3"}; !slices.Equal(got, w) {
		t.Errorf("undoes %v, want %v", got, w)
	}
	if !strings.HasPrefix(p.UndoesNote, "12 h") || !strings.Contains(p.UndoesNote, "price") {
		t.Errorf("the note says %q", p.UndoesNote)
	}
	list := want[openapi.ProposalPage](t,
		owner.do(http.MethodGet, "/v1/jobs/"+j.ID.String()+"/proposals", nil), http.StatusOK)
	if len(list.Items) != 1 || len(list.Items[0].Undoes) != len(p.Undoes) {
		t.Errorf("the list has %+v", list.Items)
	}
}

// New bridge caps under strings that are on (common practice, no source): the strings come down
// and go on again, in that order, and what the person leaves out stands as done.
func TestWhoAcceptsAProposalSaysWhichUndoneWorkIsDoneAgain(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	j := joinOne(t, owner, "restore", "IN-02 IN-03 DS-01 DS-02 ST-01 ST-02 ST-03 ST-05",
		"RG-01 TU-01 CS-12 TU-03")
	at := "/v1/jobs/" + j.ID.String()
	p := propose(t, owner, j, "SV-13", "7.5")
	decision := at + "/proposals/" + p.ID.String() + "/decision"
	for _, x := range []struct {
		accept  bool
		again   []string
		pointer string
	}{
		{true, []string{"DS-02", "IN-02"}, "#/again/1"}, // not undone
		{true, []string{"DS-02", "DS-02"}, "#/again/1"},
		{false, []string{"DS-02"}, "#/again"},
	} {
		refused := wantProblem(t, owner.do(http.MethodPost, decision, map[string]any{
			"accept": x.accept, "reason": "it must", "again": x.again,
		}), http.StatusUnprocessableEntity, "validation")
		if len(refused.Errors) != 1 || refused.Errors[0].Pointer != x.pointer {
			t.Errorf("again %v: got %+v, want a fault at %s", x.again, refused.Errors, x.pointer)
		}
	}
	accepted := want[openapi.Proposal](t, owner.do(http.MethodPost, decision, map[string]any{
		"accept": true, "reason": "the pins won't hold", "again": []string{"DS-02", "ST-02", "ST-03"},
	}), http.StatusCreated)
	if d := accepted.Decision; !slices.Equal(d.Again, []string{"DS-02", "ST-02", "ST-03"}) ||
		!slices.Equal(d.Stands, []string{"ST-05"}) {
		t.Errorf("again %v, stands %v", d.Again, d.Stands)
	}
	now := want[openapi.Job](t, owner.do(http.MethodGet, at, nil), http.StatusOK)
	tasks := map[string]openapi.Task{}
	for _, x := range now.Tasks {
		tasks[x.Operation] = x
	}
	for _, code := range []string{"DS-02", "ST-02", "ST-03"} {
		x := tasks[code]
		if x.Done.String() != "3" || x.Left.String() != "3" || !x.FinishedAt.IsZero() ||
			x.Again.Proposal != p.ID || x.Again.Reason != "the pins won't hold" ||
			x.Again.Hours.String() != "3" || x.Again.Because == "" {
			t.Errorf("opened again: %+v", x)
		}
	}
	if x := tasks["ST-05"]; x.FinishedAt.IsZero() || !x.Left.IsZero() || x.Again.Because != "" {
		t.Errorf("left as done: %+v", x)
	}
	s := surpriseOn{T: t, owner: owner, path: at, job: now}
	s.inOrder("strung again")
	dates := want[openapi.JobDates](t, owner.do(http.MethodGet, at+"/dates", nil), http.StatusOK)
	first := map[string]openapi.DatedStep{}
	for _, x := range dates.Queued.Steps {
		if _, known := first[x.Operation]; !known {
			first[x.Operation] = x
		}
	}
	for _, order := range [][2]string{{"DS-02", "ST-02"}, {"ST-02", "ST-03"}, {"ST-03", "TU-01"}} {
		before, after := first[order[0]], first[order[1]]
		if before.Operation == "" || after.Operation == "" || before.Finish.After(after.Start) {
			t.Errorf("%s ends %s and %s begins %s", order[0], before.Finish, order[1], after.Start)
		}
	}
	want[openapi.Plan](t, owner.do(http.MethodPost, "/v1/plan", map[string]any{"schedules": 5}),
		http.StatusCreated) // which verifies it
	var told bool
	for _, e := range feed(t, owner) {
		told = told || strings.Contains(string(e.Data), `"again":["DS-02","ST-02","ST-03"]`)
	}
	if !told {
		t.Error("the feed doesn't say what is done again")
	}
	// Strung once more, it is done once more.
	want[openapi.Job](t, owner.do(http.MethodPost, at+"/tasks/DS-02/progress", map[string]any{
		"left": "0", "finished": true,
	}), http.StatusCreated)
	list := want[openapi.ProposalPage](t, owner.do(http.MethodGet, at+"/proposals", nil),
		http.StatusOK)
	if d := list.Items[0].Decision; len(d.Again) != 3 || len(d.Stands) != 1 {
		t.Errorf("the list says again %v, stands %v", d.Again, d.Stands)
	}
}

// A bass set was ordered by the scale that was taken; a plank that gives way under it takes new
// wire and pins too, which nobody has ordered.
func TestWhatAddedWorkNeedsOrderedIsOrderedOnceTheScaleIsTakenAgain(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	j := joinOne(t, owner, "recondition", "IN-02 IN-03 DS-01 ST-01 ST-03 ST-04 BD-05",
		"RG-01 TU-01 CS-12 TU-03")
	p := propose(t, owner, j, "SV-15", "4")
	at := slices.IndexFunc(p.Undoes, func(u openapi.UndoneWork) bool { return u.Operation == "ST-01" })
	if at < 0 || p.Undoes[at].Because != "ST-02" {
		t.Fatalf("undoes %+v, want the scale because of the strings", p.Undoes)
	}
	path := "/v1/jobs/" + j.ID.String()
	want[openapi.Proposal](t, owner.do(http.MethodPost, path+"/proposals/"+p.ID.String()+"/decision",
		map[string]any{
			"accept": true, "reason": "the plank has gone", "again": []string{"ST-01", "ST-03"},
		}), http.StatusCreated)
	dates := want[openapi.JobDates](t, owner.do(http.MethodGet, path+"/dates", nil), http.StatusOK)
	step := func(code string) openapi.DatedStep {
		i := slices.IndexFunc(dates.Queued.Steps, func(s openapi.DatedStep) bool {
			return s.Operation == code
		})
		if i < 0 {
			t.Fatalf("%s isn't dated", code)
		}
		return dates.Queued.Steps[i]
	}
	scale, strung := step("ST-01"), step("ST-02")
	if wait := strung.Start.Sub(scale.Finish).Hours() / 24; wait < 3 {
		t.Errorf("the strings wait %.1f days for the order, want half a week at least", wait)
	}
}
