package sheet

import (
	"fmt"
	"strings"
	"time"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// depthNames are the depths in the words of the trade.
var depthNames = map[catalogue.Depth]string{
	catalogue.AsFound: "as found", catalogue.Recondition: "recondition", catalogue.Restore: "restore",
}

func (b Subject) donor() bool { return b.Inputs.Asked.AcquiredBy() == bid.DonorOfParts }

// name returns what a way is called.
func (b Subject) name(w bid.WayResult) string {
	if b.donor() {
		return "for parts"
	}
	return depthNames[w.Depth]
}

var outcomes = map[bid.Outcome]string{
	bid.Buy: "BUY", bid.Conditional: "IF LOOKED AT", bid.Leave: "LEAVE IT",
	bid.Stopped: "STOPPED",
}

// adviceCell holds the advice against the price asked: a way that pays only below it doesn't read
// as a plain "buy".
func (b Subject) adviceCell(w bid.WayResult) string {
	if against := b.againstAsk(w); against != "" && w.Outcome == bid.Buy {
		return against
	}
	return outcomes[w.Outcome]
}

// conditionCell holds what is to be said of the price asked where a look comes first, so that the
// cell above is taken.
func (b Subject) conditionCell(w bid.WayResult) string {
	if w.Outcome != bid.Conditional {
		return ""
	}
	return b.againstAsk(w)
}

// againstAsk says that a way doesn't pay at the price asked; nothing where it does.
func (b Subject) againstAsk(w bid.WayResult) string {
	n := negotiation(w)
	if b.Inputs.Asked.Sealed || n.Asked == nil || n.Aim == nil || n.WalkAway == nil {
		return ""
	}
	switch asked := n.Asked.Price; {
	case asked.Cmp(n.WalkAway.Price) > 0:
		return "NOT AT THE ASK"
	case asked.Cmp(n.Aim.Price) > 0:
		return "BUY BELOW THE ASK"
	}
	return ""
}

func (b Subject) depthsTitle() string {
	currency := b.Inputs.Workshop.Terms.Currency
	if bid.TookLinesAsIndependent(b.Inputs.Engine) {
		return "Depths side by side, in " + currency + ", as is likely; ranges from low to high"
	}
	return "Depths side by side, in " + currency + ", on average; ranges hold four cases of five"
}

// table returns the ways side by side. Rows that say nothing of any way are left out.
func (b Subject) table() [][]string {
	ways := b.Result.Ways
	head := make([]string, 1, 1+len(ways))
	for _, w := range ways {
		head = append(head, b.name(w))
	}
	table := [][]string{head}
	for _, row := range []struct {
		name string
		cell func(bid.WayResult) string
	}{
		{"advice", b.adviceCell},
		{"  and at the price asked", b.conditionCell},
		{"hours of work", hoursOf},
		{"work costs", func(w bid.WayResult) string { return center(w.Estimate.Costs.Total) }},
		{"  range", func(w bid.WayResult) string { return span(w.Estimate.Costs.Total) }},
		{b.saleName(), saleCell(center)},
		{"  range", saleCell(span)},
		{"ready, in the queue", func(w bid.WayResult) string { return b.day(w.Dates.Queued.Ready) }},
		{"ready, if all were free", func(w bid.WayResult) string { return b.day(w.Dates.Alone.Ready) }},
		{"open at", priceCell(func(n bid.Negotiation) *pricing.Prospect { return n.Opening })},
		{"pay at most", payAtMost},
		{b.worded("aim for at most", "limit on the hammer, planned"), aim},
		{"  chance of a loss", lossCell(func(n bid.Negotiation) *pricing.Prospect { return n.Aim })},
		{"  commission", commission},
		{
			b.worded("walk away above", "limit on the hammer, last"),
			priceCell(func(n bid.Negotiation) *pricing.Prospect { return n.WalkAway }),
		},
		{"  chance of a loss", lossCell(func(n bid.Negotiation) *pricing.Prospect { return n.WalkAway })},
		{b.worded("profit at the price asked", "profit at the estimate"), profitAsked},
		{"  chance of a loss", lossCell(func(n bid.Negotiation) *pricing.Prospect { return n.Asked })},
		{"findings left as they are", undone},
	} {
		cells := []string{row.name}
		for _, w := range ways {
			cells = append(cells, row.cell(w))
		}
		if strings.Join(cells[1:], "") != "" {
			table = append(table, cells)
		}
	}
	return table
}

// worded returns what is said where there is something to haggle about, or what is at an auction or
// in a tender.
func (b Subject) worded(haggling, sealed string) string {
	if b.Inputs.Asked.Sealed {
		return sealed
	}
	return haggling
}

func (b Subject) saleName() string {
	if b.donor() {
		return "parts are worth"
	}
	return "sells for"
}

func (b Subject) day(t time.Time) string {
	if b.donor() {
		return "" // nothing is made ready
	}
	return t.In(b.Zone).Format("2 Jan 2006")
}

func hoursOf(w bid.WayResult) string {
	h := w.Estimate.Hours
	if h.Expected.IsZero() {
		return h.Likely.StringFixed(0)
	}
	return h.Expected.StringFixed(0)
}

// center returns the expected amount, or the likely one where a bid of an older engine has none.
func center(r pricing.Range) string {
	if r.Expected.Currency().IsZero() {
		return r.Likely.Text()
	}
	return r.Expected.Text()
}

// span returns a range in whole units of the currency, which is how exact it is.
func span(r pricing.Range) string { return whole(r.Low) + "–" + whole(r.High) }

func whole(a money.Amount) string { return a.Decimal().Round(0).String() }

func saleCell(say func(pricing.Range) string) func(bid.WayResult) string {
	return func(w bid.WayResult) string {
		if w.Sale == nil {
			return ""
		}
		return say(*w.Sale)
	}
}

// negotiation returns the prices of a way; nothing for a stopped way and bids of engine 1.
func negotiation(w bid.WayResult) bid.Negotiation {
	if w.Negotiation == nil || w.Outcome == bid.Stopped {
		return bid.Negotiation{}
	}
	return *w.Negotiation
}

func priceCell(of func(bid.Negotiation) *pricing.Prospect) func(bid.WayResult) string {
	return func(w bid.WayResult) string {
		if p := of(negotiation(w)); p != nil {
			return p.Price.Text()
		}
		return ""
	}
}

func lossCell(of func(bid.Negotiation) *pricing.Prospect) func(bid.WayResult) string {
	return func(w bid.WayResult) string {
		if p := of(negotiation(w)); p != nil {
			return chance(p.ChanceOfLoss)
		}
		return ""
	}
}

func payAtMost(w bid.WayResult) string {
	if most := negotiation(w).PayAtMost; most != nil {
		return most.Text()
	}
	return ""
}

// aim returns the price to aim for, or what stands in its place.
func aim(w bid.WayResult) string {
	switch price := aimOf(w); {
	case w.Outcome == bid.Stopped:
		return "no price"
	case price == nil:
		return "none"
	default:
		return price.Price.Text()
	}
}

// aimOf returns the sums at the price to aim for; nil where there is none.
func aimOf(w bid.WayResult) *pricing.Sums {
	switch n := negotiation(w); {
	case w.Outcome == bid.Stopped:
		return nil
	case n.Aim != nil:
		return &n.Aim.Sums
	case w.Negotiation == nil && w.Advice != nil:
		return w.Advice.Target
	}
	return nil
}

func commission(w bid.WayResult) string {
	if w.Commissions == nil || w.Commissions.Aim == nil || w.Outcome == bid.Stopped {
		return ""
	}
	return percent(w.Commissions.Aim.Share)
}

func profitAsked(w bid.WayResult) string {
	if w.AtAsked == nil || w.Outcome == bid.Stopped {
		return ""
	}
	return w.AtAsked.Profit.Text()
}

func undone(w bid.WayResult) string {
	switch bad := len(unpricedBad(w)); {
	case len(w.Undone) == 0:
		return ""
	case bad > 0:
		return fmt.Sprintf("%d (%d bad)", len(w.Undone), bad)
	}
	return fmt.Sprint(len(w.Undone))
}

// unpricedBad returns the findings that must be acted on, are left, and had nothing taken off the
// sale price for them.
func unpricedBad(w bid.WayResult) []bid.Undone {
	var list []bid.Undone
	for _, u := range w.Undone {
		if u.Severity == catalogue.MustAct && !u.Priced {
			list = append(list, u)
		}
	}
	return list
}

// chance tells a probability; none is told as nothing or as certain.
func chance(p decimal.Decimal) string {
	switch told := pricing.ReportedChance(p); {
	case told.GreaterThan(p):
		return "below 1 in 200"
	case told.LessThan(p):
		return "above 199 in 200"
	}
	return percent(p)
}
