package sheet

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// regimes are the tax regimes as people speak of them.
var regimes = map[domain.TaxRegime]string{
	domain.NoTax: "no tax on the sale", domain.StandardTax: "tax on the whole sale price",
	domain.MarginTax: "tax on the margin",
}

// basis returns what the prices rest on, most needed first.
func (b Subject) basis() []string {
	terms := b.Inputs.Workshop.Terms
	lines := []string{b.tax()}
	if best, found := b.best(); found {
		lines = append(lines, b.bestSays(best), b.sums(best))
		if unfit := negotiation(best).Unfit; unfit != nil {
			lines = append(lines, b.unfitSays(*unfit))
		}
		if x := best.Spared; x != nil {
			lines = append(lines, sparedSays(*x))
		}
	}
	priced := slices.ContainsFunc(b.Result.Ways, func(w bid.WayResult) bool {
		return negotiation(w).WalkAway != nil
	})
	if priced {
		lines = append(lines, fmt.Sprintf(
			"A loss is accepted in %s of cases: that bounds %s.",
			percent(terms.LossLimit), b.worded("the price to walk away above", "the last limit")))
	}
	lines = append(lines, b.leftSays()...)
	return append(lines, b.caveats()...)
}

// namedLeft is how many findings are named that a way leaves.
const namedLeft = 3

// leftSays names, for each way that is advised at the price asked, the findings that must be acted
// on, stay, and had nothing taken off the sale price for them.
func (b Subject) leftSays() []string {
	var lines []string
	for _, w := range b.Result.Ways {
		list := unpricedBad(w)
		if len(list) == 0 || negotiation(w).Aim == nil || b.againstAsk(w) != "" {
			continue
		}
		var names []string
		for _, u := range list[:min(len(list), namedLeft)] {
			names = append(names, fmt.Sprintf("%s (%s)", u.Text, u.Point))
		}
		more := ""
		if n := len(list) - len(names); n > 0 {
			more = fmt.Sprintf("; and %d more", n)
		}
		lines = append(lines, fmt.Sprintf("%s leaves what must be acted on, and the sale price is taken "+
			"to bear it: %s%s.", b.name(w), strings.Join(names, "; "), more))
	}
	return lines
}

// caveats returns why ways are stopped, left or on condition, ways of one reason in one line.
func (b Subject) caveats() []string {
	var reasons []string
	at := map[string][]string{}
	for _, w := range b.Result.Ways {
		var says string
		switch w.Outcome {
		case bid.Stopped:
			says = "stopped, so there is no price before that is lifted."
		case bid.Leave:
			says = "leave it: " + w.Why + "."
		case bid.Conditional:
			says = "on condition: " + w.Why + "."
		case bid.Buy:
			continue
		}
		if at[says] == nil {
			reasons = append(reasons, says)
		}
		at[says] = append(at[says], b.name(w))
	}
	lines := make([]string, 0, len(reasons))
	for _, says := range reasons {
		lines = append(lines, strings.Join(at[says], ", ")+": "+says)
	}
	return lines
}

// tax says which regime the prices assume.
func (b Subject) tax() string {
	terms := b.Inputs.Workshop.Terms
	regime := b.Inputs.AssumedRegime()
	says := regimes[regime]
	switch b.Inputs.Asked.AcquiredBy() {
	case bid.DonorOfParts:
		return "Tax assumed: none, since nothing is sold as an instrument: ask your adviser."
	case bid.Consigned:
		if regime == domain.StandardTax {
			says = "tax on what we keep of the sale"
		}
	case bid.Purchase, bid.PartExchange:
	}
	if regime != domain.NoTax {
		says += " at " + percent(terms.TaxRate)
	}
	if regime != terms.TaxRegime {
		says += ", since the seller's invoice shows tax"
	}
	return "Tax assumed: " + says + "; papers, buyer and local law decide whether it applies: ask your adviser."
}

// best returns the way that can pay the most, and false where none can pay anything.
func (b Subject) best() (bid.WayResult, bool) {
	var best bid.WayResult
	found := false
	for _, w := range b.Result.Ways {
		price := aimOf(w)
		if w.Outcome != bid.Buy && w.Outcome != bid.Conditional || price == nil {
			continue
		}
		if !found || price.Price.Cmp(aimOf(best).Price) > 0 {
			best, found = w, true
		}
	}
	return best, found
}

// bestSays names the way that can pay the most, and how it stands to what is asked.
func (b Subject) bestSays(w bid.WayResult) string {
	n := negotiation(w)
	says := fmt.Sprintf("The most can be paid %s: %s.", b.where(w), aimOf(w).Price)
	switch {
	case b.Inputs.Asked.Sealed:
		says = b.limitSays(w)
	case n.AboveWanted != nil && n.Asked != nil && n.PayAtMost != nil:
		says += fmt.Sprintf(" The seller asks %s, which leaves %s more than is wanted: pay %s at most.",
			n.Asked.Price.Text(), n.AboveWanted.Text(), n.PayAtMost.Text())
	case n.Asked != nil:
		says += fmt.Sprintf(" The price asked is %s.", n.Asked.Price.Text())
	}
	switch n.Bound {
	case pricing.BoundByRisk:
		says += " The risk of a loss holds it down"
	case pricing.BoundByConfidence:
		says += " It is held down so that the wanted profit comes often enough"
	case pricing.Unbound:
		return says
	}
	return says + fmt.Sprintf("; on average %s would do.", n.UnboundAim.Text())
}

// limitSays names how far to bid where there is nothing to haggle about.
func (b Subject) limitSays(w bid.WayResult) string {
	n := negotiation(w)
	says := fmt.Sprintf("Limit on the hammer %s, premium apart: planned %s", b.where(w),
		aimOf(w).Price.Text())
	if n.WalkAway != nil {
		says += ", last " + n.WalkAway.Price.Text()
	}
	says += " " + b.Inputs.Workshop.Terms.Currency + "."
	if n.Asked != nil {
		says += fmt.Sprintf(" The estimate is %s.", n.Asked.Price.Text())
	}
	return says
}

func (b Subject) where(w bid.WayResult) string {
	if b.donor() {
		return "for its parts"
	}
	if w.Depth == catalogue.AsFound {
		return "to sell it as found"
	}
	return "to " + b.name(w) + " it"
}

// sums follows the price to aim for through to its profit.
func (b Subject) sums(w bid.WayResult) string {
	sums := aimOf(w)
	parts := make([]string, 0, len(sums.Lines))
	for _, l := range sums.Lines {
		switch {
		case l.Item == pricing.ItemProfit:
		case l.Item == pricing.ItemSale:
			parts = append(parts, l.Amount.Text())
		case !l.Amount.IsZero():
			parts = append(parts, fmt.Sprintf("− %s %s", l.Item, l.Amount.Neg().Text()))
		}
	}
	return fmt.Sprintf("%s, aimed for: profit %s, wanted %s: sale %s", b.name(w), sums.Profit.Text(),
		w.Advice.TargetProfit.Text(), strings.Join(parts, " "))
}

// unfitSays tells how the sums count the case that it proves a donor, which the table doesn't.
func (b Subject) unfitSays(unfit decimal.Decimal) string {
	table := "work and hours of the table are those of the other cases, its sale as if none were unfit."
	if bid.OfOlderModel(b.Inputs.Engine) {
		table = "sale and work of the table leave that case out, and what it would tell of the rest."
	}
	return fmt.Sprintf("Counted in: %s that it proves unfit, takes no work and brings %s; %s",
		chance(unfit), b.Inputs.Asked.UnfitBrings.StringFixed(2), table)
}

// sparedSays tells of work that the sums count with and the table doesn't.
func sparedSays(x bid.Spared) string {
	return fmt.Sprintf("Counted in: %s of work that a bad finding takes away or may: that makes the "+
		"piano worth no more.", x.Work.Text())
}

// cautions returns what to know before the instrument changes hands. What stops it, and what
// lifted that, stands among the deal-breakers.
func (b Subject) cautions() []string {
	in := b.Inputs
	var lines []string
	for _, k := range caution.CautionsOfSale(
		b.Catalogue, in.Instrument, b.Result.Judgements, in.AssumedRegime(), nil,
	) {
		lines = append(lines, k.Says)
	}
	return lines
}
