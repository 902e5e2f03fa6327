package job_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// A job that joined has 3 h booked on all that is done.
func TestWorkThatASurpriseUndoesIsSaidToComeAgain(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	const restrung = "IN-02 IN-03 DS-01 DS-02 ST-01 ST-02 ST-03 ST-05"
	for _, x := range []struct {
		name         string
		depth        catalogue.Depth
		done, left   string
		point, value string
		undone       string // each with the work that undoes it
	}{
		{
			"the pins turn out thin under new strings at tension", catalogue.Restore, restrung,
			"RG-01 TU-01 TU-03 CS-12", "SV-13", "7.5",
			"DS-02<ST-02 ST-02<BD-02 ST-03<BD-02 ST-05<BD-02",
		},
		{
			"the same before a string is on", catalogue.Restore, "IN-02 IN-03 DS-01 DS-02 ST-01",
			"ST-02 ST-03 ST-05 RG-01 TU-01 TU-03 CS-12", "SV-13", "7.5", "",
		},
		{
			"a plank that gives way under a new bass set, for which the scale was taken",
			catalogue.Recondition, "IN-02 IN-03 DS-01 ST-01 ST-03 ST-04 BD-05",
			"RG-01 TU-01 TU-03 CS-12", "SV-15", "4", "ST-01<ST-02 ST-03<BD-02",
		},
		{
			"the same before the scale is taken", catalogue.Recondition, "IN-02 IN-03 DS-01 ST-04",
			"ST-01 ST-03 BD-05 RG-01 TU-01 TU-03 CS-12", "SV-15", "4", "",
		},
		{
			"no felt at the top of a finished action", catalogue.Recondition,
			"DS-01 KY-02 CS-09 RG-01 VO-01 CS-12 TU-03", "QC-03", "SV-32", "1.5",
			"DS-01<CS-12 CS-12<AC-01 RG-01<AC-01 VO-01<AC-01 TU-03<AC-01",
		},
		{
			"the same while the case is apart", catalogue.Recondition, "DS-01 CS-09 KY-02 RG-01",
			"CS-12 TU-03", "SV-32", "1.5", "RG-01<AC-01",
		},
		{
			"a rim to polish anew beside kept strings that are tuned and regulated",
			catalogue.Recondition, "DS-01 ST-04 RG-01 TU-01", "CS-12 TU-03", "SV-50", "4", "",
		},
		{
			"the same after the frame went down", catalogue.Restore,
			"DS-01 DS-03 FR-06 ST-02 ST-05 RG-01", "CS-12 TU-03", "SV-50", "4",
			"FR-06<CS-01 ST-02<CS-01 ST-05<CS-01 RG-01<CS-01",
		},
		{
			"keys that rattle where no row tells of a strip-down", catalogue.Recondition,
			"KY-01 AC-02 CS-09", "RG-01 TU-03", "SV-39", "1.7", "",
		},
	} {
		in, j := joinedJob(t, c, catalogue.Grand, x.depth, x.done, x.left)
		f := domaintest.Number(x.point, x.value, "")
		f.ID = uuid.New()
		ch, err := job.ChangeOf(c, in, j, nil, job.Grounds{
			After: []survey.Finding{f}, New: []uuid.UUID{f.ID},
		}, domaintest.Odds)
		if err != nil || ch.Empty() {
			t.Errorf("%s: got %v, changes nothing: %v", x.name, err, ch.Empty())
			continue
		}
		var got []string
		for _, u := range ch.Undone {
			got = append(got, fmt.Sprintf("%s<%s", u.Operation, u.Because))
			if (u.Caution != "") != (u.Operation == "DS-02") {
				t.Errorf("%s: %s comes with the caution %q", x.name, u.Operation, u.Caution)
			}
			if !u.Hours.Equal(domaintest.Dec("3")) {
				t.Errorf("%s: %s takes %s h again, want the 3 booked", x.name, u.Operation, u.Hours)
			}
		}
		if want := strings.Fields(x.undone); !slices.Equal(got, want) {
			t.Errorf("%s: undoes %v, want %v", x.name, got, want)
		}
	}
}
