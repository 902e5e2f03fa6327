package survey_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// judged judges findings of one point of a grand.
func judged(t *testing.T, c *catalogue.Catalogue, findings ...survey.Finding) survey.Judgement {
	t.Helper()
	js, err := survey.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	return js.Of(findings[0].Point)
}

// A crack that was found first isn't talked away by sound places looked at later.
func TestTheWorstReadingDecidesWhereverItStandsInTheList(t *testing.T) {
	t.Parallel()
	for _, values := range [][]string{
		{"53", "47", "50"}, {"47", "53", "50"}, {"47", "50", "53"}, {"53", "50", "47"},
	} {
		var findings []survey.Finding
		for _, v := range values {
			findings = append(findings, domaintest.Number("SV-03", v, "mm"))
		}
		j := judged(t, domaintest.SurveySheet(), findings...)
		if j.Severity != catalogue.MustAct || !j.Worst.Equal(domaintest.Dec("53")) {
			t.Errorf("%v: got %s by %s, want must_act by 53", values, j.Severity, j.Worst)
		}
	}
}

// Of two findings that mean the same, the one that was measured says more than the one that was
// only seen.
func TestAReadingSaysMoreThanALookThatMeansTheSame(t *testing.T) {
	t.Parallel()
	measured := domaintest.Number("SV-15", "3", "")
	seen := survey.Finding{Point: "SV-15", Raise: catalogue.MustAct, Note: "open at the glue line"}
	for _, findings := range [][]survey.Finding{{measured, seen}, {seen, measured}} {
		j := judged(t, domaintest.SurveySheet(), findings...)
		if j.Worst == nil || !j.Worst.Equal(domaintest.Dec("3")) || j.Readings != 2 {
			t.Errorf("got %v from %d findings, want grade 3 from 2", j.Worst, j.Readings)
		}
	}
}

// Where a workshop states no limits, a higher reading is the worse one; where it accepts one end
// only, what lies further beyond that end.
func TestWithoutLimitsMoreIsWorseAndWithOneEndWhatLiesBeyondIt(t *testing.T) {
	t.Parallel()
	d := func(s string) *decimal.Decimal { return domaintest.Ptr(domaintest.Dec(s)) }
	for name, x := range map[string]struct {
		limits *catalogue.Limits
		worst  string
	}{
		"no limits":       {nil, "9"},
		"no ends at all":  {&catalogue.Limits{AbsurdMax: domaintest.Dec("100")}, "9"},
		"a most only":     {&catalogue.Limits{AcceptMax: d("1"), AbsurdMax: domaintest.Dec("100")}, "9"},
		"a least only":    {&catalogue.Limits{AcceptMin: d("20"), AbsurdMax: domaintest.Dec("100")}, "4"},
		"least and most":  {&catalogue.Limits{AcceptMin: d("5"), AcceptMax: d("6"), AbsurdMax: domaintest.Dec("100")}, "9"},
		"nearer the most": {&catalogue.Limits{AcceptMin: d("8"), AcceptMax: d("8"), AbsurdMax: domaintest.Dec("100")}, "4"},
	} {
		c := domaintest.SurveySheet()
		c.Point("SV-03").Limits = x.limits
		for _, values := range [][2]string{{"4", "9"}, {"9", "4"}} {
			j := judged(t, c, domaintest.Number("SV-03", values[0], ""),
				domaintest.Number("SV-03", values[1], ""))
			if !j.Worst.Equal(domaintest.Dec(x.worst)) {
				t.Errorf("%s: worst of %v is %s, want %s", name, values, j.Worst, x.worst)
			}
		}
	}
}

// A raise without a reading needs to know which side is meant: the only one that can be bad.
func TestTheBadSideIsTheOnlyOneOnWhichAReadingCanBeBad(t *testing.T) {
	t.Parallel()
	d := func(s string) *decimal.Decimal { return domaintest.Ptr(domaintest.Dec(s)) }
	absurd := catalogue.Limits{AbsurdMin: domaintest.Dec("0"), AbsurdMax: domaintest.Dec("40")}
	with := func(change func(*catalogue.Limits)) *catalogue.Limits {
		l := absurd
		change(&l)
		return &l
	}
	for name, x := range map[string]struct {
		limits *catalogue.Limits
		want   catalogue.Side
	}{
		"no limits": {nil, catalogue.Within},
		"no ends":   {&absurd, catalogue.Within},
		"slack pins must be acted on": {
			with(func(l *catalogue.Limits) { l.MustLow = d("3.4") }), catalogue.Low,
		},
		"oversize pins must be acted on": {
			with(func(l *catalogue.Limits) { l.MustHigh = d("7.4") }), catalogue.High,
		},
		"both must be acted on": {
			with(func(l *catalogue.Limits) { l.MustLow, l.MustHigh = d("3.4"), d("25") }),
			catalogue.Within,
		},
		"a least is accepted": {
			with(func(l *catalogue.Limits) { l.AcceptMin = d("5.6") }), catalogue.Low,
		},
		"a most is accepted": {
			with(func(l *catalogue.Limits) { l.AcceptMax = d("17") }), catalogue.High,
		},
		"the least accepted is the least there is": {
			with(func(l *catalogue.Limits) { l.AcceptMin, l.AcceptMax = d("0"), d("17") }),
			catalogue.High,
		},
		"the most accepted is the most there is": {
			with(func(l *catalogue.Limits) { l.AcceptMin, l.AcceptMax = d("5.6"), d("40") }),
			catalogue.Low,
		},
	} {
		if got := survey.BadSide(x.limits); got != x.want {
			t.Errorf("%s: got %q, want %q", name, got, x.want)
		}
	}
}

func TestBadPlacesAreWhereSomethingIsWrongOnceEach(t *testing.T) {
	t.Parallel()
	c := domaintest.SurveySheet()
	at := func(f survey.Finding, where string) survey.Finding { f.Where = where; return f }
	findings, err := survey.CheckFindings(c, catalogue.Grand, []survey.Finding{
		at(domaintest.Number("SV-03", "47", ""), "note 1"),  // right
		at(domaintest.Number("SV-03", "50", ""), "note 40"), // wants attention
		at(domaintest.Number("SV-03", "53", ""), "note 88"), // must be acted on
		at(domaintest.Number("SV-03", "54", ""), "note 40"),
		domaintest.Number("SV-03", "55", ""),
		at(domaintest.Number("SV-15", "4", ""), "treble"), // another point
	})
	if err != nil {
		t.Fatal(err)
	}
	got := survey.BadPlaces(c.Point("SV-03"), findings)
	if want := []string{"note 40", "note 88"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestAJudgementSaysWhoMadeItWorse(t *testing.T) {
	t.Parallel()
	own := domaintest.Number("SV-03", "53", "")
	own.Raise = catalogue.MustAct
	if got := judged(t, domaintest.SurveySheet(), own).Text; strings.Contains(got, "raised") {
		t.Errorf("the reading itself must be acted on, and the text says %q", got)
	}
	// A grade speaks in words; one that only this workshop has, in its number.
	c := domaintest.SurveySheet()
	c.Point("SV-15").Limits.AbsurdMax = domaintest.Dec("5")
	for grade, want := range map[string]string{
		"0": "Rest plank: grade 0 as new: sound",
		"4": "Rest plank: grade 4 failed or absent: delaminated or cracked through",
		"5": "Rest plank: grade 5: delaminated or cracked through",
	} {
		if got := judged(t, c, domaintest.Number("SV-15", grade, "")).Text; got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestACountHasNoUpperEndOfItsOwn(t *testing.T) {
	t.Parallel()
	c := domaintest.SurveySheet()
	c.Point("SV-17").Limits = nil
	_, err := survey.Judge(c, catalogue.Grand, []survey.Finding{domaintest.Number("SV-17", "-1", "")})
	var fault *domain.Fault
	if !errors.As(err, &fault) || len(fault.Fields) != 1 ||
		!strings.Contains(fault.Fields[0].Detail, "can be 0 strings and more; -1 strings is outside") {
		t.Errorf("minus one string: %v", err)
	}
	if j := judged(t, c, domaintest.Number("SV-17", "240", "")); j.Severity != catalogue.Sound {
		t.Errorf("240 strings without limits are %s", j.Severity)
	}
}
