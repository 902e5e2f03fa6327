package survey_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestTheLimitsOfAPointJudgeItsReadings(t *testing.T) {
	t.Parallel()
	raised := domaintest.Number("SV-03", "47", "")
	raised.Raise = catalogue.MustAct
	lowered := domaintest.Number("SV-03", "55", "")
	lowered.Raise = catalogue.Attention
	byHand := survey.Finding{
		Point: "SV-15", Raise: catalogue.MustAct, Note: "seen from below without a lamp",
	}
	cases := []struct {
		name    string
		finding survey.Finding
		want    catalogue.Severity
	}{
		{"book blow distance", domaintest.Number("SV-03", "47", "mm"), catalogue.Sound},
		{"blow at the edge of acceptance", domaintest.Number("SV-03", "49", "mm"), catalogue.Sound},
		{"long blow", domaintest.Number("SV-03", "5.1", "cm"), catalogue.Attention},
		{"blow at the must-act end", domaintest.Number("SV-03", "52", "mm"), catalogue.MustAct},
		{"short blow", domaintest.Number("SV-03", "40", "mm"), catalogue.MustAct},
		{"torque of 30 in-lb", domaintest.Number("SV-11", "30", "in-lb"), catalogue.MustAct},
		{"torque of 45 in-lb", domaintest.Number("SV-11", "45", "in-lb"), catalogue.Attention},
		{"torque of 80 in-lb", domaintest.Number("SV-11", "80", "in-lb"), catalogue.Sound},
		{"a size up", domaintest.Number("SV-13", "7.25", "mm"), catalogue.Attention},
		{"no size left", domaintest.Number("SV-13", "7.4", "mm"), catalogue.MustAct},
		{"grade 1", domaintest.Number("SV-15", "1", ""), catalogue.Sound},
		{"grade 2", domaintest.Number("SV-15", "2", ""), catalogue.Attention},
		{"grade 3", domaintest.Number("SV-15", "3", ""), catalogue.MustAct},
		{"frame crack", domaintest.Flag("SV-29", true), catalogue.MustAct},
		{"no frame crack", domaintest.Flag("SV-29", false), catalogue.Sound},
		{
			"a flag whose severity the catalogue leaves open", domaintest.Flag("SV-45", true),
			catalogue.Attention,
		},
		{"tied action", domaintest.Answer("SV-02", "tied"), catalogue.Attention},
		{"an answer that tells nothing", domaintest.Answer("SV-02", "not_seen"), catalogue.Unknown},
		{
			"a note where a note is wanted",
			survey.Finding{Point: "SV-60", Note: "serial in the top tenor"},
			catalogue.Sound,
		},
		{"raised by the surveyor", raised, catalogue.MustAct},
		{"a raise below what the limits say", lowered, catalogue.MustAct},
		{"judged without a measurement", byHand, catalogue.MustAct},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			js, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, []survey.Finding{c.finding})
			if err != nil {
				t.Fatal(err)
			}
			if got := js.Of(c.finding.Point); got.Severity != c.want || got.Readings != 1 {
				t.Errorf("got %s from %d readings, want %s from 1", got.Severity, got.Readings, c.want)
			}
		})
	}
}

func TestTheWorstReadingDecidesAndTheMedianDescribes(t *testing.T) {
	t.Parallel()
	bass := domaintest.Number("SV-03", "53", "mm")
	bass.Where = "note 1"
	js, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, []survey.Finding{
		domaintest.Number("SV-03", "47", "mm"), bass,
		domaintest.Number("SV-03", "4.8", "cm"), domaintest.Number("SV-03", "50", "mm"),
	})
	if err != nil {
		t.Fatal(err)
	}
	got := js.Of("SV-03")
	if got.Severity != catalogue.MustAct || !got.Worst.Equal(domaintest.Dec("53")) ||
		!got.Median.Equal(domaintest.Dec("49")) || got.Readings != 4 {
		t.Errorf(
			"got %s, worst %s, median %s of %d; want must_act, 53, 49 of 4", got.Severity,
			got.Worst, got.Median, got.Readings,
		)
	}
	if want := "Blow distance: 53 mm at note 1 (worst of 4, median 49 mm): travel out of range"; got.Text != want {
		t.Errorf("says %q\nwant %q", got.Text, want)
	}
}

// What a finding means goes before how far out it lies.
func TestARaisedReadingIsWorseThanOneFurtherOut(t *testing.T) {
	t.Parallel()
	raised := domaintest.Number("SV-03", "47", "")
	raised.Raise = catalogue.MustAct
	js, err := survey.Judge(
		domaintest.SurveySheet(), catalogue.Grand,
		[]survey.Finding{domaintest.Number("SV-03", "51", ""), raised},
	)
	if err != nil {
		t.Fatal(err)
	}
	if got := js.Of("SV-03"); got.Severity != catalogue.MustAct ||
		!got.Worst.Equal(domaintest.Dec("47")) {
		t.Errorf("got %s by %s, want must_act by 47", got.Severity, got.Worst)
	}
}

// Torque has a wrong side at both ends: of two readings that mean the same, the one further from
// what is accepted is the worst.
func TestTheWorstOfTwoSidesIsTheFurthestOut(t *testing.T) {
	t.Parallel()
	js, err := survey.Judge(
		domaintest.SurveySheet(), catalogue.Grand,
		[]survey.Finding{
			domaintest.Number("SV-11", "18", ""), domaintest.Number("SV-11", "3.9", ""),
		},
	)
	if err != nil {
		t.Fatal(err)
	}
	if got := js.Of("SV-11").Worst; !got.Equal(domaintest.Dec("3.9")) {
		t.Errorf("worst of 18 and 3.9 N.m is %s, want 3.9", got)
	}
}

// A slack pin and one that is too tight want different work, so a judgement says on which side the
// deciding reading lies.
func TestAJudgementSaysOnWhichSideItLies(t *testing.T) {
	t.Parallel()
	raise := func(f survey.Finding) survey.Finding { f.Raise = catalogue.MustAct; return f }
	cases := []struct {
		name    string
		finding survey.Finding
		want    catalogue.Side
	}{
		{"slack", domaintest.Number("SV-11", "3", ""), catalogue.Low},
		{"tight", domaintest.Number("SV-11", "20", ""), catalogue.High},
		{"right", domaintest.Number("SV-11", "9", ""), catalogue.Within},
		{
			"right, but raised near the slack end", raise(domaintest.Number("SV-11", "6", "")),
			catalogue.Low,
		},
		{
			"right, but raised near the tight end", raise(domaintest.Number("SV-11", "16", "")),
			catalogue.High,
		},
		{"a grade is only bad upwards", raise(domaintest.Number("SV-15", "0", "")), catalogue.High},
		{
			"raised without a reading",
			survey.Finding{Point: "SV-15", Raise: catalogue.MustAct, Note: "seen"},
			catalogue.High,
		},
	}
	for _, c := range cases {
		js, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, []survey.Finding{c.finding})
		if err != nil {
			t.Fatal(err)
		}
		if got := js.Of(c.finding.Point).Side; got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

func TestJudgementsSpeakTheTrade(t *testing.T) {
	t.Parallel()
	raised := domaintest.Number("SV-03", "47", "")
	raised.Raise, raised.Note = catalogue.Attention, "hammers double-strike"
	cases := []struct {
		finding survey.Finding
		want    string
	}{
		// common practice, no source
		{
			domaintest.Number("SV-13", "0.286", "in"),
			"Diameter of the rest pins: 7.26 mm: probably restrung before without a new plank",
		},
		{
			domaintest.Number("SV-15", "3", ""),
			"Rest plank: grade 3 serious: delaminated or cracked through",
		},
		{domaintest.Flag("SV-29", true), "Frame cracks: yes: stop and get a specialist"},
		{domaintest.Flag("SV-29", false), "Frame cracks: no: sound"},
		{
			domaintest.Answer("SV-02", "tied"),
			"Action type: tied: slower repetition, narrower market",
		},
		{domaintest.Number("SV-17", "5", ""), "Broken strings: 5 strings: wants attention"},
		{
			raised,
			"Blow distance: 47 mm: 50-51 mm is the usual sign of worn hammers; raised by the surveyor: hammers double-strike",
		},
		{
			survey.Finding{Point: "SV-15", Raise: catalogue.MustAct, Note: "parts open"},
			"Rest plank: seen, not measured: delaminated or cracked through; raised by the surveyor: parts open",
		},
	}
	for _, c := range cases {
		js, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, []survey.Finding{c.finding})
		if err != nil {
			t.Fatal(err)
		}
		if got := js.Of(c.finding.Point).Text; got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

func TestNothingThatWasNotLookedAtIsSound(t *testing.T) {
	t.Parallel()
	for _, kind := range domaintest.BothKinds {
		js, err := survey.Judge(domaintest.SurveySheet(), kind, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range js {
			if j.Severity != catalogue.Unknown || !strings.Contains(j.Text, "not looked at") {
				t.Errorf("%s %s: got %s, %q", kind, j.Point, j.Severity, j.Text)
			}
		}
		if got := js.Of("SV-99").Severity; got != catalogue.Unknown {
			t.Errorf("a point outside the survey is %s, want unknown", got)
		}
	}
	upright, err := survey.Judge(domaintest.SurveySheet(), catalogue.Upright, nil)
	if err != nil {
		t.Fatal(err)
	}
	if slices.ContainsFunc(upright, func(j survey.Judgement) bool { return j.Point == "SV-03" }) {
		t.Error("the grand's blow distance is judged on an upright")
	}
}

func TestAbsurdFindingsAreRefusedAllAtOnceAndWhereTheyStand(t *testing.T) {
	t.Parallel()
	misplaced := domaintest.Flag("SV-03", true)
	lowered := domaintest.Number("SV-03", "55", "mm")
	lowered.Raise = catalogue.Sound
	cases := []struct {
		finding survey.Finding
		field   string
		says    string
	}{
		{domaintest.Number("SV-03", "47", "mm"), "", ""},
		{domaintest.Number("SV-03", "4.7", "m"), "value", "4.7 m, that is 4700 mm"},
		{domaintest.Number("SV-03", "-1", "mm"), "value", "10 to 120 mm"},
		{domaintest.Number("SV-03", "47", "N.m"), "unit", "mm, cm, m, in"},
		{domaintest.Number("SV-15", "7", ""), "value", "0 as new"},
		{domaintest.Number("SV-17", "2.5", ""), "value", "whole number of strings"},
		{domaintest.Number("SV-17", "0.0000001", ""), "value", "decimals"},
		{
			survey.Finding{Point: "SV-03", Value: domaintest.Ptr(decimal.New(1, 2_000_000_000))},
			"value", "digits",
		},
		{
			survey.Finding{Point: "SV-03", Value: domaintest.Ptr(decimal.New(1, -2_000_000_000))},
			"value", "digits",
		},
		{domaintest.Number("SV-99", "1", ""), "point", "a point of the survey"},
		{misplaced, "flag", "a number in mm"},
		{domaintest.Number("SV-29", "1", ""), "value", "yes or no"},
		{domaintest.Answer("SV-02", "spring-and-loop"), "answer", "roller, tied, obsolete"},
		{domaintest.Number("SV-02", "1", ""), "value", "roller, tied"},
		{survey.Finding{Point: "SV-03"}, "value", "a number in mm"},
		{survey.Finding{Point: "SV-03", Note: "looked at"}, "value", "a note and a raise"},
		{
			survey.Finding{Point: "SV-11", Raise: catalogue.MustAct, Note: "by hand"},
			"value",
			"both sides",
		},
		{survey.Finding{Point: "SV-29"}, "flag", "yes or no"},
		{survey.Finding{Point: "SV-60"}, "note", "a note"},
		{lowered, "raise", "attention or must_act"},
	}
	var findings []survey.Finding
	want := map[string]string{}
	for i, c := range cases {
		findings = append(findings, c.finding)
		if c.field != "" {
			want[fmt.Sprintf("#/findings/%d/%s", i, c.field)] = c.says
		}
	}
	_, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, findings)
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Invalid {
		t.Fatalf("got %v, want an invalid fault", err)
	}
	for _, f := range fault.Fields {
		says, ok := want[f.Pointer]
		if !ok || !strings.Contains(f.Detail, says) {
			t.Errorf("%s: got %q, want it to say %q", f.Pointer, f.Detail, says)
		}
		delete(want, f.Pointer)
	}
	if len(want) > 0 {
		t.Errorf("not refused: %v", want)
	}
}

func TestAPointOfTheOtherKindIsRefused(t *testing.T) {
	t.Parallel()
	_, err := survey.Judge(
		domaintest.SurveySheet(), catalogue.Upright,
		[]survey.Finding{domaintest.Number("SV-03", "47", "mm")},
	)
	var fault *domain.Fault
	if !errors.As(err, &fault) || len(fault.Fields) != 1 ||
		fault.Fields[0].Pointer != "#/findings/0/point" {
		t.Errorf("got %v, want one fault at #/findings/0/point", err)
	}
}

func TestTheOrderOfFindingsDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Int64Range(100, 1200), 1, 9).Draw(t, "blow distances in tenths")
		var findings []survey.Finding
		for _, v := range values {
			findings = append(
				findings,
				survey.Finding{
					Point: "SV-03", Value: domaintest.Ptr(decimal.New(v, -1)), Unit: "mm",
				},
			)
		}
		straight, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, findings)
		if err != nil {
			t.Fatal(err)
		}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		r.Shuffle(len(findings), func(i, j int) { findings[i], findings[j] = findings[j], findings[i] })
		shuffled, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, findings)
		if err != nil {
			t.Fatal(err)
		}
		a, b := straight.Of("SV-03"), shuffled.Of("SV-03")
		if a.Severity != b.Severity || !a.Median.Equal(*b.Median) {
			t.Errorf("got %s %s and %s %s", a.Severity, a.Median, b.Severity, b.Median)
		}
		for _, f := range findings {
			one, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, []survey.Finding{f})
			if err != nil {
				t.Fatal(err)
			}
			if one.Of("SV-03").Severity == catalogue.MustAct && a.Severity != catalogue.MustAct {
				t.Errorf("%s mm alone must be acted on, all together are %s", f.Value, a.Severity)
			}
		}
	})
}
