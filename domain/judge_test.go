package domain_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// limits reads "accept min, accept max, must low, must high, absurd min,
// absurd max"; an empty end is open.
func limits(text string) *catalogue.Limits {
	var end [6]*decimal.Decimal
	for i, s := range strings.Split(text, ",") {
		if s = strings.TrimSpace(s); s != "" {
			end[i] = ptr(dec(s))
		}
	}
	return &catalogue.Limits{AcceptMin: end[0], AcceptMax: end[1], MustLow: end[2], MustHigh: end[3], AbsurdMin: *end[4], AbsurdMax: *end[5]}
}

var (
	bothKinds = []catalogue.Kind{catalogue.Grand, catalogue.Upright}
	grandOnly = []catalogue.Kind{catalogue.Grand}
)

// surveySheet is a short survey with a point of every form. Limits of the trade
// dossier's condition survey.
func surveySheet() *catalogue.Catalogue {
	return &catalogue.Catalogue{Points: []catalogue.Point{
		{
			Code: "SV-02", Kinds: bothKinds, Observe: "Action type", Type: catalogue.Pick,
			Answers:     []catalogue.Answer{{Name: "roller", Severity: catalogue.Sound}, {Name: "tied", Severity: catalogue.Attention}, {Name: "obsolete", Severity: catalogue.MustAct}, {Name: "not_seen", Severity: catalogue.Unknown}},
			AttentionIs: "slower repetition, narrower market", MustActIs: "obsolete and unserviceable",
		},
		{
			Code: "SV-03", Kinds: grandOnly, Observe: "Blow distance", Type: catalogue.Number, Unit: "mm", Limits: limits("44,49,40,52,10,120"),
			AttentionIs: "50-51 mm is the usual sign of worn hammers", MustActIs: "travel out of range",
		},
		{
			Code: "SV-11", Kinds: bothKinds, Observe: "Turning torque of the rest pins", Type: catalogue.Number, Unit: "N.m", Limits: limits("5.6,17,3.4,25,0,40"),
			AttentionIs: "holds for now", MustActIs: "will not hold",
		},
		{
			Code: "SV-13", Kinds: bothKinds, Observe: "Diameter of the rest pins", Type: catalogue.Number, Unit: "mm", Limits: limits("6.8,7.2,6.5,7.4,5,10"),
			AttentionIs: "probably restrung before without a new plank", MustActIs: "no size left",
		},
		{Code: "SV-15", Kinds: bothKinds, Observe: "Rest plank", Type: catalogue.Grade, Unit: "grade 0-4", Limits: limits("0,1,,3,0,4"), MustActIs: "delaminated or cracked through"},
		{Code: "SV-17", Kinds: bothKinds, Observe: "Broken strings", Type: catalogue.Count, Unit: "strings", Limits: limits("0,2,,8,0,240")},
		{Code: "SV-29", Kinds: bothKinds, Observe: "Frame cracks", Type: catalogue.Flag, HardStop: true, FlagSeverity: catalogue.MustAct, MustActIs: "stop and get a specialist"},
		{Code: "SV-45", Kinds: bothKinds, Observe: "Key leads swelling", Type: catalogue.Flag},
		{Code: "SV-60", Kinds: bothKinds, Observe: "Date evidence", Type: catalogue.Text},
	}}
}

func number(point, value, unit string) domain.Finding {
	return domain.Finding{Point: catalogue.PointCode(point), Value: ptr(dec(value)), Unit: unit}
}

func flag(point string, raised bool) domain.Finding {
	return domain.Finding{Point: catalogue.PointCode(point), Flag: ptr(raised)}
}

func answer(point, name string) domain.Finding {
	return domain.Finding{Point: catalogue.PointCode(point), Answer: name}
}

func TestTheLimitsOfAPointJudgeItsReadings(t *testing.T) {
	t.Parallel()
	raised := number("SV-03", "47", "")
	raised.Raise = catalogue.MustAct
	lowered := number("SV-03", "55", "")
	lowered.Raise = catalogue.Attention
	byHand := domain.Finding{Point: "SV-15", Raise: catalogue.MustAct, Note: "seen from below without a lamp"}
	cases := []struct {
		name    string
		finding domain.Finding
		want    catalogue.Severity
	}{
		{"book blow distance", number("SV-03", "47", "mm"), catalogue.Sound},
		{"blow at the edge of acceptance", number("SV-03", "49", "mm"), catalogue.Sound},
		{"long blow", number("SV-03", "5.1", "cm"), catalogue.Attention},
		{"blow at the must-act end", number("SV-03", "52", "mm"), catalogue.MustAct},
		{"short blow", number("SV-03", "40", "mm"), catalogue.MustAct},
		{"torque of 30 in-lb", number("SV-11", "30", "in-lb"), catalogue.MustAct},
		{"torque of 45 in-lb", number("SV-11", "45", "in-lb"), catalogue.Attention},
		{"torque of 80 in-lb", number("SV-11", "80", "in-lb"), catalogue.Sound},
		{"a size up", number("SV-13", "7.25", "mm"), catalogue.Attention},
		{"no size left", number("SV-13", "7.4", "mm"), catalogue.MustAct},
		{"grade 1", number("SV-15", "1", ""), catalogue.Sound},
		{"grade 2", number("SV-15", "2", ""), catalogue.Attention},
		{"grade 3", number("SV-15", "3", ""), catalogue.MustAct},
		{"frame crack", flag("SV-29", true), catalogue.MustAct},
		{"no frame crack", flag("SV-29", false), catalogue.Sound},
		{"a flag whose severity the catalogue leaves open", flag("SV-45", true), catalogue.Attention},
		{"tied action", answer("SV-02", "tied"), catalogue.Attention},
		{"an answer that tells nothing", answer("SV-02", "not_seen"), catalogue.Unknown},
		{"a note where a note is wanted", domain.Finding{Point: "SV-60", Note: "serial in the top tenor"}, catalogue.Sound},
		{"raised by the surveyor", raised, catalogue.MustAct},
		{"a raise below what the limits say", lowered, catalogue.MustAct},
		{"judged without a measurement", byHand, catalogue.MustAct},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			js, err := domain.Judge(surveySheet(), catalogue.Grand, []domain.Finding{c.finding})
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
	bass := number("SV-03", "53", "mm")
	bass.Where = "note 1"
	js, err := domain.Judge(surveySheet(), catalogue.Grand, []domain.Finding{
		number("SV-03", "47", "mm"), bass, number("SV-03", "4.8", "cm"), number("SV-03", "50", "mm"),
	})
	if err != nil {
		t.Fatal(err)
	}
	got := js.Of("SV-03")
	if got.Severity != catalogue.MustAct || !got.Worst.Equal(dec("53")) || !got.Median.Equal(dec("49")) || got.Readings != 4 {
		t.Errorf("got %s, worst %s, median %s of %d; want must_act, 53, 49 of 4", got.Severity, got.Worst, got.Median, got.Readings)
	}
	if want := "Blow distance: 53 mm at note 1 (worst of 4, median 49 mm): travel out of range"; got.Says != want {
		t.Errorf("says %q\nwant %q", got.Says, want)
	}
}

// What a finding means goes before how far out it lies.
func TestARaisedReadingIsWorseThanOneFurtherOut(t *testing.T) {
	t.Parallel()
	raised := number("SV-03", "47", "")
	raised.Raise = catalogue.MustAct
	js, err := domain.Judge(surveySheet(), catalogue.Grand, []domain.Finding{number("SV-03", "51", ""), raised})
	if err != nil {
		t.Fatal(err)
	}
	if got := js.Of("SV-03"); got.Severity != catalogue.MustAct || !got.Worst.Equal(dec("47")) {
		t.Errorf("got %s by %s, want must_act by 47", got.Severity, got.Worst)
	}
}

// Torque has a wrong side at both ends: of two readings that mean the same, the
// one further from what is accepted is the worst.
func TestTheWorstOfTwoSidesIsTheFurthestOut(t *testing.T) {
	t.Parallel()
	js, err := domain.Judge(surveySheet(), catalogue.Grand, []domain.Finding{number("SV-11", "18", ""), number("SV-11", "3.9", "")})
	if err != nil {
		t.Fatal(err)
	}
	if got := js.Of("SV-11").Worst; !got.Equal(dec("3.9")) {
		t.Errorf("worst of 18 and 3.9 N.m is %s, want 3.9", got)
	}
}

// A slack pin and one that is too tight want different work, so a judgement
// says on which side the deciding reading lies.
func TestAJudgementSaysOnWhichSideItLies(t *testing.T) {
	t.Parallel()
	raise := func(f domain.Finding) domain.Finding { f.Raise = catalogue.MustAct; return f }
	cases := []struct {
		name    string
		finding domain.Finding
		want    catalogue.Side
	}{
		{"slack", number("SV-11", "3", ""), catalogue.Low},
		{"tight", number("SV-11", "20", ""), catalogue.High},
		{"right", number("SV-11", "9", ""), catalogue.Within},
		{"right, but raised near the slack end", raise(number("SV-11", "6", "")), catalogue.Low},
		{"right, but raised near the tight end", raise(number("SV-11", "16", "")), catalogue.High},
		{"a grade is only bad upwards", raise(number("SV-15", "0", "")), catalogue.High},
		{"raised without a reading", domain.Finding{Point: "SV-15", Raise: catalogue.MustAct, Note: "seen"}, catalogue.High},
	}
	for _, c := range cases {
		js, err := domain.Judge(surveySheet(), catalogue.Grand, []domain.Finding{c.finding})
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
	raised := number("SV-03", "47", "")
	raised.Raise, raised.Note = catalogue.Attention, "hammers double-strike"
	cases := []struct {
		finding domain.Finding
		want    string
	}{
		{number("SV-13", "0.286", "in"), "Diameter of the rest pins: 7.26 mm: probably restrung before without a new plank"}, // common practice, no source
		{number("SV-15", "3", ""), "Rest plank: grade 3 serious: delaminated or cracked through"},
		{flag("SV-29", true), "Frame cracks: yes: stop and get a specialist"},
		{flag("SV-29", false), "Frame cracks: no: sound"},
		{answer("SV-02", "tied"), "Action type: tied: slower repetition, narrower market"},
		{number("SV-17", "5", ""), "Broken strings: 5 strings: wants attention"},
		{raised, "Blow distance: 47 mm: 50-51 mm is the usual sign of worn hammers; raised by the surveyor: hammers double-strike"},
		{domain.Finding{Point: "SV-15", Raise: catalogue.MustAct, Note: "parts open"}, "Rest plank: seen, not measured: delaminated or cracked through; raised by the surveyor: parts open"},
	}
	for _, c := range cases {
		js, err := domain.Judge(surveySheet(), catalogue.Grand, []domain.Finding{c.finding})
		if err != nil {
			t.Fatal(err)
		}
		if got := js.Of(c.finding.Point).Says; got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

func TestNothingThatWasNotLookedAtIsSound(t *testing.T) {
	t.Parallel()
	for _, kind := range bothKinds {
		js, err := domain.Judge(surveySheet(), kind, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range js {
			if j.Severity != catalogue.Unknown || !strings.Contains(j.Says, "not looked at") {
				t.Errorf("%s %s: got %s, %q", kind, j.Point, j.Severity, j.Says)
			}
		}
		if got := js.Of("SV-99").Severity; got != catalogue.Unknown {
			t.Errorf("a point outside the survey is %s, want unknown", got)
		}
	}
	upright, err := domain.Judge(surveySheet(), catalogue.Upright, nil)
	if err != nil {
		t.Fatal(err)
	}
	if slices.ContainsFunc(upright, func(j domain.Judgement) bool { return j.Point == "SV-03" }) {
		t.Error("the grand's blow distance is judged on an upright")
	}
}

func TestAbsurdFindingsAreRefusedAllAtOnceAndWhereTheyStand(t *testing.T) {
	t.Parallel()
	misplaced := flag("SV-03", true)
	lowered := number("SV-03", "55", "mm")
	lowered.Raise = catalogue.Sound
	cases := []struct {
		finding domain.Finding
		field   string
		says    string
	}{
		{number("SV-03", "47", "mm"), "", ""},
		{number("SV-03", "4.7", "m"), "value", "4.7 m, that is 4700 mm"},
		{number("SV-03", "-1", "mm"), "value", "10 to 120 mm"},
		{number("SV-03", "47", "N.m"), "unit", "mm, cm, m, in"},
		{number("SV-15", "7", ""), "value", "0 as new"},
		{number("SV-17", "2.5", ""), "value", "whole number of strings"},
		{number("SV-17", "0.0000001", ""), "value", "decimals"},
		{domain.Finding{Point: "SV-03", Value: ptr(decimal.New(1, 2_000_000_000))}, "value", "digits"},
		{domain.Finding{Point: "SV-03", Value: ptr(decimal.New(1, -2_000_000_000))}, "value", "digits"},
		{number("SV-99", "1", ""), "point", "no point of the survey"},
		{misplaced, "flag", "a number in mm"},
		{number("SV-29", "1", ""), "value", "yes or no"},
		{answer("SV-02", "spring-and-loop"), "answer", "roller, tied, obsolete"},
		{number("SV-02", "1", ""), "value", "roller, tied"},
		{domain.Finding{Point: "SV-03"}, "value", "a number in mm"},
		{domain.Finding{Point: "SV-03", Note: "looked at"}, "value", "a note and a raise"},
		{domain.Finding{Point: "SV-11", Raise: catalogue.MustAct, Note: "by hand"}, "value", "both sides"},
		{domain.Finding{Point: "SV-29"}, "flag", "yes or no"},
		{domain.Finding{Point: "SV-60"}, "note", "a note"},
		{lowered, "raise", "attention or must_act"},
	}
	var findings []domain.Finding
	want := map[string]string{}
	for i, c := range cases {
		findings = append(findings, c.finding)
		if c.field != "" {
			want[fmt.Sprintf("#/findings/%d/%s", i, c.field)] = c.says
		}
	}
	_, err := domain.Judge(surveySheet(), catalogue.Grand, findings)
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
	_, err := domain.Judge(surveySheet(), catalogue.Upright, []domain.Finding{number("SV-03", "47", "mm")})
	var fault *domain.Fault
	if !errors.As(err, &fault) || len(fault.Fields) != 1 || fault.Fields[0].Pointer != "#/findings/0/point" {
		t.Errorf("got %v, want one fault at #/findings/0/point", err)
	}
}

func TestTheOrderOfFindingsDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Int64Range(100, 1200), 1, 9).Draw(t, "blow distances in tenths")
		var findings []domain.Finding
		for _, v := range values {
			findings = append(findings, domain.Finding{Point: "SV-03", Value: ptr(decimal.New(v, -1)), Unit: "mm"})
		}
		straight, err := domain.Judge(surveySheet(), catalogue.Grand, findings)
		if err != nil {
			t.Fatal(err)
		}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		r.Shuffle(len(findings), func(i, j int) { findings[i], findings[j] = findings[j], findings[i] })
		shuffled, err := domain.Judge(surveySheet(), catalogue.Grand, findings)
		if err != nil {
			t.Fatal(err)
		}
		a, b := straight.Of("SV-03"), shuffled.Of("SV-03")
		if a.Severity != b.Severity || !a.Median.Equal(*b.Median) {
			t.Errorf("got %s %s and %s %s", a.Severity, a.Median, b.Severity, b.Median)
		}
		for _, f := range findings {
			one, err := domain.Judge(surveySheet(), catalogue.Grand, []domain.Finding{f})
			if err != nil {
				t.Fatal(err)
			}
			if one.Of("SV-03").Severity == catalogue.MustAct && a.Severity != catalogue.MustAct {
				t.Errorf("%s mm alone must be acted on, all together are %s", f.Value, a.Severity)
			}
		}
	})
}
