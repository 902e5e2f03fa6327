package clearance_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/survey"

	"pgregory.net/rapid"
)

// looked returns what a survey of a day found, entered by a member in a role.
func looked(day int, by string, as domain.Role, findings ...survey.Finding) survey.Survey {
	s := survey.Survey{
		TakenOn: domain.Date{Year: 2026, Month: 3, Day: day}, TakenBy: by, Findings: findings,
	}
	for i := range s.Findings {
		s.Findings[i].Entered.As = as
	}
	return s
}

// What somebody found stays until somebody who may answer for it has looked himself. A buyer's
// second look is told beside it and lifts nothing.
func TestAStopStaysUntilSomebodyWhoMayAnswerForItHasLookedAgain(t *testing.T) {
	t.Parallel()
	yes, no := domaintest.Flag("SV-29", true), domaintest.Flag("SV-29", false)
	ivory, plastic := domaintest.Answer("SV-42", "ivory"), domaintest.Answer("SV-42", "plastic")
	legs, firm := domaintest.Number("SV-53", "4", ""), domaintest.Number("SV-53", "0", "")
	list := func(surveys ...survey.Survey) []survey.Survey { return surveys }
	for _, c := range []struct {
		name, stop    string
		surveys       []survey.Survey
		barred        bool
		by, disputing string
	}{
		{
			"a buyer's sound look at the frame", "frame-cracked",
			list(looked(2, "Tomé", domain.Bench, yes), looked(9, "Rui", domain.Buyer, no)), true, "", "Rui",
		},
		{
			"a sound look of a role that wasn't kept", "frame-cracked",
			list(looked(2, "Tomé", domain.Bench, yes), looked(9, "Rui", "", no)), true, "", "Rui",
		},
		{
			"the manager's sound look at the frame", "frame-cracked",
			list(looked(2, "Tomé", domain.Bench, yes), looked(9, "Ada", domain.Manager, no)), false, "Ada", "",
		},
		{
			"the manager's, before the crack was found", "frame-cracked",
			list(looked(9, "Tomé", domain.Bench, yes), looked(2, "Ada", domain.Manager, no)), true, "", "",
		},
		{
			"the manager's between two buyer's looks", "frame-cracked",
			list(
				looked(2, "Tomé", domain.Bench, yes), looked(5, "Ada", domain.Manager, no),
				looked(9, "Rui", domain.Buyer, no),
			), false, "Ada", "",
		},
		{
			"a crack that the bench finds after the manager", "frame-cracked",
			list(
				looked(2, "Tomé", domain.Bench, yes), looked(5, "Ada", domain.Manager, no),
				looked(9, "Tomé", domain.Bench, yes),
			), true, "", "",
		},
		{
			"legs that the buyer, who may, finds firm", "legs-unsafe",
			list(looked(2, "Tomé", domain.Bench, legs), looked(9, "Rui", domain.Buyer, firm)), false, "Rui", "",
		},
		{
			"ivory that the buyer takes for plastic", "ivory-register",
			list(looked(2, "Tomé", domain.Bench, ivory), looked(9, "Rui", domain.Buyer, plastic)),
			true, "", "Rui",
		},
		{
			"ivory that the owner finds to be plastic", "ivory-register",
			list(looked(2, "Tomé", domain.Bench, ivory), looked(9, "Ada", domain.Owner, plastic)),
			false, "Ada", "",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := found(t)
			r.Instrument.Covering, r.Instrument.Year = "", 1904
			r.Surveys = c.surveys
			s := stop(t, r, c.stop)
			if (barred(s) != "") != c.barred {
				t.Errorf("bars %q: %s", barred(s), s.Text())
			}
			for what, x := range map[string]struct {
				look *clearance.Look
				by   string
			}{"lifted": {s.Lifting, c.by}, "disputed": {s.Disputing, c.disputing}} {
				switch {
				case x.by == "" && x.look != nil:
					t.Errorf("%s by %+v", what, x.look)
				case x.by != "" && (x.look == nil || x.look.By != x.by ||
					!strings.Contains(s.Text(), "looked at again by "+x.by) ||
					!strings.Contains(s.Text(), "on 2026-03-0")):
					t.Errorf("%s by %+v, want %s: %s", what, x.look, x.by, s.Text())
				}
			}
		})
	}
}

// Two looks at the same frame by people who may not answer for it add up: a crack that the second
// doesn't name is still there for whoever clears the stop.
func TestWhatTwoLooksFoundAddsUp(t *testing.T) {
	t.Parallel()
	r := found(t)
	r.Surveys = []survey.Survey{
		looked(2, "Tomé", domain.Bench, crack("bass strut")),
		looked(9, "Rui", domain.Buyer, crack("hitch plate")),
	}
	if got := stop(t, r, "frame-cracked").Where; !slices.Equal(got, []string{"bass strut", "hitch plate"}) {
		t.Errorf("found at %q", got)
	}
	r.Surveys = append(r.Surveys, looked(10, "Ada", domain.Owner, crack("hitch plate")))
	if got := stop(t, r, "frame-cracked").Where; !slices.Equal(got, []string{"hitch plate"}) {
		t.Errorf("after the owner's look found at %q", got)
	}
}

// Whatever somebody finds sound whose look lifts nothing, and whenever: no stop bars less than
// before.
func TestNoLookOfOneWhoMayNotAnswerFreesAnything(t *testing.T) {
	t.Parallel()
	sound := []survey.Finding{
		domaintest.Flag("SV-29", false), domaintest.Flag("SV-55", false),
		domaintest.Answer("SV-42", "plastic"), domaintest.Answer("SV-61", "none"),
		domaintest.Number("SV-53", "0", ""), domaintest.Number("SV-54", "0", ""),
		domaintest.Number("SV-63", "0", ""),
	}
	bad := []survey.Finding{
		domaintest.Flag("SV-29", true), domaintest.Flag("SV-55", true),
		domaintest.Answer("SV-42", "ivory"), domaintest.Answer("SV-61", "brazilian_rosewood"),
		domaintest.Number("SV-53", "4", ""), domaintest.Number("SV-54", "4", ""),
		domaintest.Number("SV-63", "4", ""),
	}
	rapid.Check(t, func(rt *rapid.T) {
		r := found(t)
		r.Instrument.Covering, r.Instrument.Year = "", 1904
		for range rapid.IntRange(1, 4).Draw(rt, "surveys") {
			var findings []survey.Finding
			for i := range bad {
				switch rapid.IntRange(0, 2).Draw(rt, "found") {
				case 1:
					findings = append(findings, sound[i])
				case 2:
					findings = append(findings, bad[i])
				}
			}
			r.Surveys = append(r.Surveys, looked(rapid.IntRange(1, 20).Draw(rt, "day"), "somebody",
				rapid.SampledFrom(domain.Roles).Draw(rt, "role"), findings...))
		}
		before := stops(t, r)
		role := rapid.SampledFrom([]domain.Role{domain.Bench, domain.Viewer, ""}).Draw(rt, "looker")
		r.Surveys = append(
			r.Surveys, looked(rapid.IntRange(1, 28).Draw(rt, "again"), "Rui", role, slices.Clone(sound)...),
		)
		if freed := before.Freed(stops(t, r)); len(freed) > 0 {
			rt.Errorf("a sound look of the role %q frees %q", role, ids(freed))
		}
	})
}

// What was entered is struck, or corrected away, by those alone whose own look would lift the stop.
func TestAStopIsNotCorrectedAway(t *testing.T) {
	t.Parallel()
	before, after := stops(t, found(t, crack(""))), stops(t, found(t))
	for _, role := range domain.Roles {
		may := role == domain.Owner || role == domain.Manager
		if err := before.MayFree(after, role); (err == nil) != may {
			t.Errorf("%s strikes the crack: %v", role, err)
		}
	}
	undated, dated := stops(t, ivoryGrand(t, 0)), stops(t, ivoryGrand(t, 1904))
	if err := undated.MayFree(dated, domain.Buyer); err != nil {
		t.Errorf("a buyer puts the year on record, and other papers are asked for: %v", err)
	}
	if got := undated.Freed(stops(t, found(t))); len(got) != 1 || got[0].Point != "SV-42" {
		t.Errorf("plastic on record frees %+v, want the ivory", got)
	}
}

func TestALookDatedInTheFutureLiftsNothing(t *testing.T) {
	t.Parallel()
	r := found(t)
	r.Surveys = []survey.Survey{
		looked(2, "Tomé", domain.Bench, domaintest.Flag("SV-29", true)),
		looked(9, "Ada", domain.Owner, domaintest.Flag("SV-29", false)),
	}
	for day, want := range map[int]string{8: "buy move work", 9: ""} {
		r.Today = domain.Date{Year: 2026, Month: 3, Day: day}
		if s := stop(t, r, "frame-cracked"); barred(s) != want {
			t.Errorf("on %s it bars %q, want %q: %s", r.Today, barred(s), want, s.Text())
		}
	}
}
