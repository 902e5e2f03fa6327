package scope_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"pgregory.net/rapid"
)

// without returns the plank shop without an operation that nothing else names.
func without(code catalogue.Code) *catalogue.Catalogue {
	c := plankShop()
	c.Operations = slices.DeleteFunc(
		c.Operations, func(o catalogue.Operation) bool { return o.Code == code },
	)
	return c
}

func plankDrawing(t testing.TB, c *catalogue.Catalogue, findings ...survey.Finding) scope.Inputs {
	t.Helper()
	in := instrument.Instrument{Kind: catalogue.Grand, Notes: 88, SizeMM: 1850}
	js, err := survey.Judge(c, in.Kind, sound(findings...))
	if err != nil {
		t.Fatal(err)
	}
	return scope.Inputs{
		Catalogue: c, Instrument: in, Judgements: js,
		Terms: domain.Terms{UnknownOdds: domaintest.Odds}, Depth: catalogue.Recondition,
	}
}

func TestAnEditOfAnOperationThatIsGoneIsLeftWithWhatToDo(t *testing.T) {
	t.Parallel()
	edits := []scope.Edit{
		{Kind: scope.AddOperation, Operation: "DS-01"},
		{
			Kind: scope.SetHours, Operation: "AC-07",
			Hours: &catalogue.ThreePoint{
				Low: domaintest.Dec("1"), Likely: domaintest.Dec("2"), High: domaintest.Dec("3"),
			},
		},
	}
	s, kept, left, err := plankDrawing(t, without("AC-07")).Adopt(edits)
	if err != nil {
		t.Fatal(err)
	}
	if len(kept) != 1 || kept[0].Operation != "DS-01" ||
		!slices.ContainsFunc(s.Lines, func(l scope.Line) bool { return l.Operation == "DS-01" }) {
		t.Errorf("kept %v, want the strip-down alone", kept)
	}
	if len(left) != 1 || left[0].Position != 1 || !strings.Contains(left[0].Why, "AC-07") ||
		left[0].Do == "" {
		t.Errorf("left %+v, want the rollers' hours by name and with what to do", left)
	}
}

// The frame comes out only without strings: an edit that leaves the destringing out cannot be kept
// beside a new plank, and the reasons are told.
func TestAnEditThatOtherWorkForbidsIsLeftWithItsReasons(t *testing.T) {
	t.Parallel()
	_, kept, left, err := plankDrawing(t, plankShop()).Adopt([]scope.Edit{
		{Kind: scope.AddOperation, Operation: "BD-02"},
		{Kind: scope.RemoveOperation, Operation: "DS-02"},
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(kept) != 1 || len(left) != 1 || left[0].Edit.Operation != "DS-02" &&
		left[0].Edit.Operation != "BD-02" {
		t.Fatalf("kept %v and left %v", kept, left)
	}
	if left[0].Position == 1 && len(left[0].Chain) == 0 {
		t.Errorf("no reasons for %+v", left[0])
	}
}

// An edit that is refused alone is kept where a later one clears its way.
func TestEditsThatOnlyHoldTogetherAreKeptTogether(t *testing.T) {
	t.Parallel()
	edits := []scope.Edit{
		{Kind: scope.RemoveOperation, Operation: "BD-03"}, // needed by the plank
		{Kind: scope.SetHours, Operation: "XX-01"},        // makes the list be sifted
		{Kind: scope.RemoveOperation, Operation: "BD-02"},
	}
	d := plankDrawing(t, plankShop(), domaintest.Number("SV-11", "1", ""))
	d.Depth = catalogue.Restore
	_, kept, left, err := d.Adopt(edits)
	if err != nil {
		t.Fatal(err)
	}
	if len(kept) != 2 || len(left) != 1 || left[0].Position != 1 {
		t.Errorf("kept %v, left %v; want both removals", kept, left)
	}
}

func TestFiguresOfAnEarlierInstrumentAreNotCopied(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	findings := []survey.Finding{domaintest.Number("SV-39", "1.6", "mm")}
	twelve := &catalogue.ThreePoint{
		Low: domaintest.Dec("8"), Likely: domaintest.Dec("12"), High: domaintest.Dec("20"),
	}
	edits := []scope.Edit{
		{Kind: scope.AddOperation, Operation: "CS-10", Why: "the client asks"},
		{
			Kind: scope.SetQuantity, Operation: "KY-02",
			Quantity: domaintest.Ptr(domaintest.Dec("60")),
		},
		{Kind: scope.SetChance, Operation: "TU-03", Chance: domaintest.Ptr(domaintest.Dec("0.5"))},
		{Kind: scope.SetHours, Operation: "KY-01", Hours: twelve},
		{Kind: scope.SetHours, Operation: "BD-02", Hours: twelve},
		{Kind: scope.SetMaking, Operation: "KY-02", Making: catalogue.Outside},
	}
	from := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, findings, edits...)
	other := domaintest.Grand()
	other.Notes = 85
	d := scope.Inputs{
		Catalogue: c, Instrument: other, Judgements: domaintest.Judged(
			t, c, other, append(findings, domaintest.Number("SV-01", "85", "")),
		), Terms: domain.Terms{UnknownOdds: domaintest.Odds}, Depth: catalogue.Recondition,
	}
	s, kept, left, err := d.CopyEdits(edits, from)
	if err != nil {
		t.Fatal(err)
	}
	var took []catalogue.Code
	for _, e := range kept {
		took = append(took, e.Operation)
	}
	if want := []catalogue.Code{"CS-10", "KY-02"}; !slices.Equal(took, want) ||
		kept[1].Kind != scope.SetMaking {
		t.Errorf("took %v, want the added work and the firm", kept)
	}
	var at []int
	for _, x := range left {
		at = append(at, x.Position)
		if x.Why == "" || x.Do == "" {
			t.Errorf("%+v is left without a reason or what to do", x)
		}
	}
	if want := []int{1, 2, 3, 4}; !slices.Equal(at, want) {
		t.Errorf(
			"left the edits %v, want %v: quantity, chance, hours for 88 keys, hours of work that is not here",
			at, want,
		)
	}
	if lineOf(t, s, "KY-02").Making != catalogue.Outside {
		t.Error("the keys are not sent out")
	}
	// Onto the same instrument hours hold as they are.
	d.Instrument, d.Judgements = domaintest.Grand(),
		domaintest.Judged(t, c, domaintest.Grand(), findings)
	if _, kept, _, err = d.CopyEdits(edits, from); err != nil || len(kept) != 3 {
		t.Errorf(
			"onto an instrument alike %v were taken (%v), want the hours of the keys too", kept,
			err,
		)
	}
}

// Whatever the edits, each is kept or left, never both; those that are kept draw the scope that is
// given; and all are kept where they can be drawn at once.
func TestEveryEditIsKeptOrLeft(t *testing.T) {
	t.Parallel()
	c := plankShop()
	rapid.Check(t, func(t *rapid.T) {
		var edits []scope.Edit
		for i := range rapid.IntRange(0, 5).Draw(t, "edits") {
			code := rapid.SampledFrom(
				[]catalogue.Code{"BD-02", "BD-05", "DS-02", "ST-04", "AC-07", "XX-01"},
			).Draw(t, "operation")
			kind := rapid.SampledFrom(
				[]scope.EditKind{scope.AddOperation, scope.RemoveOperation},
			).Draw(t, "kind")
			edits = append(edits, scope.Edit{Kind: kind, Operation: code, Why: string(rune('a' + i))})
		}
		in := instrument.Instrument{Kind: catalogue.Grand}
		js, err := survey.Judge(c, in.Kind, sound())
		if err != nil {
			t.Fatal(err)
		}
		d := scope.Inputs{
			Catalogue: c, Instrument: in, Judgements: js,
			Terms: domain.Terms{UnknownOdds: domaintest.Odds}, Depth: catalogue.Restore,
		}
		s, kept, left, err := d.Adopt(edits)
		if err != nil {
			t.Fatal(err)
		}
		if len(kept)+len(left) != len(edits) {
			t.Fatalf("%d kept and %d left of %d", len(kept), len(left), len(edits))
		}
		again, err := d.DrawReplacing(kept)
		if err != nil || !scope.Compare(s, again).Empty() {
			t.Fatalf("the edits kept draw another scope (%v)", err)
		}
		if _, err := d.DrawReplacing(edits); (err == nil) != (len(left) == 0) {
			t.Fatalf("drawn at once: %v; left %v", err, left)
		}
	})
}
