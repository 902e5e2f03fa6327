package valuation_test

import (
	"math/big"
	"slices"

	"bentside/pricing/valuation"
)

// unitModel is the slow model that the package is held against. It knows no layers of value, no
// shares and no rounding: every smallest quantity is a thing of its own with an exact cost, and is
// moved from place to place by hand.
type unitModel struct {
	method valuation.Method
	units  []*unit // in the order in which they were received
}

// unit is one smallest quantity. Place 0 is the stock; any other is the issue that it is out of.
type unit struct {
	receipt, place int
	cost           *big.Rat
}

func (m *unitModel) at(place int) []*unit {
	var there []*unit
	for _, u := range m.units {
		if u.place == place {
			there = append(there, u)
		}
	}
	return there
}

// cost returns what the units at a place cost, exactly.
func (m *unitModel) cost(place int) *big.Rat {
	sum := new(big.Rat)
	for _, u := range m.at(place) {
		sum.Add(sum, u.cost)
	}
	return sum
}

// receive adds n units of a receipt that cost minor units together.
func (m *unitModel) receive(receipt, n int, minor int64) {
	for range n {
		m.units = append(m.units, &unit{receipt: receipt, cost: big.NewRat(minor, int64(n))})
	}
}

// take moves the first n units in stock elsewhere.
func (m *unitModel) take(n, place int) {
	m.level()
	for _, u := range m.at(0)[:n] {
		u.place = place
	}
}

// takeFrom moves n units of one receipt elsewhere.
func (m *unitModel) takeFrom(receipt, n, place int) {
	m.level()
	for _, u := range m.at(0) {
		if u.receipt == receipt && n > 0 {
			u.place, n = place, n-1
		}
	}
}

// level gives all units in stock their mean cost, where that is the method.
func (m *unitModel) level() {
	held := m.at(0)
	if m.method != valuation.MovingAverage || len(held) == 0 {
		return
	}
	mean := new(big.Rat).Quo(m.cost(0), big.NewRat(int64(len(held)), 1))
	for _, u := range held {
		u.cost = mean
	}
}

// putBack moves n units from a place back into stock, those of the last receipt first.
func (m *unitModel) putBack(place, n int) {
	out := m.at(place)
	slices.Reverse(out)
	for _, u := range out[:n] {
		u.place = 0
	}
}

// adjust adds an equal part of minor units to every unit of a receipt, wherever it is.
func (m *unitModel) adjust(receipt int, minor int64) {
	var of []*unit
	for _, u := range m.units {
		if u.receipt == receipt {
			of = append(of, u)
		}
	}
	for _, u := range of {
		u.cost = new(big.Rat).Add(u.cost, big.NewRat(minor, int64(len(of))))
	}
}

// count returns how many units of a receipt are at a place.
func (m *unitModel) count(receipt, place int) int {
	n := 0
	for _, u := range m.at(place) {
		if u.receipt == receipt {
			n++
		}
	}
	return n
}
