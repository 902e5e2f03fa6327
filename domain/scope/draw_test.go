package scope_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

func calls(what ...string) []catalogue.Call {
	var list []catalogue.Call
	for _, w := range what {
		if group, option, ok := strings.Cut(w, "="); ok {
			list = append(list, catalogue.Call{Group: group, Option: option})
		} else {
			list = append(list, catalogue.Call{Operation: catalogue.Code(w)})
		}
	}
	return list
}

func codes(list ...string) []catalogue.Code {
	var c []catalogue.Code
	for _, s := range list {
		c = append(c, catalogue.Code(s))
	}
	return c
}

func rule(id, when string, what ...string) catalogue.Rule {
	return catalogue.Rule{
		ID: id, Depths: catalogue.Depths, When: catalogue.Condition(when), Calls: calls(what...),
		Reason: "by " + id,
	}
}

// plankShop returns a small workshop round the rest plank: enough to show choices, needs and
// refusals. Operations, options and needs are common practice, no source.
func plankShop() *catalogue.Catalogue {
	c := domaintest.SurveySheet()
	c.Operations = []catalogue.Operation{
		domaintest.Operation("IN-01", "Survey"), domaintest.Operation(
			"DS-01", "Strip down",
		), domaintest.Operation("DS-02", "Destring"), domaintest.Operation("DS-03", "Frame out"),
		domaintest.Operation("BD-02", "New plank"), domaintest.Operation(
			"BD-03", "Drill plank",
		), domaintest.Operation("BD-04", "Ream for larger pins"),
		domaintest.Operation("BD-05", "Treat loose pins"), domaintest.Operation("FR-06", "Frame in"),
		domaintest.Operation("ST-02", "New wire"), domaintest.Operation(
			"ST-04", "Strings kept",
		), domaintest.Operation("TU-01", "Tune"), domaintest.Operation("AC-07", "Rollers"),
	}
	rollers := &c.Operations[len(c.Operations)-1]
	delete(rollers.Hours, catalogue.Upright)
	c.Choices = []catalogue.Choice{
		{Group: "STRING", Options: []catalogue.Option{
			{
				Name: "in_place", Operations: codes("ST-04"), Refused: "op:DS-03",
				RefusedWhy: "the frame is out",
			},
			{Name: "restring", Operations: codes("DS-02", "ST-02")},
		}},
		{Group: "PLANK", Options: []catalogue.Option{
			{
				Name: "stopgap", Operations: codes("BD-05"), Refused: "option:STRING=restring",
				RefusedWhy: "no glue under new strings",
			},
			{
				Name: "keep_oversize", Operations: codes("BD-04"), Refused: "SV-13:must_act",
				RefusedWhy: "no size left",
			},
			{Name: "replace", Operations: codes("BD-02", "BD-03")},
		}},
	}
	c.Companions = []catalogue.Companion{
		{
			ID: "plank-frame", When: "BD-02", Calls: calls("DS-03", "BD-03"),
			Reason: "the plank lies under the frame",
		},
		{
			ID: "frame-strings", When: "DS-03", Calls: calls("STRING=restring", "FR-06"),
			Reason: "the frame comes out only without strings",
		},
		{
			ID: "strings-action", When: "DS-02", Calls: calls("DS-01"),
			Reason: "the action is out first",
		},
	}
	c.Rules = []catalogue.Rule{
		rule("base", "always", "IN-01", "TU-01"),
		rule("keep-strings", "!depth:as_found", "STRING=in_place"),
		rule("restring", "SV-17:must_act", "STRING=restring"),
		rule("size-up", "option:STRING=restring", "PLANK=keep_oversize"),
		rule("slack-kept", "SV-11:attention;SV-11:low;!option:STRING=restring", "PLANK=stopgap"),
		rule("slack", "SV-11:must_act;SV-11:low;depth:restore", "PLANK=replace"),
		rule("split", "SV-15:must_act;depth:restore", "PLANK=replace"),
		{
			ID: "unseen", Depths: catalogue.Depths, When: "SV-15:unknown;depth:restore",
			Calls: calls("PLANK=replace"), RevealedBy: "DS-02",
			Reason: "cracks show when the pins are drawn",
		},
		{
			ID: "remark", Depths: catalogue.Depths, When: "SV-13:attention",
			Calls: calls("PLANK=keep_oversize"), Suggest: true,
			Reason: "restrung before on this plank",
		},
		rule("rollers", "SV-03>=attention", "AC-07"),
	}
	return c
}

// sound returns a finding for every point, nothing wrong anywhere, with the given ones in the place
// of their points.
func sound(given ...survey.Finding) []survey.Finding {
	all := []survey.Finding{
		domaintest.Answer("SV-02", "roller"), domaintest.Number("SV-03", "47", ""), domaintest.Number(
			"SV-11", "9", "",
		), domaintest.Number("SV-13", "7", ""), domaintest.Number("SV-15", "0", ""),
		domaintest.Number(
			"SV-17", "0", "",
		), domaintest.Flag("SV-29", false), domaintest.Flag("SV-45", false),
		{Point: "SV-60", Note: "serial number"},
	}
	for _, g := range given {
		all = slices.DeleteFunc(all, func(f survey.Finding) bool { return f.Point == g.Point })
	}
	return append(all, given...)
}

// draw draws a grand's scope in the plank shop and fails the test on a fault.
func draw(
	t testing.TB, depth catalogue.Depth, findings []survey.Finding, edits ...scope.Edit,
) scope.Scope {
	t.Helper()
	s, err := tryDraw(t, depth, findings, edits...)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func tryDraw(
	t testing.TB, depth catalogue.Depth, findings []survey.Finding, edits ...scope.Edit,
) (scope.Scope, error) {
	t.Helper()
	c := plankShop()
	js, err := survey.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	return scope.Draw(
		c, instrument.Instrument{Kind: catalogue.Grand}, js, depth, edits, domaintest.Odds,
	)
}

// lines returns a scope in short: the codes, with the chance where it isn't certain.
func lines(s scope.Scope) string {
	var list []string
	for _, l := range s.Lines {
		text := string(l.Operation)
		if !l.Chance.Equal(domaintest.Dec("1")) {
			text += "@" + l.Chance.String()
		}
		list = append(list, text)
	}
	return strings.Join(list, " ")
}

func lineOf(t testing.TB, s scope.Scope, code catalogue.Code) scope.Line {
	t.Helper()
	for _, l := range s.Lines {
		if l.Operation == code {
			return l
		}
	}
	t.Fatalf("%s is not in the scope %s", code, lines(s))
	return scope.Line{}
}

func remove(code string) scope.Edit {
	return scope.Edit{Kind: scope.RemoveOperation, Operation: catalogue.Code(code)}
}

func TestRulesCallForWorkAndWorkForItsCompanions(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name     string
		depth    catalogue.Depth
		findings []survey.Finding
		want     string
	}{
		{"as found", catalogue.AsFound, sound(), "IN-01 TU-01"},
		{"recondition keeps the strings", catalogue.Recondition, sound(), "IN-01 ST-04 TU-01"},
		{
			"a must-act finding settles the more thorough option", catalogue.Recondition,
			sound(domaintest.Number("SV-17", "9", "")), "IN-01 DS-01 DS-02 BD-04 ST-02 TU-01",
		},
		{
			"loose pins under kept strings are treated", catalogue.Recondition,
			sound(domaintest.Number("SV-11", "4", "")), "IN-01 BD-05 ST-04 TU-01",
		},
		{
			"a new plank takes the strings off and the frame out and in", catalogue.Restore,
			sound(domaintest.Number("SV-11", "3", "")),
			"IN-01 DS-01 DS-02 DS-03 BD-02 BD-03 FR-06 ST-02 TU-01",
		},
		{
			"no size left: the next restring forces the plank", catalogue.Recondition,
			sound(domaintest.Number("SV-17", "9", ""), domaintest.Number("SV-13", "7.4", "")),
			"IN-01 DS-01 DS-02 DS-03 BD-02 BD-03 FR-06 ST-02 TU-01",
		},
		{
			"no size left, strings kept: nothing", catalogue.Recondition,
			sound(domaintest.Number("SV-13", "7.4", "")), "IN-01 ST-04 TU-01",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := lines(draw(t, c.depth, c.findings)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestEachLineTellsItsReasons(t *testing.T) {
	t.Parallel()
	s := draw(t, catalogue.Restore, sound(domaintest.Number("SV-11", "3", "")))
	plank := lineOf(t, s, "BD-02").Reasons
	if len(plank) != 1 || plank[0].Rule != "slack" ||
		!slices.Equal(plank[0].Points, []catalogue.PointCode{"SV-11"}) || plank[0].Text != "by slack" {
		t.Errorf("the plank's reasons are %+v", plank)
	}
	frame := lineOf(t, s, "DS-03").Reasons
	if len(frame) != 1 || frame[0].From != "BD-02" || frame[0].Rule != "plank-frame" {
		t.Errorf("the frame's reasons are %+v", frame)
	}
	forced := lineOf(
		t,
		draw(
			t, catalogue.Recondition,
			sound(domaintest.Number("SV-17", "9", ""), domaintest.Number("SV-13", "7.4", "")),
		),
		"BD-02",
	).Reasons
	if !slices.ContainsFunc(forced, func(r scope.Reason) bool {
		return r.Rule == "PLANK" && r.Text == "keep_oversize is refused: no size left"
	}) {
		t.Errorf("the forced plank does not say why: %+v", forced)
	}
}

func TestSuggestionsStayApart(t *testing.T) {
	t.Parallel()
	s := draw(t, catalogue.Recondition, sound(domaintest.Number("SV-13", "7.25", "")))
	if len(s.Suggestions) != 1 || s.Suggestions[0].Rule != "remark" {
		t.Errorf("suggestions are %+v", s.Suggestions)
	}
	if got, want := lines(s), "IN-01 ST-04 TU-01"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// drawOf draws a grand's scope at the depth of reconditioning in a shop whose rules a test has
// changed.
func drawOf(
	t *testing.T, c *catalogue.Catalogue, findings []survey.Finding, edits ...scope.Edit,
) scope.Scope {
	t.Helper()
	js, err := survey.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	s, err := scope.Draw(
		c, instrument.Instrument{Kind: catalogue.Grand}, js, catalogue.Recondition, edits,
		domaintest.Odds,
	)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestARuleStandsAsideForAnOptionThatALaterRuleSettles(t *testing.T) {
	t.Parallel()
	c := plankShop()
	c.Rules = []catalogue.Rule{
		rule("kept", "always", "STRING=in_place"), rule(
			"aside", "!option:STRING=restring", "AC-07",
		), rule("late", "SV-17:must_act", "STRING=restring"),
	}
	if got, want := lines(
		drawOf(t, c, sound(domaintest.Number("SV-17", "9", ""))),
	), "DS-01 DS-02 ST-02"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := lines(drawOf(t, c, sound())), "ST-04 AC-07"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// A treatment called for because strings stay on is refused, gives way to a new plank, and that
// takes the strings off: nothing agrees with itself. The rules then look back only, and what they
// come to has its reason in what came before.
func TestWorkNeverHoldsItselfUp(t *testing.T) {
	t.Parallel()
	c := plankShop()
	stopgap, oversize := &c.Choices[1].Options[0], &c.Choices[1].Options[1]
	stopgap.Refused, oversize.Refused = "SV-15:must_act", "SV-15:must_act"
	findings := sound(domaintest.Number("SV-11", "4", ""), domaintest.Number("SV-15", "3", ""))
	for _, edits := range [][]scope.Edit{nil, {remove("BD-04")}} {
		s := drawOf(t, c, findings, edits...)
		if got, want := lines(s), "IN-01 DS-01 DS-02 DS-03 BD-02 BD-03 FR-06 ST-02 TU-01"; got != want {
			t.Errorf("with %v got %s, want %s", edits, got, want)
		}
		if first := lineOf(t, s, "BD-02").Reasons[0].Rule; first != "slack-kept" {
			t.Errorf("with %v the plank is there by %s, want slack-kept", edits, first)
		}
	}
}

func TestWhatNobodyLookedAtIsDrawnWithItsOdds(t *testing.T) {
	t.Parallel()
	s := draw(
		t, catalogue.Restore,
		slices.DeleteFunc(sound(), func(f survey.Finding) bool { return f.Point == "SV-15" }),
	)
	want := "IN-01 DS-01@0.25 DS-02@0.25 DS-03@0.25 BD-02@0.25 BD-03@0.25 FR-06@0.25 ST-02@0.25 ST-04@0.75 TU-01"
	if got := lines(s); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for _, code := range codes("BD-02", "DS-03", "ST-02", "ST-04") {
		if l := lineOf(t, s, code); l.RevealedBy != "DS-02" {
			t.Errorf("%s is revealed by %q, want DS-02", code, l.RevealedBy)
		}
	}
	if s.Settled["STRING"] != "in_place" || s.Settled["PLANK"] != "replace" {
		t.Errorf("settled %v", s.Settled)
	}
	if !slices.Equal(s.Unknown, []catalogue.PointCode{"SV-15"}) {
		t.Errorf("unknown %v, want SV-15", s.Unknown)
	}
}

func TestWhatACertainFindingCallsForIsCertain(t *testing.T) {
	t.Parallel()
	findings := slices.DeleteFunc(
		sound(domaintest.Number("SV-11", "3", "")),
		func(f survey.Finding) bool { return f.Point == "SV-15" },
	)
	s := draw(t, catalogue.Restore, findings)
	if l := lineOf(t, s, "BD-02"); !l.Chance.Equal(domaintest.Dec("1")) || l.RevealedBy != "" ||
		len(l.Reasons) != 2 {
		t.Errorf("got chance %s revealed by %q for %+v", l.Chance, l.RevealedBy, l.Reasons)
	}
}

func TestAnUprightIsNotGivenWorkThatItCannotHave(t *testing.T) {
	t.Parallel()
	c := plankShop()
	c.Rules = append(c.Rules, rule("rollers-anyway", "always", "AC-07"))
	s, err := scope.Draw(
		c, instrument.Instrument{Kind: catalogue.Upright}, nil, catalogue.AsFound, nil,
		domaintest.Odds,
	)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := lines(s), "IN-01 TU-01"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestBuyersEdits(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name  string
		edits []scope.Edit
		want  string
	}{
		{
			"an added operation brings its companions",
			[]scope.Edit{domaintest.Add("DS-03")},
			"IN-01 DS-01 DS-02 DS-03 BD-04 FR-06 ST-02 TU-01",
		},
		{
			"adding twice is adding once",
			[]scope.Edit{domaintest.Add("DS-03"), domaintest.Add("DS-03")},
			"IN-01 DS-01 DS-02 DS-03 BD-04 FR-06 ST-02 TU-01",
		},
		{
			"adding and removing is nothing",
			[]scope.Edit{domaintest.Add("DS-03"), remove("DS-03")},
			"IN-01 ST-04 TU-01",
		},
		{"what a rule calls for may go", []scope.Edit{remove("TU-01")}, "IN-01 ST-04"},
		{
			"removed and added again",
			[]scope.Edit{remove("TU-01"), domaintest.Add("TU-01")},
			"IN-01 ST-04 TU-01",
		},
		{"removing what isn't there", []scope.Edit{remove("BD-02")}, "IN-01 ST-04 TU-01"},
		{
			"the rules see what the buyer chose",
			[]scope.Edit{domaintest.Choose("STRING", "restring")},
			"IN-01 DS-01 DS-02 BD-04 ST-02 TU-01",
		},
		{
			"the last word on a choice holds",
			[]scope.Edit{
				domaintest.Choose("STRING", "restring"), domaintest.Choose("STRING", "in_place"),
			},
			"IN-01 ST-04 TU-01",
		},
		{
			"the buyer's word goes before a finding",
			[]scope.Edit{
				domaintest.Choose("STRING", "restring"), domaintest.Choose("PLANK", "replace"),
			},
			"IN-01 DS-01 DS-02 DS-03 BD-02 BD-03 FR-06 ST-02 TU-01",
		},
		{
			"an added operation settles its choice",
			[]scope.Edit{domaintest.Add("BD-02")},
			"IN-01 DS-01 DS-02 DS-03 BD-02 BD-03 FR-06 ST-02 TU-01",
		},
		{
			"companions fall away with their caller",
			[]scope.Edit{domaintest.Choose("PLANK", "replace"), remove("BD-02"), remove("BD-03")},
			"IN-01 ST-04 TU-01",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := lines(draw(t, catalogue.Recondition, sound(), c.edits...)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// sayWhy ends the refusal to leave out work that other work needs.
const sayWhy = "if it is done, done elsewhere or kept, say so with because, by and why"

func TestEditsThatOtherWorkForbidsAreRefusedWithTheChainOfReasons(t *testing.T) {
	t.Parallel()
	slack := sound(domaintest.Number("SV-11", "3", ""))
	cases := []struct {
		name     string
		findings []survey.Finding
		edits    []scope.Edit
		detail   string
		chain    []string
	}{
		{
			"work that a plank needs", slack,
			[]scope.Edit{remove("DS-03")},
			"DS-03 (Frame out) can't be left out: BD-02 (New plank) needs it; " + sayWhy,
			[]string{
				"BD-02 needs DS-03: the plank lies under the frame", "BD-02 is here because SV-11: by slack",
				"SV-11: Turning torque of the rest pins: 3 N.m: will not hold",
			},
		},
		{
			"work two needs away", slack,
			[]scope.Edit{remove("FR-06")},
			"FR-06 (Frame in) can't be left out: DS-03 (Frame out) needs it; " + sayWhy,
			[]string{
				"DS-03 needs FR-06: the frame comes out only without strings",
				"BD-02 needs DS-03: the plank lies under the frame",
				"BD-02 is here because SV-11: by slack",
				"SV-11: Turning torque of the rest pins: 3 N.m: will not hold",
			},
		},
		{
			"an option less thorough than the work needs", slack,
			[]scope.Edit{domaintest.Choose("STRING", "in_place")},
			"STRING can't be settled as in_place: the frame is out",
			[]string{
				"BD-02 needs DS-03: the plank lies under the frame", "BD-02 is here because SV-11: by slack",
				"SV-11: Turning torque of the rest pins: 3 N.m: will not hold",
			},
		},
		{
			"an option that is refused", sound(domaintest.Number("SV-13", "7.4", "")),
			[]scope.Edit{
				domaintest.Choose("STRING", "restring"),
				domaintest.Choose("PLANK", "keep_oversize"),
			},
			"PLANK can't be settled as keep_oversize: no size left",
			[]string{"SV-13: Diameter of the rest pins: 7.4 mm: no size left"},
		},
		{
			"two operations that exclude each other", sound(),
			[]scope.Edit{domaintest.Add("BD-02"), domaintest.Add("BD-04")},
			"BD-04 (Ream for larger pins) can't be added: PLANK is settled as replace",
			[]string{
				"BD-04 belongs to PLANK=keep_oversize, and a job takes one option of the group",
				"PLANK=replace is settled because: added by the buyer",
			},
		},
		{
			"an operation against the buyer's own choice", sound(),
			[]scope.Edit{domaintest.Choose("STRING", "restring"), domaintest.Add("ST-04")},
			"ST-04 (Strings kept) can't be added: STRING is settled as restring",
			[]string{
				"ST-04 belongs to STRING=in_place, and a job takes one option of the group",
				"STRING=restring is settled because: chosen by the buyer",
			},
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := tryDraw(t, catalogue.Restore, c.findings, c.edits...)
			var fault *domain.Fault
			if !errors.As(err, &fault) || fault.Kind != domain.Conflict ||
				fault.Detail != c.detail {
				t.Fatalf("got %v, want a conflict: %s", err, c.detail)
			}
			if !slices.Equal(fault.Chain, c.chain) {
				t.Errorf(
					"chain\n %s\nwant\n %s", strings.Join(fault.Chain, "\n "),
					strings.Join(c.chain, "\n "),
				)
			}
		})
	}
}

func TestEditsThatMakeNoSenseAreRefusedAllAtOnce(t *testing.T) {
	t.Parallel()
	three := func(low, likely, high string) *catalogue.ThreePoint {
		return &catalogue.ThreePoint{
			Low: domaintest.Dec(low), Likely: domaintest.Dec(likely), High: domaintest.Dec(high),
		}
	}
	_, err := tryDraw(t, catalogue.Restore, nil,
		domaintest.Add("XX-99"),
		domaintest.Choose("PLANK", "glue"),
		domaintest.Choose("LID", "none"),
		scope.Edit{Kind: scope.SetHours, Operation: "TU-01", Hours: three("3", "2", "4")},
		scope.Edit{Kind: scope.SetHours, Operation: "TU-01", Hours: three("-1", "2", "4")},
		scope.Edit{Kind: scope.SetHours, Operation: "TU-01"},
		scope.Edit{
			Kind: scope.SetQuantity, Operation: "TU-01",
			Quantity: domaintest.Ptr(decimal.New(1, 900_000_000)),
		},
		scope.Edit{
			Kind: scope.SetChance, Operation: "TU-01",
			Chance: domaintest.Ptr(domaintest.Dec("1.2")),
		},
		scope.Edit{Kind: scope.SetMaking, Operation: "TU-01", Making: catalogue.Outside},
		scope.Edit{Kind: scope.SetMaking, Operation: "TU-01", Making: "abroad"},
		scope.Edit{Kind: "swap", Operation: "TU-01"},
		domaintest.Add("TU-01"),
	)
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Invalid {
		t.Fatalf("got %v, want an invalid fault", err)
	}
	var got []string
	for _, f := range fault.Fields {
		got = append(got, f.Pointer)
	}
	want := []string{
		"#/edits/0/operation", "#/edits/1/option", "#/edits/2/group", "#/edits/3/hours",
		"#/edits/4/hours", "#/edits/5/hours",
		"#/edits/6/quantity", "#/edits/7/chance", "#/edits/8/making", "#/edits/9/making",
		"#/edits/10/kind",
	}
	if !slices.Equal(got, want) {
		t.Errorf("faults at %v\nwant %v", got, want)
	}
}

func TestFiguresOfALineFollowTheBuyer(t *testing.T) {
	t.Parallel()
	chance := scope.Edit{
		Kind: scope.SetChance, Operation: "DS-03", Chance: domaintest.Ptr(domaintest.Dec("0.4")),
	}
	s := draw(t, catalogue.Recondition, sound(), domaintest.Add("DS-03"), chance,
		scope.Edit{
			Kind: scope.SetQuantity, Operation: "TU-01",
			Quantity: domaintest.Ptr(domaintest.Dec("30")),
		},
		scope.Edit{
			Kind: scope.SetHours, Operation: "IN-01",
			Hours: &catalogue.ThreePoint{
				Low: domaintest.Dec("1"), Likely: domaintest.Dec("2"), High: domaintest.Dec("3"),
			},
		},
		scope.Edit{
			Kind: scope.SetHours, Operation: "BD-02", Hours: &catalogue.ThreePoint{High: domaintest.Dec("1")},
		},
	)
	if want := "IN-01 DS-01@0.4 DS-02@0.4 DS-03@0.4 BD-04@0.4 FR-06@0.4 ST-02@0.4 ST-04@0.6 TU-01"; lines(s) != want {
		t.Errorf("got  %s\nwant %s", lines(s), want)
	}
	// Setup 1 h and 0.1 h a unit: 4 h at thirty units, twice the baseline's 2 h.
	if got := lineOf(t, s, "TU-01"); !got.Hours.Low.Equal(domaintest.Dec("2")) ||
		!got.Hours.Likely.Equal(
			domaintest.Dec("4"),
		) || !got.Hours.High.Equal(domaintest.Dec("8")) || !got.Edited {
		t.Errorf("tuning takes %v", got.Hours)
	}
	if got := lineOf(t, s, "IN-01").Hours; !got.Likely.Equal(domaintest.Dec("2")) {
		t.Errorf("the survey takes %v", got)
	}
	if len(s.Idle) != 1 || s.Idle[0].Operation != "BD-02" {
		t.Errorf("idle edits %+v, want the hours of BD-02", s.Idle)
	}
}
