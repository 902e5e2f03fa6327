package scope_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// The options that a job's work belongs to: what most of it does, else the one that is nearest to
// complete, else the most thorough.
func TestWorkInHandTellsHowAJobSettledItsChoices(t *testing.T) {
	t.Parallel()
	for _, row := range []struct{ name, held, strings, plank string }{
		{"no work", "", "", ""},
		{"work of no choice", "IN-01 TU-01 AC-07", "", ""},
		{"strings kept", "ST-04", "in_place", ""},
		{"half of a restring", "ST-02", "restring", ""},
		{"a whole restring", "DS-02 ST-02", "restring", ""},
		{"most of it restrings", "DS-02 ST-02 ST-04", "restring", ""},
		{"half of either, one of them complete", "ST-04 ST-02", "in_place", ""},
		{"a new plank without its drilling", "BD-02", "", "replace"},
		{"reaming is whole, the new plank half", "BD-02 BD-04", "", "keep_oversize"},
		{"the new plank is whole too, and more", "BD-02 BD-03 BD-04", "", "replace"},
		{"glue and reaming, both whole", "BD-04 BD-05", "", "keep_oversize"},
		{"each choice by itself", "ST-04 BD-05", "in_place", "stopgap"},
	} {
		got := scope.OptionsOf(plankShop(), codes(strings.Fields(row.held)...))
		if got["STRING"] != row.strings || got["PLANK"] != row.plank {
			t.Errorf("%s: %v, want STRING=%s PLANK=%s", row.name, got, row.strings, row.plank)
		}
	}
}

// newsCase is a job in the plank shop, and what is new about it.
type newsCase struct {
	name          string
	depth, to     catalogue.Depth // to: empty where the depth stays
	held          string
	settled       string // group=option, where it doesn't follow from the work
	left          []scope.Edit
	before, fresh []survey.Finding
	edits         []scope.Edit
	want          string
}

func (x newsCase) draw(t *testing.T) (scope.Scope, error) {
	t.Helper()
	c := plankShop()
	h := scope.Held{
		Depth: x.depth, Operations: codes(strings.Fields(x.held)...), Edits: x.left,
	}
	h.Settled = scope.OptionsOf(c, h.Operations)
	if group, option, ok := strings.Cut(x.settled, "="); ok {
		h.Settled[group] = option
	}
	judged := func(findings []survey.Finding) survey.Judgements {
		js, err := survey.Judge(c, catalogue.Grand, findings)
		if err != nil {
			t.Fatal(err)
		}
		return js
	}
	n := scope.News{
		Before: judged(x.before), After: judged(append(x.fresh, x.before...)), Edits: x.edits,
		Depth: x.depth,
	}
	if x.to != "" {
		n.Depth = x.to
	}
	for _, f := range x.fresh {
		n.Fresh = append(n.Fresh, f.Point)
	}
	return scope.CalledFor(c, instrument.Instrument{Kind: catalogue.Grand}, h, n)
}

func TestAJobIsOnlyAskedForWhatNewsCallsForBeyondItsWork(t *testing.T) {
	t.Parallel()
	split, noSizeLeft := domaintest.Number("SV-15", "4", ""), domaintest.Number("SV-13", "7.4", "")
	restore, recondition := catalogue.Restore, catalogue.Recondition
	for _, x := range []newsCase{
		{
			name:  "nothing new: the job goes on, without what is usual elsewhere",
			depth: restore, held: "DS-02 ST-02", want: "DS-02 ST-02",
		},
		{
			name:  "what was known when it was agreed calls for nothing now",
			depth: restore, held: "DS-02 ST-02", before: []survey.Finding{split}, want: "DS-02 ST-02",
		},
		{
			name:  "a split plank takes a plank, and the frame out for it; the job's strip-down stays as it was",
			depth: restore, held: "DS-02 ST-02", fresh: []survey.Finding{split},
			want: "DS-02 DS-03 BD-02 BD-03 FR-06 ST-02",
		},
		{
			name:  "the strings kept give way to the frame that comes out",
			depth: restore, held: "ST-04", fresh: []survey.Finding{split},
			want: "DS-01 DS-02 DS-03 BD-02 BD-03 FR-06 ST-02",
		},
		{
			name:  "the same at a depth that doesn't go so far",
			depth: recondition, held: "ST-04", fresh: []survey.Finding{split}, want: "ST-04",
		},
		{
			name:  "what was known calls for it once the job goes deeper",
			depth: recondition, to: restore, held: "ST-04", before: []survey.Finding{split},
			want: "DS-01 DS-02 DS-03 BD-02 BD-03 FR-06 ST-02",
		},
		{
			name:  "pins with no size left rule out the reaming that was agreed",
			depth: restore, held: "DS-02 BD-04 ST-02", fresh: []survey.Finding{noSizeLeft},
			want: "DS-02 DS-03 BD-02 BD-03 FR-06 ST-02",
		},
		{
			name:  "reaming agreed in spite of it stays",
			depth: restore, held: "DS-02 BD-04 ST-02", before: []survey.Finding{noSizeLeft},
			want: "DS-02 BD-04 ST-02",
		},
		{
			name:  "worn strings that must be acted on overturn the strings kept",
			depth: restore, held: "ST-04", fresh: []survey.Finding{domaintest.Number("SV-17", "9", "")},
			want: "DS-01 DS-02 BD-04 ST-02",
		},
		{
			name:  "a new piece of work for the action leaves strings and plank alone",
			depth: restore, held: "ST-04", fresh: []survey.Finding{domaintest.Number("SV-03", "53", "")},
			want: "ST-04 AC-07",
		},
		{
			name:  "the client takes another option",
			depth: restore, held: "DS-02 BD-04 ST-02",
			edits: []scope.Edit{domaintest.Choose("PLANK", "replace")},
			want:  "DS-02 DS-03 BD-02 BD-03 FR-06 ST-02",
		},
		{
			name:  "the client adds and takes away",
			depth: restore, held: "TU-01 ST-04",
			edits: []scope.Edit{domaintest.Add("AC-07"), remove("TU-01")},
			want:  "ST-04 AC-07",
		},
		{
			name:  "what somebody answers for stays left out, and what goes with it comes",
			depth: restore, held: "DS-02 ST-02", fresh: []survey.Finding{split},
			left: []scope.Edit{
				onTheWordOf("A. Marsh", "DS-03", scope.Done, "the frame is out at the foundry"),
			},
			want: "DS-02 BD-02 BD-03 FR-06 ST-02",
		},
	} {
		s, err := x.draw(t)
		if err != nil {
			t.Errorf("%s: %v", x.name, err)
		} else if got := lines(s); got != x.want {
			t.Errorf("%s:\n got %s\nwant %s", x.name, got, x.want)
		}
	}
}

func TestNewsThatMakesNoSenseIsRefused(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		x    newsCase
		kind domain.FaultKind
		text string
	}{
		{newsCase{depth: catalogue.Restore, to: "deeper"}, domain.Invalid, "deeper"},
		{
			newsCase{depth: catalogue.Restore, edits: []scope.Edit{domaintest.Add("XX-99")}},
			domain.Invalid, "XX-99",
		},
		{
			newsCase{
				depth: catalogue.Restore, held: "DS-02 ST-02",
				fresh: []survey.Finding{domaintest.Number("SV-13", "7.4", "")},
				edits: []scope.Edit{domaintest.Choose("PLANK", "keep_oversize")},
			},
			domain.Conflict, "no size left",
		},
	} {
		_, err := row.x.draw(t)
		if f := domaintest.FaultOf(err); f == nil || f.Kind != row.kind ||
			!strings.Contains(f.Text(), row.text) {
			t.Errorf("%v, want %s about %s", err, row.kind, row.text)
		}
	}
}

// Where the job had settled on what can't be done any more, the new line says so.
func TestWorkThatReplacesWhatTheJobHadAgreedSaysSo(t *testing.T) {
	t.Parallel()
	s, err := newsCase{
		depth: catalogue.Restore, held: "DS-02 BD-04 ST-02",
		fresh: []survey.Finding{domaintest.Number("SV-13", "7.4", "")},
	}.draw(t)
	if err != nil {
		t.Fatal(err)
	}
	l := lineOf(t, s, "BD-02")
	for _, r := range l.Reasons {
		if r.Rule == "job" {
			return
		}
	}
	t.Errorf("nothing tells of the job: %+v", l.Reasons)
}
