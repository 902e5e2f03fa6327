package domain_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"

	"pgregory.net/rapid"
)

// without is the plank shop without an operation that nothing else names.
func without(code catalogue.Code) *catalogue.Catalogue {
	c := plankShop()
	c.Operations = slices.DeleteFunc(c.Operations, func(o catalogue.Operation) bool { return o.Code == code })
	return c
}

func plankDrawing(t testing.TB, c *catalogue.Catalogue, findings ...domain.Finding) domain.Drawing {
	t.Helper()
	in := domain.Instrument{Kind: catalogue.Grand, Notes: 88, SizeMM: 1850}
	js, err := domain.Judge(c, in.Kind, sound(findings...))
	if err != nil {
		t.Fatal(err)
	}
	return domain.Drawing{Catalogue: c, Instrument: in, Judgements: js, Terms: domain.Terms{UnknownOdds: odds}, Depth: catalogue.Recondition}
}

func TestAnEditOfAnOperationThatIsGoneIsLeftWithWhatToDo(t *testing.T) {
	t.Parallel()
	edits := []domain.Edit{
		{Kind: domain.AddOperation, Operation: "DS-01"},
		{Kind: domain.SetHours, Operation: "AC-07", Hours: &catalogue.ThreePoint{Low: dec("1"), Likely: dec("2"), High: dec("3")}},
	}
	s, kept, left, err := plankDrawing(t, without("AC-07")).Adopt(edits)
	if err != nil {
		t.Fatal(err)
	}
	if len(kept) != 1 || kept[0].Operation != "DS-01" || !slices.ContainsFunc(s.Lines, func(l domain.Line) bool { return l.Operation == "DS-01" }) {
		t.Errorf("kept %v, want the strip-down alone", kept)
	}
	if len(left) != 1 || left[0].Position != 1 || !strings.Contains(left[0].Why, "AC-07") || left[0].Do == "" {
		t.Errorf("left %+v, want the rollers' hours by name and with what to do", left)
	}
}

// The frame comes out only without strings: an edit that leaves the destringing
// out cannot be kept beside a new plank, and the reasons are told.
func TestAnEditThatOtherWorkForbidsIsLeftWithItsReasons(t *testing.T) {
	t.Parallel()
	_, kept, left, err := plankDrawing(t, plankShop()).Adopt([]domain.Edit{
		{Kind: domain.AddOperation, Operation: "BD-02"},
		{Kind: domain.RemoveOperation, Operation: "DS-02"},
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(kept) != 1 || len(left) != 1 || left[0].Edit.Operation != "DS-02" && left[0].Edit.Operation != "BD-02" {
		t.Fatalf("kept %v and left %v", kept, left)
	}
	if left[0].Position == 1 && len(left[0].Chain) == 0 {
		t.Errorf("no reasons for %+v", left[0])
	}
}

// An edit that is refused alone is kept where a later one clears its way.
func TestEditsThatOnlyHoldTogetherAreKeptTogether(t *testing.T) {
	t.Parallel()
	edits := []domain.Edit{
		{Kind: domain.RemoveOperation, Operation: "BD-03"}, // needed by the plank
		{Kind: domain.SetHours, Operation: "XX-01"},        // makes the list be sifted
		{Kind: domain.RemoveOperation, Operation: "BD-02"},
	}
	d := plankDrawing(t, plankShop(), number("SV-11", "1", ""))
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
	c := shipped(t)
	findings := []domain.Finding{number("SV-39", "1.6", "mm")}
	twelve := &catalogue.ThreePoint{Low: dec("8"), Likely: dec("12"), High: dec("20")}
	edits := []domain.Edit{
		{Kind: domain.AddOperation, Operation: "CS-10", Why: "the client asks"},
		{Kind: domain.SetQuantity, Operation: "KY-02", Quantity: ptr(dec("60"))},
		{Kind: domain.SetChance, Operation: "RG-01", Chance: ptr(dec("0.5"))},
		{Kind: domain.SetHours, Operation: "KY-01", Hours: twelve},
		{Kind: domain.SetHours, Operation: "BD-02", Hours: twelve},
		{Kind: domain.SetMaking, Operation: "KY-02", Making: catalogue.Outside},
	}
	from := scopeOf(t, grand(), catalogue.Recondition, findings, edits...)
	other := grand()
	other.Notes = 85
	d := domain.Drawing{
		Catalogue: c, Instrument: other, Judgements: judged(t, c, other, append(findings, number("SV-01", "85", ""))), Terms: domain.Terms{UnknownOdds: odds}, Depth: catalogue.Recondition,
	}
	s, kept, left, err := d.CopyEdits(edits, from)
	if err != nil {
		t.Fatal(err)
	}
	var took []catalogue.Code
	for _, e := range kept {
		took = append(took, e.Operation)
	}
	if want := []catalogue.Code{"CS-10", "KY-02"}; !slices.Equal(took, want) || kept[1].Kind != domain.SetMaking {
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
		t.Errorf("left the edits %v, want %v: quantity, chance, hours for 88 keys, hours of work that is not here", at, want)
	}
	if lineOf(t, s, "KY-02").Making != catalogue.Outside {
		t.Error("the keys are not sent out")
	}
	// Onto the same instrument hours hold as they are.
	d.Instrument, d.Judgements = grand(), judged(t, c, grand(), findings)
	if _, kept, _, err = d.CopyEdits(edits, from); err != nil || len(kept) != 3 {
		t.Errorf("onto an instrument alike %v were taken (%v), want the hours of the keys too", kept, err)
	}
}

// Whatever the edits, each is kept or left, never both; those that are kept draw
// the scope that is given; and all are kept where they can be drawn at once.
func TestEveryEditIsKeptOrLeft(t *testing.T) {
	t.Parallel()
	c := plankShop()
	rapid.Check(t, func(t *rapid.T) {
		var edits []domain.Edit
		for i := range rapid.IntRange(0, 5).Draw(t, "edits") {
			code := rapid.SampledFrom([]catalogue.Code{"BD-02", "BD-05", "DS-02", "ST-04", "AC-07", "XX-01"}).Draw(t, "operation")
			kind := rapid.SampledFrom([]domain.EditKind{domain.AddOperation, domain.RemoveOperation}).Draw(t, "kind")
			edits = append(edits, domain.Edit{Kind: kind, Operation: code, Why: string(rune('a' + i))})
		}
		in := domain.Instrument{Kind: catalogue.Grand}
		js, err := domain.Judge(c, in.Kind, sound())
		if err != nil {
			t.Fatal(err)
		}
		d := domain.Drawing{Catalogue: c, Instrument: in, Judgements: js, Terms: domain.Terms{UnknownOdds: odds}, Depth: catalogue.Restore}
		s, kept, left, err := d.Adopt(edits)
		if err != nil {
			t.Fatal(err)
		}
		if len(kept)+len(left) != len(edits) {
			t.Fatalf("%d kept and %d left of %d", len(kept), len(left), len(edits))
		}
		again, err := d.Under(kept)
		if err != nil || !domain.Compare(s, again).Empty() {
			t.Fatalf("the edits kept draw another scope (%v)", err)
		}
		if _, err := d.Under(edits); (err == nil) != (len(left) == 0) {
			t.Fatalf("drawn at once: %v; left %v", err, left)
		}
	})
}
