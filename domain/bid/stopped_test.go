package bid_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/survey"
)

// What stops a purchase stops taking the piano in on consignment too, and offering it for its owner
// may be barred besides. A donor of parts may have a cracked frame.
func TestWhatStopsAPurchaseStopsTakingItInOnConsignment(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Covering, in.Year = "plastic", 1904
	ivory := in
	ivory.Covering = "ivory"
	for _, c := range []struct {
		name      string
		stops     clearance.List
		barred    []bid.Form
		permitted []bid.Form
	}{
		{
			"a cracked frame",
			domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Flag("SV-29", true)}),
			[]bid.Form{bid.Purchase, bid.Consigned, bid.PartExchange},
			[]bid.Form{bid.DonorOfParts},
		},
		{
			"live worm", domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Flag("SV-55", true)}),
			[]bid.Form{bid.Purchase, bid.Consigned, bid.DonorOfParts},
			nil,
		},
		{
			"ivory without papers", domaintest.Stops(t, "GB", ivory, nil),
			[]bid.Form{bid.Purchase, bid.Consigned, bid.DonorOfParts},
			nil,
		},
		{"nothing", nil, nil, []bid.Form{bid.Purchase, bid.Consigned, bid.DonorOfParts}},
	} {
		barred := func(f bid.Form) bool {
			stops := c.stops
			if f == bid.DonorOfParts {
				stops = stops.AsDonor()
			}
			return len(stops.Barring(f.Acts()...)) > 0
		}
		for _, f := range c.barred {
			if !barred(f) {
				t.Errorf("%s bars nothing of %s", c.name, f)
			}
		}
		for _, f := range c.permitted {
			if barred(f) {
				t.Errorf("%s bars %s", c.name, f)
			}
		}
	}
}

// What a bid didn't know is told beside it: what was found since, and a clearance that lapsed. What
// it was stopped by all the time isn't news.
func TestABidTellsWhatWasFoundSince(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Covering = "plastic"
	crack := domaintest.Flag("SV-29", true)
	crack.Where = "bass strut"
	second := crack
	second.Where = "hitch plate"
	found := domaintest.Stops(t, "GB", in, []survey.Finding{crack})
	word, err := found.Clear(clearance.Clearance{
		Stop: "frame-cracked", By: "Ada Fernwood", Says: "an idle web",
	}, domain.Owner, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	cleared := domaintest.Stops(t, "GB", in, []survey.Finding{crack}, word)
	lapsed := domaintest.Stops(t, "GB", in, []survey.Finding{crack, second}, word)
	asked := func(form bid.Form) bid.Inputs { return bid.Inputs{Asked: bid.Question{Form: form}} }
	for _, c := range []struct {
		name      string
		in        bid.Inputs
		then, now clearance.List
		want      int
	}{
		{"nothing then and nothing now", asked(bid.Purchase), nil, nil, 0},
		{"a crack since", asked(bid.Purchase), nil, found, 1},
		{"a crack since, of a donor", asked(bid.DonorOfParts), nil, found, 0},
		{"the crack that stopped the bid", asked(bid.Purchase), found, found, 0},
		{"cleared since", asked(bid.Purchase), found, cleared, 0},
		{"cleared then and now", asked(bid.Purchase), cleared, cleared, 0},
		{"cleared then and lapsed since", asked(bid.Purchase), cleared, lapsed, 1},
	} {
		w := bid.WayResult{Depth: catalogue.AsFound, Stops: c.then}
		if got := bid.FoundSince(c.in, w, c.now); len(got) != c.want {
			t.Errorf("%s: got %+v, want %d", c.name, got, c.want)
		}
	}
}
