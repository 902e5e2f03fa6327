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
