package caution_test

import (
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// Whoever lets down 175 kN reads first that the frame under it is cracked. The trade facts are
// common practice, no source.
func TestWhatWasFoundComesBeforeTheCautionsOfTheWork(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	findings := []survey.Finding{
		domaintest.Flag("SV-29", true), domaintest.Number("SV-53", "4", ""),
		domaintest.Flag("SV-55", true), domaintest.Number("SV-63", "3", ""),
	}
	js := domaintest.Judged(t, c, in, findings)
	stops := domaintest.Stops(t, "GB", in, findings)
	s := scope.Scope{Lines: []scope.Line{
		{Operation: "DS-02", Making: catalogue.InHouse, Chance: domaintest.Dec("1")},
	}}
	list := caution.CautionsOfJob(c, in, js, s, stops)
	for i, want := range []struct {
		key      string
		says     []string
		standing catalogue.Standing
		stop     bool
	}{
		{
			"string_tension",
			[]string{"Found here: the frame is cracked", "work on it until", "175 kN", "never turn a frame bolt"},
			"source S60 S61 S62 S63", true,
		},
		{
			"lifting",
			[]string{"Found here: legs or castors may give way", "308 kg"},
			"common practice, no source; weight by ", true,
		},
		{
			"live_worm",
			[]string{"Found here: live woodworm", "flies from piece to piece"},
			"common practice, no source", true,
		},
		{"found", []string{"Found here: water, smoke, fire or a fall"}, "common practice, no source", false},
	} {
		k := list[i]
		wantSays(t, k, want.says...)
		if k.Key != want.key || k.Stop != want.stop || len(k.Operations) > 0 ||
			!strings.HasPrefix(string(k.Standing), string(want.standing)) {
			t.Errorf("%d: got %+v, want %s", i, k, want.key)
		}
	}
	if k := list[4]; len(k.Operations) == 0 {
		t.Errorf("after what was found comes %+v, want a caution of the work", k)
	}
	of := caution.CautionsOfFindings(c, in, js, s, stops)
	if len(of) != 4 || of[0].Says != list[0].Says {
		t.Errorf("the scope leads with %+v, want what the job leads with", of)
	}
}

// What was cleared is still there: the bench reads on whose word it works. What is mended isn't.
func TestAClearedCrackIsToldWithWhoAnswersForIt(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	findings := []survey.Finding{domaintest.Flag("SV-29", true)}
	js := domaintest.Judged(t, c, in, findings)
	stops := domaintest.Stops(t, "GB", in, findings)
	word, err := stops.Clear(clearance.Clearance{
		Stop: "frame-cracked", By: "Ada Fernwood", Says: "an idle web",
	}, domain.Manager, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	stops = domaintest.Stops(t, "GB", in, findings, word)
	k := caution.CautionsOfFindings(c, in, js, scope.Scope{}, stops)[0]
	wantSays(t, k, "the frame is cracked", "Cleared by Ada Fernwood", "an idle web")
	if k.Stop {
		t.Errorf("cleared, it stops: %s", k.Says)
	}
	mended := stops.After(func(catalogue.Code, time.Time) bool { return true })
	if list := caution.CautionsOfFindings(c, in, js, scope.Scope{}, mended); len(list) > 0 {
		t.Errorf("mended, the crack is told: %+v", list)
	}
}
