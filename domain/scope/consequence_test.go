package scope_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// consequences returns what edits do to the scope of a black grand.
func consequences(
	t testing.TB, depth catalogue.Depth, findings []survey.Finding, edits ...scope.Edit,
) scope.Consequences {
	t.Helper()
	c, in := domaintest.Shipped(t), domaintest.Grand()
	terms := domaintest.Terms(c)
	terms.UnknownOdds = domaintest.Odds
	inputs := scope.Inputs{
		Catalogue: c, Instrument: in, Judgements: domaintest.Judged(t, c, in, findings), Terms: terms,
		Depth: depth, Edits: edits,
	}
	s, err := inputs.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	k, err := inputs.ConsequencesOf(s)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func droppedCodes(k scope.Consequences) string {
	var list []string
	for _, x := range k.Dropped {
		list = append(list, string(x.Line.Operation))
	}
	return strings.Join(list, " ")
}

// undoneText puts what is left undone in short: point, and what is missing.
func undoneText(k scope.Consequences) string {
	var list []string
	for _, x := range k.Undone {
		var missing []string
		for _, m := range x.Missing {
			if m.Group != "" {
				m.Operation = catalogue.Code(m.Group + "=" + m.Option)
			}
			missing = append(missing, string(m.Operation))
		}
		list = append(list, string(x.Point)+": "+strings.Join(missing, " "))
	}
	return strings.Join(list, "; ")
}

func TestWhatAnAdditionReplacesIsNamed(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		name     string
		depth    catalogue.Depth
		findings []survey.Finding
		edits    []scope.Edit
		dropped  string
		says     string
	}{
		{
			"hand polishing for spraying", catalogue.Restore,
			[]survey.Finding{wornCase},
			[]scope.Edit{domaintest.Add("CS-07")},
			"CS-05 CS-05L CS-06 CS-06L",
			"FINISH is settled as shellac instead of polyester",
		},
		{
			"a new plank for pins a size up", catalogue.Restore,
			[]survey.Finding{rustyStrings},
			[]scope.Edit{domaintest.Add("BD-02")},
			"BD-04",
			"PLANK is settled as replace instead of keep_oversize",
		},
		{
			"new strings for old ones", catalogue.Recondition, nil,
			[]scope.Edit{domaintest.Choose("STRING", "restring")},
			"ST-04",
			"STRING is settled as restring instead of in_place",
		},
		{
			"new hammers for new centres", catalogue.Recondition,
			[]survey.Finding{domaintest.Number("SV-36", "14", "")},
			[]scope.Edit{domaintest.Add("AC-06")},
			"AC-02",
			"not called for beside HAMMER=replace: slack or tight centres",
		},
		{
			"nothing by more of the same", catalogue.Recondition, nil,
			[]scope.Edit{domaintest.Add("AC-01"), domaintest.Add("CS-10")},
			"", "",
		},
		{
			"nothing by leaving a line out", catalogue.Restore, nil,
			[]scope.Edit{remove("QC-02")},
			"", "",
		},
		{
			"what goes with a line that is left out", catalogue.Restore,
			[]survey.Finding{flatHammers},
			[]scope.Edit{remove("AC-06")},
			"KY-06", "AC-06, which it goes with, is gone",
		},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			k := consequences(t, x.depth, x.findings, x.edits...)
			if got := droppedCodes(k); got != x.dropped {
				t.Fatalf("dropped %q, want %q", got, x.dropped)
			}
			if x.says != "" && k.Dropped[0].Text != x.says {
				t.Errorf("got %q, want %q", k.Dropped[0].Text, x.says)
			}
		})
	}
}

func TestFindingsThatAnEditLeavesUndoneAreListed(t *testing.T) {
	t.Parallel()
	capo := domaintest.Number("SV-22", "2", "")
	for _, x := range []struct {
		name     string
		findings []survey.Finding
		edits    []scope.Edit
		want     string
	}{
		{"all done", []survey.Finding{rustyStrings, wornCase}, nil, ""},
		{
			"a cracked plank left in",
			[]survey.Finding{crackedPlank},
			[]scope.Edit{remove("BD-02"), remove("BD-03")},
			"SV-15: PLANK=replace",
		},
		{
			"rusty strings kept, and the capo under them",
			[]survey.Finding{rustyStrings, capo},
			[]scope.Edit{domaintest.Choose("STRING", "in_place")},
			"SV-16: STRING=restring; SV-22: FR-05",
		},
		{
			"shellac instead of polyester deals with a worn case",
			[]survey.Finding{wornCase},
			[]scope.Edit{domaintest.Choose("FINISH", "shellac")},
			"",
		},
		{
			"new hammers deal with slack centres",
			[]survey.Finding{domaintest.Number("SV-36", "10", "")},
			[]scope.Edit{domaintest.Add("AC-06")},
			"",
		},
		{
			"worn pedals, which restoring deals with in any case",
			[]survey.Finding{domaintest.Number("SV-49", "10", "")},
			[]scope.Edit{remove("DA-02")},
			"SV-49: DA-02",
		},
		{
			"unsafe legs tightened by half",
			[]survey.Finding{domaintest.Number("SV-53", "3", "")},
			[]scope.Edit{remove("CS-10")},
			"SV-53: CS-10",
		},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			if got := undoneText(consequences(t, catalogue.Restore, x.findings, x.edits...)); got != x.want {
				t.Errorf("got %q, want %q", got, x.want)
			}
		})
	}
}

func TestWhatIsLeftOutIsListedWithItsReasonOrItsPerson(t *testing.T) {
	t.Parallel()
	one := domaintest.Choose("SETTLING", "one_pass")
	one.Why = "its owner tunes it himself"
	k := consequences(t, catalogue.Restore, []survey.Finding{crackedPlank},
		onTheWordOf("Ada Fernwood", "BD-02", scope.Done, "put in in 2019"),
		removeWhy("DA-01", "felts of last year"), one, remove("QC-02"))
	want := []scope.Omission{
		{
			Operation: "BD-02", Name: "New rest plank cut and fitted", Necessity: catalogue.Needed,
			Of: codes("BD-03"), Text: "what is drilled is a new plank, with the frame as its template",
			Because: scope.Done, By: "Ada Fernwood", Why: "put in in 2019",
		},
		{
			Operation: "DA-01", Name: "Dampers refelted, guide bushed, underlevers overhauled",
			Necessity: catalogue.Usual, Of: codes("ST-02"), Why: "felts of last year",
			Text: "old damper felt carries the print of the old strings",
		},
		{
			Operation: "TU-02", Name: "Three settling tunings after a restring",
			Necessity: catalogue.Usual, Of: codes("ST-02"), Why: "its owner tunes it himself",
			Text: "new wire gives for weeks",
		},
	}
	same := func(a, b scope.Omission) bool {
		of := slices.Equal(a.Of, b.Of)
		a.Of, b.Of = nil, nil
		return of && a.Operation == b.Operation && a.Name == b.Name && a.Necessity == b.Necessity &&
			a.Text == b.Text && a.Because == b.Because && a.By == b.By && a.Why == b.Why
	}
	if !slices.EqualFunc(k.Omitted, want, same) {
		t.Errorf("got  %+v\nwant %+v", k.Omitted, want)
	}
}
