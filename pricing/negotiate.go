package pricing

import (
	"math/big"

	"bentside/domain/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Negotiation is what a buyer takes into the room. A price that there is not is nil.
type Negotiation struct {
	// Opening is where to begin: the trade's rule of half the uplift, taken down to a step, and never above the target or
	// the walk-away price.
	Opening *Prospect
	// Target is the highest price that leaves the wanted profit if all goes as is likely.
	Target *Prospect
	// WalkAway is the highest price at which the chance of a loss is within LossLimit. Where much is in doubt it lies
	// below the target: then the target price is too much of a gamble.
	WalkAway *Prospect
	// Asked is what the seller wants.
	Asked *Prospect
	// LossLimit is the chance of a loss that the workshop accepts.
	LossLimit decimal.Decimal
	// Sale and Work are what is in doubt.
	Sale, Work Spread
}

// Spread says in three figures how far an amount in doubt may come out otherwise.
type Spread struct {
	Mean, SD money.Amount
	// P80 is not passed in four cases of five.
	P80 money.Amount
}

// Prospect is a price with what it leads to.
type Prospect struct {
	Sums
	ChanceOfLoss decimal.Decimal
	// TiedUp is the money that is out until the sale: price and premium, unless they are paid at the sale, transport, duty,
	// and the share of the work that counts.
	TiedUp money.Amount
	// PerMonth is the likely profit for each month until the sale, as a share of TiedUp, simple, to four decimals; nil where
	// nothing is tied up or for no time.
	PerMonth *decimal.Decimal
	// BreakEvenSale is the sale price that leaves nothing, likely work taken; nil where no sale does.
	BreakEvenSale *money.Amount
	// BreakEvenWork is the cost of work that leaves nothing, likely sale taken; negative where even no work leaves a loss.
	BreakEvenWork money.Amount
}

// Negotiate reckons the prices of a negotiation; asked is nil where the seller names none. It returns the errors of
// [Bid.WalkAway] and [Bid.ProfitAt].
func (b Bid) Negotiate(d Doubt, limit decimal.Decimal, asked *money.Amount) (Negotiation, error) {
	n := Negotiation{LossLimit: limit, Sale: spreadOf(d.Sale), Work: spreadOf(d.Work)}
	walk, accepted, err := b.WalkAway(d, limit)
	if err != nil {
		return n, err
	}
	if accepted {
		n.WalkAway = b.prospect(walk, d)
	}
	target, found := b.MaxPrice(b.target)
	if found {
		n.Target = b.prospect(target, d)
	}
	if found && accepted {
		n.Opening = b.prospect(b.opening(target, walk), d)
	}
	if asked != nil {
		if err := checkAmount("bid", "price", *asked, b.currency); err != nil {
			return n, err
		}
		n.Asked = b.prospect(*asked, d)
	}
	return n, nil
}

var fourFifths = decimal.New(8, -1)

func spreadOf(d odds.Distribution) Spread {
	return Spread{Mean: d.Mean(), SD: d.SD(), P80: d.Quantile(fourFifths)}
}

// opening is the rule of half the uplift on a step, at most the least of the given prices.
func (b Bid) opening(most ...money.Amount) money.Amount {
	offer := min(halfUplift(b.in.Sale, b.in.Work).Minor(), BidLimit)
	for _, m := range most {
		offer = min(offer, m.Minor())
	}
	return money.FromMinor(b.stepDown(offer), b.currency)
}

// prospect follows a checked price through.
func (b Bid) prospect(price money.Amount, d Doubt) *Prospect {
	nothing := money.Zero(b.currency)
	o := b.outlayAt(price)
	p := Prospect{
		Sums:          b.sums(price),
		ChanceOfLoss:  b.chanceOfLoss(price, d),
		TiedUp:        b.tiedUp(price, o),
		BreakEvenWork: b.workFor(b.afterSale(b.in.Sale, o.paid).Sub(o.total), nothing),
	}
	if sale, found := b.minSale(o, nothing); found {
		p.BreakEvenSale = &sale
	}
	if p.TiedUp.Sign() > 0 && b.in.Holding.Days > 0 {
		// profit ÷ tied up ÷ (days × 12/365) months
		perMonth := p.Profit.Decimal().Mul(decimal.NewFromInt(365)).
			DivRound(p.TiedUp.Decimal().Mul(decimal.NewFromInt(12*int64(b.in.Holding.Days))), 4)
		p.PerMonth = &perMonth
	}
	return &p
}

func (b Bid) tiedUp(price money.Amount, o outlay) money.Amount {
	out := b.in.Transport.Add(b.in.Duty.Fixed).Add(b.duty.of(price)).Add(shareRatio(b.in.Holding.WorkShare).of(b.in.Work))
	if b.in.Holding.PaidAtSale {
		return out
	}
	return out.Add(o.paid)
}

// MinSale returns the sale price that leaves the wanted profit at a price, work as in the input, and false when no sale
// up to [BidLimit] does, or where tax and the cost of selling eat all of it. A minor unit less of sale leaves too little; a
// minor unit more may leave one less again, since tax and selling cost are rounded each.
//
// Method: without rounding the profit rises along two straight lines in the sale, with tax on the margin and without,
// and is the lower of the two, so the crossing is the higher of the two crossings; from there the rounded sums decide. It
// returns the errors of [Bid.ProfitAt].
func (b Bid) MinSale(price, wanted money.Amount) (money.Amount, bool, error) {
	if err := checkAmount("bid", "price", price, b.currency); err != nil {
		return money.Amount{}, false, err
	}
	sale, found := b.minSale(b.outlayAt(price), wanted)
	return sale, found, nil
}

func (b Bid) minSale(o outlay, wanted money.Amount) (money.Amount, bool) {
	costs := o.total.Add(b.in.Work).Add(b.workFinance).Add(wanted)
	need := integer(costs.Add(b.in.Selling.Fixed).Minor())
	kept := new(big.Rat).Sub(integer(1), shareRatio(b.in.Selling.Share).rat())
	taxedKept := new(big.Rat).Sub(kept, b.tax.rat())
	taxedNeed := need
	if b.in.Tax.Regime == MarginScheme {
		credit := new(big.Rat).Mul(b.tax.rat(), integer(o.paid.Minor()))
		taxedNeed = new(big.Rat).Sub(need, credit)
	}
	sale := int64(0)
	if taxedNeed.Sign() > 0 || need.Sign() > 0 {
		if kept.Sign() <= 0 || taxedKept.Sign() <= 0 {
			return money.Amount{}, false
		}
		crossing := new(big.Rat).Quo(taxedNeed, taxedKept)
		if untaxed := new(big.Rat).Quo(need, kept); b.in.Tax.Regime == MarginScheme && untaxed.Cmp(crossing) > 0 {
			crossing = untaxed
		}
		if crossing.Cmp(integer(BidLimit)) > 0 {
			return money.Amount{}, false
		}
		sale = max(new(big.Int).Quo(crossing.Num(), crossing.Denom()).Int64(), 0)
	}
	short := func(sale int64) int64 {
		return costs.Sub(b.afterSale(money.FromMinor(sale, b.currency), o.paid)).Minor()
	}
	for sale > 0 && short(sale-1) <= 0 {
		sale--
	}
	for missing := short(sale); missing > 0; missing = short(sale) {
		jump := new(big.Rat).Quo(integer(missing), taxedKept)
		sale += max(new(big.Int).Quo(jump.Num(), jump.Denom()).Int64()/2, 1)
		if sale > BidLimit {
			return money.Amount{}, false
		}
	}
	return money.FromMinor(sale, b.currency), true
}
