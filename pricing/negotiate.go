package pricing

import (
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Table is what the prices of a negotiation depend on besides the bid.
type Table struct {
	// Asked is what the seller wants, the estimate at an auction; nil where nobody names any.
	Asked *money.Amount
	// Sealed says that there is nothing to haggle about, as at an auction or in a tender.
	Sealed bool
	// LossLimit is the probability of a loss that the workshop accepts, below 1.
	LossLimit decimal.Decimal
	// Confidence is the least probability with which a price must leave the wanted profit, below 1;
	// 0 asks for none.
	Confidence decimal.Decimal
	// Room is by which share the opening stays below the price to be reached.
	Room decimal.Decimal
}

// Bound is what keeps the aim below the price that leaves the wanted profit on average.
type Bound string

// Unbound: nothing does. BoundByRisk: a loss would be likelier than the workshop accepts.
// BoundByConfidence: the wanted profit would be left less often than the workshop asks for.
const (
	Unbound           Bound = ""
	BoundByRisk       Bound = "risk"
	BoundByConfidence Bound = "confidence"
)

// Negotiation is what a buyer takes into the room. Aim and WalkAway say what the instrument is
// worth to us whatever is asked for it; Opening and PayAtMost look at the ask too. The four stand
// in order: opening < pay at most ≤ aim ≤ walk-away. nil: no such price.
type Negotiation struct {
	// Opening is where to begin: on a step below both the aim and the ask, by the table's room. There
	// is none where there is nothing to haggle about, or where no step lies lower.
	Opening *Prospect
	// Aim is the highest price whose expected profit is the wanted one at least, within the bounds.
	// Results of engine 8 and earlier hold under its key the price that leaves the wanted profit if
	// all goes as is likely.
	Aim *Prospect `json:"Target"`
	// Bound is what lowered the aim, and UnboundAim what it would be without.
	Bound      Bound         `json:",omitempty"`
	UnboundAim *money.Amount `json:",omitempty"`
	// WalkAway is the highest price at which the probability of a loss is within LossLimit.
	WalkAway *Prospect
	// PayAtMost is the lower of aim and ask; nil where there is nothing to haggle about.
	PayAtMost *money.Amount `json:",omitempty"`
	// Asked is what the seller wants, and AboveWanted how much more than the wanted profit it leaves;
	// nil unless it does.
	Asked       *Prospect
	AboveWanted *money.Amount `json:",omitempty"`
	LossLimit   decimal.Decimal
	// Unfit is how likely the instrument proves not worth working on, which sale and work of all sums
	// count; nil where that was ruled out.
	Unfit *decimal.Decimal `json:",omitempty"`
	// Sale and Work are what is in doubt.
	Sale, Work Spread
}

// Spread says how far an amount in doubt may come out otherwise. P10 to P90 hold what it comes to
// in four cases of five; P80 is not passed in four cases of five. Results of engine 8 and earlier
// have neither P10, P50 nor P90.
type Spread struct {
	Mean, SD money.Amount
	P10      *money.Amount `json:",omitempty"`
	P50      *money.Amount `json:",omitempty"`
	P80      money.Amount
	P90      *money.Amount `json:",omitempty"`
}

// Prospect is a price with what it leads to.
type Prospect struct {
	Sums
	ChanceOfLoss decimal.Decimal
	// ChanceOfWanted is how likely it leaves the wanted profit. Results of engine 8 and earlier have
	// none.
	ChanceOfWanted *decimal.Decimal `json:",omitempty"`
	// TiedUp is the money that is out until the sale, on average over the days: price and premium,
	// unless they are paid at the sale, transport, duty, and the work as far as it counts.
	TiedUp money.Amount
	// PerMonth is the expected profit for each month until the sale, as a share of TiedUp, simple, to
	// four decimals; nil where nothing is tied up or for no time.
	PerMonth *decimal.Decimal
	// BreakEvenSale is the sale price that leaves nothing, expected work taken; nil where no sale
	// does.
	BreakEvenSale *money.Amount
	// BreakEvenWork is the cost of work that leaves nothing, expected sale taken; negative where even
	// no work leaves a loss.
	BreakEvenWork money.Amount
}

// Negotiate works out the prices of a negotiation. Without a walk-away price, or where no price
// leaves the wanted profit, there is no aim either. It returns [*BoundError] for a limit or a
// confidence that isn't a probability below 1, and the errors of [Bid.ProfitAt] for the ask.
func (b Bid) Negotiate(t Table) (Negotiation, error) {
	n := Negotiation{
		LossLimit: t.LossLimit, Unfit: b.unfit, Sale: spreadOf(b.sale),
		Work: spreadOf(b.in.Doubt.pair().OverallY()),
	}
	for _, share := range []struct {
		what  string
		value decimal.Decimal
	}{{"confidence", t.Confidence}, {"room", t.Room}} {
		if err := checkShare("table", share.what, share.value); err != nil {
			return n, err
		}
	}
	walk, accepted, err := b.LastWithin(t.LossLimit, money.Zero(b.currency))
	if err != nil {
		return n, err
	}
	if accepted {
		n.WalkAway = b.prospect(walk)
	}
	if t.Asked != nil {
		if err := checkAmount("bid", "price", *t.Asked, b.currency); err != nil {
			return n, err
		}
		n.Asked = b.prospect(*t.Asked)
		if more := n.Asked.Profit.Sub(b.wanted); more.Sign() > 0 && !t.Sealed {
			n.AboveWanted = &more
		}
	}
	// One figure for one thing: lines are rounded one by one, and their sum is what the sums count.
	n.Work.Mean = b.in.Work
	if !accepted {
		return n, nil
	}
	if found, err := n.aimFor(b, t, walk); !found || err != nil || t.Sealed {
		return n, err
	}
	most := n.Aim.Price
	if t.Asked != nil && t.Asked.Cmp(most) < 0 {
		most = *t.Asked
	}
	n.PayAtMost = &most
	if opening, some := b.opening(most, t.Room); some {
		n.Opening = b.prospect(opening)
	}
	return n, nil
}

// aimFor sets the price to aim for, which never lies above the walk-away price, and by what it is
// bound; it returns false where no price leaves the wanted profit.
func (n *Negotiation) aimFor(b Bid, t Table, walk money.Amount) (bool, error) {
	unbound, found := b.MaxPrice(b.wanted)
	if !found {
		return false, nil
	}
	aim := unbound
	if t.Confidence.IsPositive() {
		sure, some, err := b.LastWithin(decimal.NewFromInt(1).Sub(t.Confidence), b.wanted)
		if err != nil || !some {
			return false, err
		}
		if sure.Cmp(aim) < 0 {
			aim, n.Bound = sure, BoundByConfidence
		}
	}
	if walk.Cmp(aim) < 0 {
		aim, n.Bound = walk, BoundByRisk
	}
	if n.Bound != Unbound {
		n.UnboundAim = &unbound
	}
	n.Aim = b.prospect(aim)
	return true, nil
}

// opening returns the highest step that lies below a price by a share at least, and below it in any
// case; false where that is nothing.
func (b Bid) opening(below money.Amount, room decimal.Decimal) (money.Amount, bool) {
	off := shareRatio(room).of(below).Minor()
	opening := b.onStep(max(below.Minor()-max(off, 1), 0))
	return opening, opening.Sign() > 0
}

var (
	half       = decimal.New(5, -1)
	fourFifths = decimal.New(8, -1)
)

func spreadOf(d odds.Distribution) Spread {
	p10, p50, p90 := d.Quantile(tenth), d.Quantile(half), d.Quantile(ninety)
	return Spread{
		Mean: d.Mean(), SD: d.SD(), P10: &p10, P50: &p50, P80: d.Quantile(fourFifths), P90: &p90,
	}
}

// prospect follows a checked price through.
func (b Bid) prospect(price money.Amount) *Prospect {
	nothing := money.Zero(b.currency)
	o := b.outlayAt(price)
	wanted := decimal.NewFromInt(1).Sub(b.chanceBelow(price, b.wanted))
	p := Prospect{
		Sums:           b.sums(price),
		ChanceOfLoss:   b.chanceBelow(price, nothing),
		ChanceOfWanted: &wanted,
		TiedUp:         b.tiedUp(price, o),
		BreakEvenWork:  b.workFor(b.afterSale(b.in.Sale, o.paid).Sub(o.total), nothing),
	}
	if sale, found := b.minSale(o, nothing); found {
		p.BreakEvenSale = &sale
	}
	if p.TiedUp.Sign() > 0 && b.in.Holding.Days() > 0 {
		// profit ÷ tied up ÷ (days × 12/365) months
		perMonth := p.Profit.Decimal().Mul(decimal.NewFromInt(365)).
			DivRound(p.TiedUp.Decimal().Mul(decimal.NewFromInt(12*int64(b.in.Holding.Days()))), 4)
		p.PerMonth = &perMonth
	}
	return &p
}

func (b Bid) tiedUp(price money.Amount, o outlay) money.Amount {
	out := b.in.Transport.Add(b.in.Duty.Fixed).Add(b.duty.of(price))
	if days := int64(b.in.Holding.Days()); days > 0 {
		out = out.Add(ratio{num: b.in.Holding.workOut(), den: 1_000_000 * days}.of(b.in.Work))
	}
	if b.in.Holding.PaidAtSale {
		return out
	}
	return out.Add(o.paid)
}

// leastReported is one in two hundred.
var leastReported = decimal.New(5, -3)

// ReportedChance returns a probability as it is told to people: no model of a sale and of work on
// an old instrument makes anything certain, so it is kept from 1 in 200 to 199 in 200.
func ReportedChance(p decimal.Decimal) decimal.Decimal {
	return decimal.Max(leastReported, decimal.Min(p, decimal.NewFromInt(1).Sub(leastReported)))
}
