package domain

import (
	"maps"

	"bentside/domain/catalogue"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Together returns how the hours of a job go over or under together, by the workshop's settings.
func (t Terms) Together() odds.Together {
	return odds.Together{
		JobSD:   t.Uncertainty.JobSD.InexactFloat64(),
		GroupSD: t.Uncertainty.GroupSD.InexactFloat64(),
	}
}

// PointOdds returns the odds of points that nobody has looked at, and how they go along with the
// wear of the instrument. A point that can stop a purchase is seldom as bad as that, so unless the
// workshop has odds of its own for it, that it must be acted on has the odds of
// catalogue.UnseenStops.
func (t Terms) PointOdds() UnknownOdds {
	u := t.UnknownOdds
	u.WithWear = t.Uncertainty.PointsWithWear
	table, err := catalogue.UnseenStops()
	if err != nil {
		return u // a broken build, which fails its tests
	}
	u.Points = maps.Clone(u.Points)
	if u.Points == nil {
		u.Points = map[catalogue.PointCode]Odds{}
	}
	for _, x := range table {
		if _, own := t.UnknownOdds.Points[x.Point]; own || x.Odds.IsZero() {
			continue
		}
		attention := decimal.Min(u.Default.Attention, One.Sub(x.Odds))
		u.Points[x.Point] = Odds{
			Sound: One.Sub(x.Odds).Sub(attention), Attention: attention, MustAct: x.Odds,
		}
	}
	return u
}
