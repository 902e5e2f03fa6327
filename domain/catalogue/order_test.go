package catalogue_test

import (
	"slices"
	"testing"

	"bentside/domain/catalogue"
)

// Each operation in turn is the first of the catalogue whose predecessors by hard links all stand
// before it.
func TestTheOrderOfTheTradeFollowsTheHardLinksAndElseTheCatalogue(t *testing.T) {
	t.Parallel()
	shippedOne := shipped(t)
	few := &catalogue.Catalogue{
		Operations: []catalogue.Operation{
			{Code: "A"}, {Code: "B"}, {Code: "C"}, {Code: "D"}, {Code: "E"},
		},
		Links: []catalogue.Link{
			{From: "E", To: "A", Hard: true},
			{From: "D", To: "A", Hard: true},
			{From: "C", To: "B"},
			{From: "B", To: "D", Hard: true},
			{From: "X", To: "Y", Hard: true},
		},
	}
	if got := few.InOrder(); !slices.Equal(got, []catalogue.Code{"B", "C", "D", "E", "A"}) {
		t.Errorf("got %q", got)
	}
	order := shippedOne.InOrder()
	if len(order) != len(shippedOne.Operations) {
		t.Fatalf("%d of %d operations are in order", len(order), len(shippedOne.Operations))
	}
	before := map[catalogue.Code]bool{}
	for k, code := range order {
		for i := range shippedOne.Operations {
			first := shippedOne.Operations[i].Code
			waits := func(l catalogue.Link) bool { return l.Hard && !before[l.From] }
			if before[first] || slices.ContainsFunc(shippedOne.LinksInto(first), waits) {
				continue
			}
			if code != first {
				t.Fatalf("%s comes in place %d, where %s could", code, k, first)
			}
			break
		}
		before[code] = true
	}
}

// A cycle that no checked catalogue has ends the order, and nothing is lost.
func TestOperationsInARoundComeLast(t *testing.T) {
	t.Parallel()
	c := &catalogue.Catalogue{
		Operations: []catalogue.Operation{{Code: "A"}, {Code: "B"}, {Code: "C"}},
		Links: []catalogue.Link{
			{From: "A", To: "B", Hard: true}, {From: "B", To: "A", Hard: true},
		},
	}
	if got := c.InOrder(); !slices.Equal(got, []catalogue.Code{"C", "A", "B"}) {
		t.Errorf("got %q", got)
	}
}

// A workshop may give its points other codes; what a point is marked as tells which is which.
func TestAPointIsFoundInAnotherCatalogueByItsMarkElseByItsCode(t *testing.T) {
	t.Parallel()
	theirs := &catalogue.Catalogue{Points: []catalogue.Point{
		{Code: "SV-21", Marks: []catalogue.Mark{catalogue.PitchMark}},
		{Code: "SV-30"},
		{Code: "SV-31", Marks: []catalogue.Mark{catalogue.KeyLeadsMark}},
	}}
	ours := &catalogue.Catalogue{Points: []catalogue.Point{
		{Code: "P-1", Marks: []catalogue.Mark{catalogue.PitchMark}},
	}}
	for code, want := range map[catalogue.PointCode]catalogue.PointCode{
		"SV-21": "P-1", "SV-30": "SV-30", "SV-31": "SV-31", "SV-99": "SV-99",
	} {
		if got := ours.Counterpart(theirs, code); got != want {
			t.Errorf("%s is %s in our catalogue, want %s", code, got, want)
		}
	}
}
