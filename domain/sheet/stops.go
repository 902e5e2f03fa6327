package sheet

import (
	"cmp"
	"slices"
	"strings"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
)

// How much a deal-breaker weighs, heaviest first.
const (
	barsDeal = iota
	barsLater
	lifted
)

// dealBreaker is something that stops, or stopped, the instrument at some of the ways.
type dealBreaker struct {
	text   string
	weight int
	at     []string // the ways
}

// dealBreakers returns what bars the deal, then what bars something later, then what would but was
// lifted.
func (b Subject) dealBreakers() []string {
	var list []dealBreaker
	for _, w := range b.Result.Ways {
		for _, d := range b.dealBreakersOf(w) {
			i := slices.IndexFunc(list, func(x dealBreaker) bool { return x.text == d.text })
			if i < 0 {
				i, list = len(list), append(list, d)
			}
			list[i].at = append(list[i].at, b.name(w))
		}
	}
	if len(list) == 0 {
		return []string{"None known: nothing that was looked at stops the deal."}
	}
	slices.SortStableFunc(list, func(x, y dealBreaker) int { return cmp.Compare(x.weight, y.weight) })
	lines := make([]string, 0, len(list))
	for _, d := range list {
		if d.weight == lifted {
			d.text = "Lifted: " + d.text
		}
		if len(d.at) < len(b.Result.Ways) {
			d.text = "At " + strings.Join(d.at, " and ") + ": " + d.text
		}
		lines = append(lines, d.text)
	}
	return lines
}

func (b Subject) dealBreakersOf(w bid.WayResult) []dealBreaker {
	deal := b.Inputs.Asked.AcquiredBy().Acts()
	var list []dealBreaker
	since := bid.FoundSince(b.Inputs, w, b.Now)
	for _, s := range since {
		d := dealBreaker{text: "Found since this bid: " + s.Text(), weight: barsLater}
		if s.Bars(deal...) {
			d.weight = barsDeal
		}
		list = append(list, d)
	}
	for _, s := range w.Stops {
		if slices.ContainsFunc(since, func(x clearance.Stop) bool { return x.ID == s.ID }) {
			continue
		}
		d := dealBreaker{text: s.Brief(), weight: barsLater}
		switch {
		case len(s.Barred()) == 0:
			d.weight = lifted
			d.text += liftedBy(s)
		case s.Bars(deal...):
			d.weight = barsDeal
		}
		list = append(list, d)
	}
	for _, s := range w.Scope.Stops {
		d := dealBreaker{text: s.Text, weight: barsDeal}
		for _, c := range w.Cleared {
			if c.Point == s.Point {
				d = dealBreaker{text: s.Text + ". Cleared by " + c.By + ": " + c.Why, weight: lifted}
			}
		}
		list = append(list, d)
	}
	return list
}

func liftedBy(s clearance.Stop) string {
	if s.Clearance != nil {
		return ". " + s.Clearance.Text()
	}
	if s.Lifting != nil {
		return ". Then " + s.Lifting.Text() + "."
	}
	if s.Mended {
		return ". It is mended."
	}
	return ". The work planned mends it."
}

// hardStop reports whether what may be found at a point stops a bid.
func (b Subject) hardStop(code catalogue.PointCode) bool {
	p := b.Catalogue.Point(code)
	return p != nil && p.HardStop
}
