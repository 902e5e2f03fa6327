package domain

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Odds are the probabilities that a point nobody has looked at turns out sound, in need of
// attention, or in a state that must be acted on. They sum to one.
type Odds struct {
	Sound     decimal.Decimal `json:"sound"`
	Attention decimal.Decimal `json:"attention"`
	MustAct   decimal.Decimal `json:"must_act"`
}

// Of returns the probability of a severity; zero for Unknown, since a look always settles it.
func (o Odds) Of(s catalogue.Severity) decimal.Decimal {
	switch s {
	case catalogue.Sound:
		return o.Sound
	case catalogue.Attention:
		return o.Attention
	case catalogue.MustAct:
		return o.MustAct
	default:
		return decimal.Zero
	}
}

// NotSound returns the probability of anything but sound.
func (o Odds) NotSound() decimal.Decimal { return o.Attention.Add(o.MustAct) }

// UnknownOdds are a workshop's odds for points that nobody has looked at: a default, and sets of
// their own for some points. They are the workshop's experience; none come from a source.
type UnknownOdds struct {
	Default Odds                         `json:"default"`
	Points  map[catalogue.PointCode]Odds `json:"points,omitempty"`
	// WithWear is how the points go along with the wear of the instrument, as a rank correlation. It
	// is set from the settings by Terms.PointOdds and is no part of the odds.
	WithWear decimal.Decimal `json:"-"`
}

// OddsFromChance returns odds for all points from the single probability that a point is not sound,
// split evenly between attention and must act.
func OddsFromChance(chance decimal.Decimal) UnknownOdds {
	half := chance.DivRound(decimal.NewFromInt(2), oddsPlaces)
	return UnknownOdds{
		Default: Odds{Sound: One.Sub(half).Sub(half), Attention: half, MustAct: half},
	}
}

// oddsPlaces is how many decimals a probability has at most.
const oddsPlaces = 4

// Of returns the odds of a point.
func (u UnknownOdds) Of(p catalogue.PointCode) Odds {
	if o, ok := u.Points[p]; ok {
		return o
	}
	return u.Default
}

// UnmarshalJSON also reads documents from when a workshop had one chance for all points, by
// OddsFromChance.
func (u *UnknownOdds) UnmarshalJSON(b []byte) error {
	if t := bytes.TrimSpace(b); len(t) > 0 && t[0] != '{' {
		var chance decimal.Decimal
		if err := json.Unmarshal(b, &chance); err != nil {
			return fmt.Errorf("read the odds of unknown points: %w", err)
		}
		*u = OddsFromChance(chance)
		return nil
	}
	type plain UnknownOdds
	return json.Unmarshal(b, (*plain)(u))
}

func (u UnknownOdds) check(f *Faults, at string) {
	u.Default.check(f, at+"/default")
	for _, p := range slices.Sorted(maps.Keys(u.Points)) {
		u.Points[p].check(f, at+"/points/"+string(p))
	}
}

func (o Odds) check(f *Faults, at string) {
	sum, valid := decimal.Zero, true
	for _, x := range []struct {
		name  string
		value decimal.Decimal
	}{{"sound", o.Sound}, {"attention", o.Attention}, {"must_act", o.MustAct}} {
		switch {
		case !WithinDigits(x.value) || -x.value.Exponent() > oddsPlaces:
			f.Add(at+"/"+x.name, "must have at most %d decimals", oddsPlaces)
			valid = false
		case x.value.IsNegative(), x.value.GreaterThan(One):
			f.Add(at+"/"+x.name, "must be a probability from 0 to 1, not %s", x.value)
			valid = false
		default:
			sum = sum.Add(x.value)
		}
	}
	if valid && !sum.Equal(One) {
		f.Add(at, "must sum to 1: sound, attention and must_act come to %s", sum)
	}
}

// CheckPoints returns an Invalid Fault that names every point with odds of its own that isn't in
// the catalogue, or nil.
func (u UnknownOdds) CheckPoints(c *catalogue.Catalogue) error {
	var f Faults
	for _, p := range slices.Sorted(maps.Keys(u.Points)) {
		if c.Point(p) == nil {
			f.Add("#/terms/unknown_odds/points/"+string(p), "%q isn't a point of the survey", p)
		}
	}
	return f.Err()
}
