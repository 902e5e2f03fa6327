package demo

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// printBid prints what to pay at a depth, with every sum behind the price to aim for.
func (p *printer) printBid(w bid.WayResult) {
	switch w.Outcome {
	case bid.Stopped:
		p.line("  STOPPED: %s", w.Why)
		return
	case bid.Leave:
		p.line("  LEAVE IT: %s. The sums if it were a gift:", w.Why)
		p.sums(w.Advice.AsGift)
	case bid.Conditional:
		p.line("  ON CONDITION: %s.", w.Why)
		p.printNegotiation(w)
	case bid.Buy:
		p.printNegotiation(w)
	}
	p.printUnseen(w.Unseen)
	p.printUndone(w)
	p.line("  Tax: ask your adviser.")
}

func (p *printer) printNegotiation(w bid.WayResult) {
	n := w.Negotiation
	p.line("  In four cases out of five it sells for %s to %s, %s on average, and the work costs %s to %s, %s on average.",
		w.Sale.Low.Text(), w.Sale.High.Text(), w.Sale.Expected.Text(), n.Work.P10.Text(),
		n.Work.P90.Text(), n.Work.Mean.Text())
	rows := []string{
		"\tprice\taverage profit\tchance of a loss\tchance of the wanted profit\tmonthly return on capital\tbreak-even sale\tbreak-even hours",
	}
	add := func(name string, at *pricing.Prospect, hours *decimal.Decimal) {
		if at == nil {
			rows = append(rows, name+"\tnone")
			return
		}
		rows = append(rows, fmt.Sprintf("%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s",
			name, at.Price.Text(), at.Profit.Text(), chance(at.ChanceOfLoss), chance(*at.ChanceOfWanted),
			share(at.PerMonth), breakEven(at.BreakEvenSale), wholeHours(hours)))
	}
	add("open at", n.Opening, nil)
	add("aim for at most", n.Aim, n.Hours.AtTarget)
	add("walk away above", n.WalkAway, nil)
	add("the seller asks", n.Asked, n.Hours.AtAsked)
	p.table(rows)
	if n.Bound != pricing.Unbound {
		p.line("  Risk limits the price to aim for; on average %s would still earn the wanted profit.",
			n.UnboundAim.Text())
	}
	if n.AboveWanted != nil {
		p.line("  At the asking price it earns %s more than wanted: start below it and pay at most %s.",
			n.AboveWanted.Text(), n.PayAtMost.Text())
	}
	p.line(
		"  The workshop accepts a loss in %s of cases. The sums at the price to aim for, each on average:",
		share(&n.LossLimit),
	)
	p.sums(n.Aim.Sums)
}

// printUnseen prints the points that can stop the purchase and that nobody has inspected, and what
// an inspection is worth.
func (p *printer) printUnseen(list []bid.Unseen) {
	for _, x := range list {
		text := ""
		switch x.IfBad {
		case bid.ByLaw:
			text = "the law decides, so no price allows for it"
		case bid.ByRepair:
			text = share(x.Odds) + " that it must be repaired, which the work allows for"
		case bid.AsDonor:
			text = share(x.Odds) + " that it is only worth its parts"
		}
		if x.AimIfSound != nil {
			text += "; if it is sound, aim for " + x.AimIfSound.Text()
		}
		if x.TakenOnBy != "" {
			text += "; taken on by " + x.TakenOnBy
		}
		p.line("  Not inspected: %s (%s): %s.", x.Text, x.Point, text)
	}
}

func (p *printer) printUndone(w bid.WayResult) {
	if len(w.Undone) == 0 {
		return
	}
	unpriced := ", and nothing is deducted from the sale price for them"
	if slices.ContainsFunc(w.Undone, func(u bid.Undone) bool { return u.Priced }) {
		unpriced = ""
	}
	points := make([]string, len(w.Undone))
	for i, u := range w.Undone {
		points[i] = string(u.Point)
	}
	p.line(
		"  %d findings are left alone at this depth%s: %s", len(w.Undone), unpriced,
		strings.Join(points, " "),
	)
}

// sums prints the lines that aren't zero; they add up to the profit.
func (p *printer) sums(s pricing.Sums) {
	var rows []string
	for _, l := range s.Lines {
		if !l.Amount.IsZero() || l.Item == pricing.ItemProfit || l.Item == pricing.ItemPrice {
			rows = append(rows, fmt.Sprintf("  %s\t%s\t%s", l.Item, pad(l.Amount), l.Basis))
		}
	}
	p.table(rows)
}

func pad(a money.Amount) string { return fmt.Sprintf("%12s", a.Text()) }

func share(s *decimal.Decimal) string {
	if s == nil {
		return ""
	}
	return s.Shift(2).Round(1).String() + " %"
}

// chance formats a probability. Only an impossible or a certain event gets 0 or 100 %.
func chance(p decimal.Decimal) string {
	switch told := pricing.ReportedChance(p); {
	case told.GreaterThan(p):
		return "below 1 in 200"
	case told.LessThan(p):
		return "above 199 in 200"
	}
	return share(&p)
}

func breakEven(a *money.Amount) string {
	if a == nil {
		return "none"
	}
	return a.Text()
}

func wholeHours(h *decimal.Decimal) string {
	if h == nil {
		return ""
	}
	return h.StringFixed(0)
}

func (p *printer) printSideBySide(ways []bid.WayResult, assumed []domain.Assumption) {
	p.line("\nSIDE BY SIDE, each figure on average")
	head := []string{
		"", "hours", "work", "ready alone", "ready in queue", "sells for", "open at",
		"aim for at most", "walk away above", "profit at asking price",
	}
	rows := slices.Clone(head)
	for _, w := range ways {
		cells := []string{
			depthNames[w.Depth], w.Estimate.Hours.Expected.StringFixed(0),
			w.Estimate.Costs.Total.Expected.Text(), p.day(w.Dates.Alone.Ready),
			p.day(w.Dates.Queued.Ready), w.Sale.Expected.Text(),
		}
		n := w.Negotiation
		if n == nil {
			n = &bid.Negotiation{}
		}
		cells = append(cells, priceOf(w, n.Opening), priceOf(w, n.Aim), priceOf(w, n.WalkAway),
			profitAsked(w))
		for i, c := range cells {
			rows[i] += fmt.Sprintf("\t%s", c)
		}
	}
	p.table(rows)
	if says := domain.DatesAssume(assumed); says != "" {
		p.line("  %s", says)
	} else {
		p.line("  The dates rest on opening hours, holidays, people, stations and rooms as entered.")
	}
	if best := bestWay(ways); best >= 0 {
		p.line(
			"  The depth that allows the highest price is %s: up to %s.", depthNames[ways[best].Depth],
			ways[best].Negotiation.Aim.Price,
		)
	} else {
		p.line("  No depth earns the wanted profit at any price: leave it.")
	}
}

func priceOf(w bid.WayResult, at *pricing.Prospect) string {
	switch {
	case w.Outcome == bid.Stopped:
		return "stopped"
	case at == nil:
		return "leave it"
	}
	return at.Price.Text()
}

func profitAsked(w bid.WayResult) string {
	if w.AtAsked == nil {
		return ""
	}
	return w.AtAsked.Profit.Text()
}

// bestWay returns the index of the way that can pay the most, or -1 if none can pay anything.
func bestWay(ways []bid.WayResult) int {
	best := -1
	for i, w := range ways {
		if (w.Outcome == bid.Buy || w.Outcome == bid.Conditional) && (best < 0 ||
			w.Negotiation.Aim.Price.Cmp(ways[best].Negotiation.Aim.Price) > 0) {
			best = i
		}
	}
	return best
}
