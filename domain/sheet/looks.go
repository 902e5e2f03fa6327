package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/scope"

	"github.com/shopspring/decimal"
)

// look is a point that nobody looked at, where it weighs most.
type look struct {
	scope.Doubt
	at    string // the way
	stops bool
	// unseen is what the bid says of a point that may stop the deal, at the way that can pay the most
	// or else at the first.
	unseen bid.Unseen
	// gain is by how much a sound finding raises the aim, in the minor unit.
	gain int64
	// ifSound says what a sound finding would make of the price at a way; empty where that isn't
	// known.
	ifSound string
}

// open reports whether somebody has to look before the deal.
func (x look) open() bool { return x.stops && x.unseen.TakenOnBy == "" }

// compareLooks puts first what may cost most: points that may stop the deal, of these what the law
// decides, then what raises the aim most if it is sound, what makes a donor of the instrument more
// often, and what is expected to cost more hours.
func compareLooks(x, y look) int {
	first := func(holds func(look) bool) int {
		switch {
		case holds(x) == holds(y):
			return 0
		case holds(x):
			return -1
		}
		return 1
	}
	return cmp.Or(
		first(look.open),
		first(func(z look) bool { return z.open() && z.unseen.IfBad == bid.ByLaw }),
		cmp.Compare(y.gain, x.gain),
		lost(y).Cmp(lost(x)),
		y.ExpectedHours.Cmp(x.ExpectedHours),
	)
}

// lost returns the probability that the instrument is only worth its parts where a point proves
// bad.
func lost(x look) decimal.Decimal {
	switch {
	case !x.open():
		return decimal.Zero
	case x.unseen.IfBad == bid.AsDonor:
		return domain.One
	}
	return bid.RepairFails(x.Point)
}

// looks returns the points that nobody looked at and that the record doesn't tell either: those
// that may stop the deal, then by the hours that they are expected to cost where they cost most.
func (b Subject) looks() []string {
	var list []look
	for _, w := range b.Result.Ways {
		for _, code := range w.Scope.Unknown {
			if b.Inputs.OnRecord(b.Catalogue, code) {
				continue
			}
			x := look{
				Doubt: doubtAt(w, code), at: b.name(w), stops: b.hardStop(code), unseen: unseenAt(w, code),
			}
			x.ifSound, x.gain = b.ifSound(code)
			i := slices.IndexFunc(list, func(y look) bool { return y.Point == code })
			switch {
			case i < 0:
				list = append(list, x)
			case x.ExpectedHours.GreaterThan(list[i].ExpectedHours):
				list[i] = x
			}
		}
	}
	unseen := len(list)
	list = slices.DeleteFunc(list, func(x look) bool {
		return !x.stops && !x.ExpectedHours.IsPositive()
	})
	slices.SortStableFunc(list, compareLooks)
	lines := make([]string, 0, len(list)+1)
	for _, x := range list {
		lines = append(lines, b.lookSays(x))
	}
	switch {
	case unseen == 0:
		lines = append(lines, "Every point was looked at.")
	case len(list) == 0:
		lines = append(lines, fmt.Sprintf(
			"Nobody looked at %s; none may stop the deal or is expected to cost hours.",
			count(unseen, "point", "points")))
	}
	return lines
}

func doubtAt(w bid.WayResult, code catalogue.PointCode) scope.Doubt {
	for _, d := range w.Scope.Doubts {
		if d.Point == code {
			return d
		}
	}
	return scope.Doubt{Point: code}
}

// unseenAt returns what the bid says of a point that may stop the deal; nothing for any other.
func unseenAt(w bid.WayResult, code catalogue.PointCode) bid.Unseen {
	for _, x := range w.Unseen {
		if x.Point == code {
			return x
		}
	}
	return bid.Unseen{Point: code}
}

// ifSound says what a sound finding would make of the price, at the way that can pay the most, and
// by how much it raises it.
func (b Subject) ifSound(code catalogue.PointCode) (says string, gain int64) {
	best, found := b.best()
	if !found {
		return "", 0
	}
	aim := unseenAt(best, code).AimIfSound
	if aim == nil {
		return "", 0
	}
	more := aim.Sub(aimOf(best).Price)
	switch {
	case more.IsZero():
		return fmt.Sprintf("if sound, the aim stays at %s", aim.Text()), 0
	case more.Sign() > 0:
		return fmt.Sprintf("if sound, aim for %s at %s: %s more", aim.Text(), b.name(best), more.Text()),
			more.Minor()
	}
	return fmt.Sprintf("if sound, aim for %s at %s", aim.Text(), b.name(best)), 0
}

// ifBad says how likely a point is to prove bad, and what follows.
func ifBad(x bid.Unseen) string {
	switch {
	case x.IfBad == bid.ByLaw:
		return "the law decides"
	case x.Odds == nil:
		return ""
	case x.IfBad == bid.AsDonor:
		return chance(*x.Odds) + " that only its parts are worth anything"
	}
	return chance(*x.Odds) + " that it must be mended"
}

// lookSays puts the figures before the name, which may be cut off.
func (b Subject) lookSays(x look) string {
	var says []string
	switch {
	case x.open():
		says = append(says, "may stop the deal")
	case x.stops:
		says = append(says, "taken on by "+x.unseen.TakenOnBy)
	}
	if text := ifBad(x.unseen); x.stops && text != "" {
		says = append(says, text)
	}
	if x.ExpectedHours.IsPositive() {
		says = append(says, fmt.Sprintf("%s h on average at %s", x.ExpectedHours.StringFixed(1), x.at))
		worst := x.Outcomes[len(x.Outcomes)-1]
		if worst.Odds.IsPositive() && worst.Hours.Likely.IsPositive() {
			says[len(says)-1] += fmt.Sprintf(
				", %s h at worst (%s)", worst.Hours.Likely.StringFixed(0), chance(worst.Odds))
		}
	}
	if x.ifSound != "" {
		says = append(says, x.ifSound)
	}
	text := fmt.Sprintf("%s %s", x.Point, strings.Join(says, "; "))
	if p := b.Catalogue.Point(x.Point); p != nil {
		text += ": " + p.Observe
	}
	return text
}

// count says how many there are.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func percent(share decimal.Decimal) string { return share.Shift(2).Round(1).String() + " %" }
