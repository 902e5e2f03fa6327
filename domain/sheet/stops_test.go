package sheet

import (
	"strings"
	"testing"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// A bid that knew of no crack is carried into the room after one was found.
func TestWhatWasFoundSinceTheBidIsADealBreaker(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Offered
	w := bid.WayResult{Depth: catalogue.AsFound, Outcome: bid.Buy}
	b := Subject{
		Inputs: bid.Inputs{Engine: bid.Engine, Instrument: in}, Catalogue: domaintest.Shipped(t),
		Result: bid.Result{Ways: []bid.WayResult{w}},
	}
	if got := b.dealBreakers(); len(got) != 1 || !strings.HasPrefix(got[0], "None known") {
		t.Errorf("with nothing found: %q", got)
	}
	crack := []survey.Finding{domaintest.Flag("SV-29", true)}
	b.Now = domaintest.Stops(t, "GB", in, crack)
	got := b.dealBreakers()
	if len(got) != 1 || !strings.HasPrefix(got[0], "Found since this bid: the frame is cracked") ||
		!strings.Contains(got[0], "bars buying it") {
		t.Errorf("with a crack found since: %q", got)
	}
	b.Result.Ways[0].Stops = b.Now
	if got := b.dealBreakers(); len(got) != 1 || strings.Contains(got[0], "since this bid") {
		t.Errorf("with a crack that the bid knew: %q", got)
	}
}
