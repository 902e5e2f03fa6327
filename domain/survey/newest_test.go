package survey_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/survey"
)

// A later survey goes before an earlier one point by point: what it didn't look at stands as it
// was found.
func TestEachPointStandsAsItWasLookedAtLast(t *testing.T) {
	t.Parallel()
	day := func(d int) domain.Date { return domain.Date{Year: 2026, Month: 3, Day: d} }
	got := survey.Newest([]survey.Survey{
		{TakenOn: day(9), Findings: []survey.Finding{domaintest.Flag("SV-29", false)}},
		{TakenOn: day(2), Findings: []survey.Finding{
			domaintest.Flag("SV-29", true), domaintest.Number("SV-15", "3", ""),
		}},
		{TakenOn: day(9), Findings: []survey.Finding{domaintest.Answer("SV-02", "tied")}},
	})
	js, err := survey.Judge(domaintest.SurveySheet(), catalogue.Grand, got)
	if err != nil {
		t.Fatal(err)
	}
	for point, want := range map[catalogue.PointCode]catalogue.Severity{
		"SV-29": catalogue.Sound, "SV-15": catalogue.MustAct, "SV-02": catalogue.Attention,
		"SV-17": catalogue.Unknown,
	} {
		if j := js.Of(point); j.Severity != want {
			t.Errorf("%s is %s, want %s", point, j.Severity, want)
		}
	}
}

func TestAFindingIsWorseBySeverityAndThenByItsReading(t *testing.T) {
	t.Parallel()
	c := domaintest.SurveySheet()
	judged := func(findings ...survey.Finding) survey.Judgement {
		js, err := survey.Judge(c, catalogue.Grand, findings)
		if err != nil {
			t.Fatal(err)
		}
		return js.Of("SV-15")
	}
	grade := func(v string) survey.Finding { return domaintest.Number("SV-15", v, "") }
	seen := survey.Finding{Point: "SV-15", Note: "from below", Raise: catalogue.MustAct}
	for _, x := range []struct {
		name    string
		a, b    survey.Judgement
		isWorse bool
	}{
		{"must act after attention", judged(grade("3")), judged(grade("2")), true},
		{"attention after must act", judged(grade("2")), judged(grade("3")), false},
		{"failed after serious", judged(grade("4")), judged(grade("3")), true},
		{"the same again", judged(grade("3")), judged(grade("3")), false},
		{"anything after nobody looked", judged(grade("4")), judged(), false},
		{"measured after seen", judged(grade("4")), judged(seen), true},
		{"seen after measured", judged(seen), judged(grade("3")), false},
	} {
		if got := x.a.WorseThan(x.b, c.Point("SV-15")); got != x.isWorse {
			t.Errorf("%s: %v", x.name, got)
		}
	}
}
