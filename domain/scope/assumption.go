package scope

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// Foundations is what the cost of some work rests on, and what of it moved the figures.
type Foundations struct {
	Terms     domain.Terms
	AsShipped catalogue.AsShipped // of the catalogue
	Worked    bool                // hours count
	Doubted   bool                // somebody has not looked at a point that matters
}

// Assumptions returns the settings that moved the figures of a scope's estimate, are those that a
// workshop starts with, and weren't confirmed.
func Assumptions(
	w domain.Workshop, n catalogue.AsShipped, s Scope, e pricing.Estimate,
) []domain.Assumption {
	b := Foundations{
		Terms: w.Terms, AsShipped: n, Worked: e.Hours.High.IsPositive(), Doubted: len(s.Doubts) > 0,
	}
	list := append(b.Rates(), b.Odds()...)
	is := w.Terms.Uncertainty.PointsWithWear
	if b.Doubted && is.Equal(domain.DefaultTerms(w.Terms.Currency).Uncertainty.PointsWithWear) {
		list = append(list, domain.Assumption{
			Key: domain.AssumedWear, Brief: "how all goes with wear",
			Text: "What nobody has looked at goes with how worn the instrument is, by the rank " +
				"correlation that a workshop starts with.",
		})
	}
	return domain.Unconfirmed(list, w.Confirmed)
}

// Rates returns what the likely cost of the work assumes.
func (b Foundations) Rates() []domain.Assumption {
	t, start := b.Terms, domain.DefaultTerms(b.Terms.Currency)
	var list []domain.Assumption
	if n := skillsAt(t.LabourRates, domain.DefaultLabourRate); b.Worked && n > 0 {
		list = append(list, domain.Assumption{
			Key:   domain.AssumedLabourRates,
			Brief: fmt.Sprintf("an hour %s in %d skills", domain.DefaultLabourRate, n),
			Text: fmt.Sprintf("An hour of work costs %s %s in %d skills.",
				domain.DefaultLabourRate, t.Currency, n),
		})
	}
	if b.Worked && t.OverheadRate.Equal(start.OverheadRate) {
		list = append(list, domain.Assumption{
			Key: domain.AssumedOverheadRate, Brief: fmt.Sprintf("overhead %s an hour", t.OverheadRate),
			Text: fmt.Sprintf("Overhead adds %s %s to each hour.", t.OverheadRate, t.Currency),
		})
	}
	if b.Worked && b.AsShipped.Operations > 0 {
		list = append(list, domain.Assumption{
			Key: domain.AssumedCatalogue, Brief: "hours and prices as shipped",
			Text: fmt.Sprintf("Hours and prices are those that the catalogue ships with, mostly from "+
				"memory, in %d operations and %d materials.", b.AsShipped.Operations,
				b.AsShipped.Materials),
		})
	}
	return list
}

// Odds returns what the ranges of the cost assume.
func (b Foundations) Odds() []domain.Assumption {
	t, start := b.Terms, domain.DefaultTerms(b.Terms.Currency)
	u, fresh := t.Uncertainty, start.Uncertainty
	var list []domain.Assumption
	if o := t.UnknownOdds.Default; b.Doubted && sameOdds(o, start.UnknownOdds.Default) {
		list = append(list, domain.Assumption{
			Key: domain.AssumedUnknownOdds,
			Brief: fmt.Sprintf("unseen points %s sound, %s to be dealt with",
				domain.Percent(o.Sound), domain.Percent(o.MustAct)),
			Text: fmt.Sprintf("What nobody has looked at is sound with %s, wants attention with %s and "+
				"must be dealt with at %s, except where a point has odds of its own.",
				domain.Percent(o.Sound), domain.Percent(o.Attention), domain.Percent(o.MustAct)),
		})
	}
	if b.Worked && u.JobSD.Equal(fresh.JobSD) && u.GroupSD.Equal(fresh.GroupSD) {
		list = append(list, domain.Assumption{
			Key: domain.AssumedTogether,
			Brief: fmt.Sprintf("hours go over together by %s and %s",
				domain.Percent(u.JobSD), domain.Percent(u.GroupSD)),
			Text: fmt.Sprintf("The hours of a job go over or under together by a standard deviation of "+
				"%s, and those of each group of work by %s more.",
				domain.Percent(u.JobSD), domain.Percent(u.GroupSD)),
		})
	}
	return list
}

// skillsAt returns how many skills have a labour rate.
func skillsAt(rates map[string]decimal.Decimal, rate decimal.Decimal) int {
	n := 0
	for _, r := range rates {
		if r.Equal(rate) {
			n++
		}
	}
	return n
}

func sameOdds(a, b domain.Odds) bool {
	return a.Sound.Equal(b.Sound) && a.Attention.Equal(b.Attention) && a.MustAct.Equal(b.MustAct)
}
