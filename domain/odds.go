package domain

import (
	"bytes"
	"encoding/json"
	"fmt"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Odds are how likely a point that nobody looked at is found sound, wanting
// attention, or such that it must be acted on. They sum to one.
type Odds struct {
	Sound     decimal.Decimal `json:"sound"`
	Attention decimal.Decimal `json:"attention"`
	MustAct   decimal.Decimal `json:"must_act"`
}

// Of is the chance of one severity; zero for Unknown, which no look ends in.
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

// NotSound is the chance of anything but sound.
func (o Odds) NotSound() decimal.Decimal { return o.Attention.Add(o.MustAct) }

// UnknownOdds are a workshop's odds for points that nobody looked at: one set
// for all of them, and sets of their own for some. Which odds are right is the
// workshop's experience; none come from a source.
type UnknownOdds struct {
	Default Odds                         `json:"default"`
	Points  map[catalogue.PointCode]Odds `json:"points,omitempty"`
}

// EvenlyBad are odds for which everything but sound has one chance, shared
// evenly between attention and must act.
func EvenlyBad(chance decimal.Decimal) UnknownOdds {
	half := chance.DivRound(decimal.NewFromInt(2), oddsPlaces)
	return UnknownOdds{Default: Odds{Sound: one.Sub(half).Sub(half), Attention: half, MustAct: half}}
}

// oddsPlaces is how many decimals odds have at most.
const oddsPlaces = 4

// Of are the odds of a point.
func (u UnknownOdds) Of(p catalogue.PointCode) Odds {
	if o, ok := u.Points[p]; ok {
		return o
	}
	return u.Default
}

// UnmarshalJSON reads what was kept when a workshop had one chance for all
// points, too: it is shared as EvenlyBad says.
func (u *UnknownOdds) UnmarshalJSON(b []byte) error {
	if t := bytes.TrimSpace(b); len(t) > 0 && t[0] != '{' {
		var chance decimal.Decimal
		if err := json.Unmarshal(b, &chance); err != nil {
			return fmt.Errorf("read the odds of unknown points: %w", err)
		}
		*u = EvenlyBad(chance)
		return nil
	}
	type plain UnknownOdds
	return json.Unmarshal(b, (*plain)(u))
}

// check adds the faults of odds that are none.
func (u UnknownOdds) check(f *Faults, at string) {
	u.Default.check(f, at+"/default")
	for _, p := range sortedKeys(u.Points) {
		u.Points[p].check(f, at+"/points/"+string(p))
	}
}

func (o Odds) check(f *Faults, at string) {
	sum, sound := decimal.Zero, true
	for _, x := range []struct {
		name  string
		value decimal.Decimal
	}{{"sound", o.Sound}, {"attention", o.Attention}, {"must_act", o.MustAct}} {
		switch {
		case !withinStore(x.value) || -x.value.Exponent() > oddsPlaces:
			f.Add(at+"/"+x.name, "a chance has at most %d decimals", oddsPlaces)
			sound = false
		case x.value.IsNegative(), x.value.GreaterThan(one):
			f.Add(at+"/"+x.name, "%s is no chance; it lies from 0 to 1", x.value)
			sound = false
		default:
			sum = sum.Add(x.value)
		}
	}
	if sound && !sum.Equal(one) {
		f.Add(at, "sound, attention and must_act come to %s; together they are 1", sum)
	}
}

// CheckPoints returns an Invalid Fault that names every point with odds of its
// own that the catalogue does not hold, or nil.
func (u UnknownOdds) CheckPoints(c *catalogue.Catalogue) error {
	var f Faults
	for _, p := range sortedKeys(u.Points) {
		if c.Point(p) == nil {
			f.Add("#/terms/unknown_odds/points/"+string(p), "%q is no point of the survey", p)
		}
	}
	return f.Err()
}
