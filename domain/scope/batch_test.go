package scope_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
)

// Sixty-four worlds drawn at once have the work, and settle the choices, that each has when it is
// drawn by itself: on any piano, whatever was edited, however much of it nobody looked at.
func TestSixtyFourWorldsAtOnceAreThoseDrawnOneByOne(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	cases := uint64(300)
	if testing.Short() {
		cases /= 5
	}
	for seed := range cases {
		x := randomCase(c, 1_000_000+seed)
		r := rand.New(rand.NewPCG(seed, 2)) //nolint:gosec // a test's dice
		in := x.inputs
		js, unknown := slices.Clone(in.Judgements), r.IntN(len(in.Judgements)+1)
		for _, i := range r.Perm(len(js))[:unknown] {
			js[i].Severity, js[i].Side, js[i].Answer = catalogue.Unknown, catalogue.Within, ""
		}
		if got := scope.CompareBatch(
			c, in.Instrument, js, in.Depth, in.Edits, in.Terms.UnknownOdds, r,
		); got != "" {
			t.Fatalf("%s, %d points unknown: %s", x, unknown, got)
		}
	}
}
