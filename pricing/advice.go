package pricing

import (
	"fmt"

	"bentside/pricing/money"
)

// Verdict is what the sums say about buying.
type Verdict uint8

// The verdicts.
const (
	// Buy: at the target price or below, the wanted profit is there. A target of nothing means:
	// only as a gift.
	Buy Verdict = iota + 1
	// Leave: no price leaves the wanted profit.
	Leave
)

// String names the verdict.
func (v Verdict) String() string {
	switch v {
	case Buy:
		return "buy"
	case Leave:
		return "leave it"
	}
	return fmt.Sprintf("Verdict(%d)", uint8(v))
}

// Reason is why an instrument is to be left.
type Reason uint8

// The reasons; a verdict to buy has none.
const (
	// LossAsGift: even as a gift it would be sold at a loss.
	LossAsGift Reason = iota + 1
	// ShortAsGift: as a gift it would leave a profit, but less than the wanted one.
	ShortAsGift
)

// String says the reason in a sentence, nothing for none.
func (r Reason) String() string {
	switch r {
	case LossAsGift:
		return "even as a gift it would be sold at a loss"
	case ShortAsGift:
		return "even as a gift it would leave less than the wanted profit"
	}
	return ""
}

// Advice is the answer to: what is it worth to us?
type Advice struct {
	Verdict Verdict
	// Reason is why to leave it; 0 when the verdict is to buy.
	Reason Reason
	// TargetProfit is the wanted profit as an amount.
	TargetProfit money.Amount
	// Target is the highest price on a bidding step that leaves the wanted profit, followed
	// through; nil for Leave.
	Target *Sums
	// BreakEven is the highest price on a bidding step that leaves no loss; nil when even a gift
	// does.
	BreakEven *Sums
	// AsGift follows a price of nothing through: its profit is all there is for the price, what the
	// price brings with it, and the wanted profit.
	AsGift Sums
	// HalfUplift is the trade's rule of thumb for the same sale and work, for comparison: half of
	// what the work leaves of the sale, whatever tax, premium, transport and time take.
	HalfUplift money.Amount
}

// Advise works out the price that leaves the wanted profit, the price that leaves nothing, and
// the rule of thumb.
func (b Bid) Advise() Advice {
	nothing := money.Zero(b.currency)
	advice := Advice{
		Verdict:      Leave,
		TargetProfit: b.wanted,
		AsGift:       b.sums(nothing),
		HalfUplift:   halfUplift(b.in.Sale, b.in.Work),
	}
	if price, found := b.MaxPrice(nothing); found {
		sums := b.sums(price)
		advice.BreakEven = &sums
	}
	if price, found := b.MaxPrice(b.wanted); found {
		sums := b.sums(price)
		advice.Verdict, advice.Target = Buy, &sums
		return advice
	}
	advice.Reason = ShortAsGift
	if advice.BreakEven == nil {
		advice.Reason = LossAsGift
	}
	return advice
}

// halfUplift returns the trade's rule of thumb for an offer: half of what the work leaves of the
// finished selling price, nothing if that is negative, rounded down. It knows no tax, premium,
// transport or time. A practitioner gave the rule on a technicians' list in 2004 with six worked
// cases, and said that it leaves about 40 % over work and sale; it stands beside the price that is
// worked out as an anchor, not as a result.
func halfUplift(finished, work money.Amount) money.Amount {
	uplift := finished.Sub(work)
	if uplift.Sign() < 0 {
		uplift = money.Zero(finished.Currency())
	}
	return must(uplift.MulRatio(1, 2, money.Down))
}
