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

// The law doesn't ask who owns the piano, nor whether the work touches the keys; what it says of
// ivory and rosewood is that of the trade dossier (S90 to S96).
func TestWhatTheWorkLeavesAloneIsStillUnderTheLaw(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	on := func(
		operation catalogue.Code, in instrument.Instrument, answers ...string,
	) []caution.Caution {
		var findings []survey.Finding
		for _, a := range answers {
			findings = append(findings, domaintest.Answer("SV-61", a))
		}
		s := scope.Scope{Lines: []scope.Line{
			{Operation: operation, Making: catalogue.InHouse, Chance: domaintest.Dec("1")},
		}}
		var list []caution.Caution
		for _, k := range caution.CautionsOfJob(c, in, domaintest.Judged(t, c, in, findings), s,
			domaintest.Stops(t, "GB", in, findings)) {
			if k.Key == "ivory_law" || k.Key == "protected_timber" {
				list = append(list, k)
			}
		}
		return list
	}
	for _, owner := range []instrument.Ownership{instrument.Stock, instrument.Client} {
		in := domaintest.Grand()
		in.Covering, in.Owner, in.Year = "ivory", owner, 1904
		list := on("TU-03", in)
		if len(list) != 1 {
			t.Fatalf("%s: tuning leaves ivory keys alone: got %+v", owner, list)
		}
		wantSays(t, list[0], "leaves alone", "across a border", "Ask the authority",
			"once it is registered")
		if list[0].Stop || len(list[0].Operations) > 0 {
			t.Errorf("%s: %+v bars the tuning", owner, list[0])
		}
		in.Covering = "plastic"
		if list := on("TU-03", in); len(list) > 0 {
			t.Errorf("%s: plastic keys: %+v", owner, list)
		}
		list = on("TU-03", in, "siam_rosewood")
		if len(list) != 1 || list[0].Key != "protected_timber" {
			t.Errorf("%s: rosewood: %+v", owner, list)
		}
	}
	worked := domaintest.Grand()
	worked.Covering = "ivory"
	list := on(workOnIvory(t, c), worked)
	if len(list) != 1 || len(list[0].Operations) != 1 ||
		strings.Contains(list[0].Says, "leaves alone") {
		t.Errorf("worked on: got %+v, want the caution of that work alone", list)
	}
}

// workOnIvory returns an operation that works on ivory.
func workOnIvory(t *testing.T, c *catalogue.Catalogue) catalogue.Code {
	t.Helper()
	for _, op := range c.Operations {
		for _, h := range op.Hazards {
			if h == "ivory_law" {
				return op.Code
			}
		}
	}
	t.Fatal("no operation works on ivory")
	return ""
}
