package demo

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/money"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// printBid prints what to pay at a depth, with every sum of the price that the
// buyer would stop at.
func (p *printer) printBid(w domain.WayResult) {
	switch w.Outcome {
	case domain.Stopped:
		p.line("  STOPPED: %s", w.Why)
		return
	case domain.Leave:
		p.line("  LEAVE IT: %s. As a gift:", w.Why)
		p.sums(w.Advice.AsGift)
	case domain.Buy:
		p.printNegotiation(w)
	}
	p.printUndone(w)
	p.line("  Tax: ask your adviser.")
}

func (p *printer) printNegotiation(w domain.WayResult) {
	n := w.Negotiation
	p.line("  Sells for %s to %s, likely %s; work in doubt: four times in five no more than %s.",
		w.Sale.Low.Text(), w.Sale.High.Text(), w.Sale.Likely.Text(), n.Work.P80.Text())
	rows := []string{"\tprice\tprofit if all is likely\tchance of a loss\ta month on what is tied up\tmust sell for\thours may come to"}
	add := func(name string, at *pricing.Prospect, hours *decimal.Decimal) {
		if at == nil {
			rows = append(rows, name+"\tnone")
			return
		}
		rows = append(rows, fmt.Sprintf("%s\t%s\t%s\t%s\t%s\t%s\t%s",
			name, at.Price.Text(), at.Profit.Text(), share(&at.ChanceOfLoss), share(at.PerMonth), orNone(at.BreakEvenSale), hoursOrNone(hours)))
	}
	add("open at", n.Opening, nil)
	add("aim for at most", n.Target, n.Hours.AtTarget)
	add("walk away above", n.WalkAway, nil)
	add("the seller asks", n.Asked, n.Hours.AtAsked)
	p.table(rows)
	p.line("  A loss is accepted in %s of cases. The sums at the price to aim for:", share(&n.LossLimit))
	p.sums(n.Target.Sums)
}

func (p *printer) printUndone(w domain.WayResult) {
	if len(w.Undone) == 0 {
		return
	}
	unpriced := ", and nothing is taken off the price for them"
	if slices.ContainsFunc(w.Undone, func(u domain.Undone) bool { return u.Priced }) {
		unpriced = ""
	}
	points := make([]string, len(w.Undone))
	for i, u := range w.Undone {
		points[i] = string(u.Point)
	}
	p.line("  %d findings stay as they are at this depth%s: %s", len(w.Undone), unpriced, strings.Join(points, " "))
}

// sums prints the lines that are not nothing; they add up to the profit.
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

func orNone(a *money.Amount) string {
	if a == nil {
		return "none does"
	}
	return a.Text()
}

func hoursOrNone(h *decimal.Decimal) string {
	if h == nil {
		return ""
	}
	return h.StringFixed(0)
}

func (p *printer) printSideBySide(ways []domain.WayResult) {
	p.line("\nSIDE BY SIDE")
	head := []string{"", "hours", "work", "ready alone", "ready in queue", "sells for", "open at", "aim for at most", "walk away above", "profit at the price asked"}
	rows := slices.Clone(head)
	for _, w := range ways {
		cells := []string{
			depthNames[w.Depth], w.Estimate.Hours.Likely.StringFixed(0), w.Estimate.Costs.Total.Likely.Text(), p.day(w.Dates.Alone.Ready),
			p.day(w.Dates.Queued.Ready), w.Sale.Likely.Text(), priceOf(w, w.Negotiation.Opening), priceOf(w, w.Negotiation.Target),
			priceOf(w, w.Negotiation.WalkAway), profitAsked(w),
		}
		for i, c := range cells {
			rows[i] += fmt.Sprintf("\t%s", c)
		}
	}
	p.table(rows)
	if best := bestWay(ways); best >= 0 {
		p.line("  The most can be paid at depth %s: up to %s.", depthNames[ways[best].Depth], mostToPay(ways[best]))
	} else {
		p.line("  No depth leaves the wanted profit at any price: leave it.")
	}
}

func priceOf(w domain.WayResult, at *pricing.Prospect) string {
	switch {
	case w.Outcome == domain.Stopped:
		return "stopped"
	case at == nil:
		return "leave it"
	}
	return at.Price.Text()
}

func profitAsked(w domain.WayResult) string {
	if w.AtAsked == nil {
		return ""
	}
	return w.AtAsked.Profit.Text()
}

// mostToPay is the lower of the price that keeps the wanted profit and the one
// to walk away at.
func mostToPay(w domain.WayResult) money.Amount {
	n := w.Negotiation
	if n.WalkAway.Price.Cmp(n.Target.Price) < 0 {
		return n.WalkAway.Price
	}
	return n.Target.Price
}

// bestWay is the way that can pay the most; -1 where none can pay anything.
func bestWay(ways []domain.WayResult) int {
	best := -1
	for i, w := range ways {
		if w.Outcome == domain.Buy && (best < 0 || mostToPay(w).Cmp(mostToPay(ways[best])) > 0) {
			best = i
		}
	}
	return best
}
