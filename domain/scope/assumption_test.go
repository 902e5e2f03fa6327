package scope_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// startingShop returns the settings that a workshop starts with, and two skills at the rate that
// the catalogue ships with.
func startingShop() domain.Workshop {
	w := domain.Workshop{Terms: domain.DefaultTerms("EUR")}
	w.Terms.LabourRates = map[string]decimal.Decimal{
		"strings": domain.DefaultLabourRate, "action": domain.DefaultLabourRate,
	}
	return w
}

// A figure that nobody set is named until somebody sets or confirms it, and only where it moved
// something: hourly rates where there is work, odds where a point wasn't looked at.
func TestWhatNobodySetIsNamedWhereItMovesAFigure(t *testing.T) {
	t.Parallel()
	cent := decimal.New(1, -2)
	for _, row := range []struct {
		name            string
		set             func(*domain.Workshop)
		shipped         int
		worked, doubted bool
		want            string
	}{
		{
			name: "all of it", shipped: 3, worked: true, doubted: true,
			want: "labour_rates overhead_rate catalogue unknown_odds hours_together wear",
		},
		{
			name: "everything was looked at", shipped: 3, worked: true,
			want: "labour_rates overhead_rate catalogue hours_together",
		},
		{name: "no work but what isn't known", shipped: 3, doubted: true, want: "unknown_odds wear"},
		{name: "no work at all", shipped: 3},
		{
			name: "a catalogue of our own", worked: true,
			want: "labour_rates overhead_rate hours_together",
		},
		{
			name: "rates of our own", worked: true, set: func(w *domain.Workshop) {
				for skill, rate := range w.Terms.LabourRates {
					w.Terms.LabourRates[skill] = rate.Add(cent)
				}
				w.Terms.OverheadRate = w.Terms.OverheadRate.Sub(cent)
			}, want: "hours_together",
		},
		{
			name: "one rate of our own", worked: true, set: func(w *domain.Workshop) {
				w.Terms.LabourRates["action"] = cent
			}, want: "labour_rates overhead_rate hours_together",
		},
		{
			name: "hours of a job go together as we say", worked: true, set: func(w *domain.Workshop) {
				w.Terms.Uncertainty.JobSD = w.Terms.Uncertainty.JobSD.Add(cent)
			}, want: "labour_rates overhead_rate",
		},
		{
			name: "and those of a group", worked: true, set: func(w *domain.Workshop) {
				w.Terms.Uncertainty.GroupSD = w.Terms.Uncertainty.GroupSD.Add(cent)
			}, want: "labour_rates overhead_rate",
		},
		{
			name: "odds of our own: more is sound", doubted: true, set: func(w *domain.Workshop) {
				o := &w.Terms.UnknownOdds.Default
				o.Sound, o.Attention = o.Sound.Add(cent), o.Attention.Sub(cent)
			}, want: "wear",
		},
		{
			name: "odds of our own: more is bad", doubted: true, set: func(w *domain.Workshop) {
				o := &w.Terms.UnknownOdds.Default
				o.MustAct, o.Attention = o.MustAct.Add(cent), o.Attention.Sub(cent)
			}, want: "wear",
		},
		{
			name: "how all goes with wear is set", doubted: true, set: func(w *domain.Workshop) {
				w.Terms.Uncertainty.PointsWithWear = w.Terms.Uncertainty.PointsWithWear.Sub(cent)
			}, want: "unknown_odds",
		},
		{
			name: "confirmed as it is", shipped: 3, worked: true, doubted: true,
			set: func(w *domain.Workshop) {
				w.Confirmed = []domain.AssumptionKey{domain.AssumedCatalogue, domain.AssumedWear}
			}, want: "labour_rates overhead_rate unknown_odds hours_together",
		},
	} {
		w, s, e := startingShop(), scope.Scope{}, pricing.Estimate{}
		if row.set != nil {
			row.set(&w)
		}
		if row.doubted {
			s.Doubts = []scope.Doubt{{Point: "SV-15"}}
		}
		if row.worked {
			e.Hours.High = domaintest.Dec("2")
		}
		shipped := catalogue.AsShipped{Operations: row.shipped, Materials: 5}
		var keys []string
		for _, a := range scope.Assumptions(w, shipped, s, e) {
			keys = append(keys, string(a.Key))
			if a.Brief == "" || !strings.HasSuffix(a.Text, ".") {
				t.Errorf("%s: %s says %q, %q", row.name, a.Key, a.Brief, a.Text)
			}
		}
		slices.Sort(keys)
		want := strings.Fields(row.want)
		slices.Sort(want)
		if !slices.Equal(keys, want) {
			t.Errorf("%s: %v, want %v", row.name, keys, want)
		}
	}
}

func TestAssumedRatesSayInHowManySkills(t *testing.T) {
	t.Parallel()
	w := startingShop()
	w.Terms.LabourRates["case"] = domaintest.Dec("61")
	list := scope.Foundations{Terms: w.Terms, Worked: true}.Rates()
	if len(list) == 0 || !strings.Contains(list[0].Text, "in 2 skills") ||
		!strings.Contains(list[0].Brief, "in 2 skills") {
		t.Errorf("%+v, want 2 of 3 skills", list)
	}
}
