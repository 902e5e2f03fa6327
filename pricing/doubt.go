package pricing

import (
	"slices"
	"sort"

	"bentside/domain/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Doubt is what a bid does not know: what the instrument will sell for, tax included, and what the work will cost. The
// two are independent. A sale below nothing counts as nothing.
type Doubt struct {
	Sale, Work odds.Distribution
}

// ChanceOfLoss returns how likely a price leads to a profit below nothing, to [odds.ChancePlaces] decimals. Each pair of
// sale and work is followed through the same rounded sums as [Bid.ProfitAt]; the input's own sale and work do not count.
// It never falls as the price rises. It returns the errors of ProfitAt for a price that cannot be reckoned with, and
// [*CurrencyError] for a doubt in another currency.
func (b Bid) ChanceOfLoss(price money.Amount, d Doubt) (decimal.Decimal, error) {
	if err := checkAmount("bid", "price", price, b.currency); err != nil {
		return decimal.Zero, err
	}
	if err := d.check(b.currency); err != nil {
		return decimal.Zero, err
	}
	return b.chanceOfLoss(price, d), nil
}

func (d Doubt) check(c money.Currency) error {
	if d.Sale.Currency() != c {
		return &CurrencyError{Where: "doubt", What: "sale", Want: c, Got: d.Sale.Currency()}
	}
	if d.Work.Currency() != c {
		return &CurrencyError{Where: "doubt", What: "work", Want: c, Got: d.Work.Currency()}
	}
	return nil
}

func (b Bid) chanceOfLoss(price money.Amount, d Doubt) decimal.Decimal {
	nothing := money.Zero(b.currency)
	outlay := b.outlayAt(price)
	return odds.Beyond(d.Sale, d.Work, func(sale money.Amount) money.Amount {
		if sale.Sign() < 0 {
			sale = nothing
		}
		return b.workFor(b.afterSale(sale, outlay.paid).Sub(outlay.total), nothing)
	})
}

// WalkAway returns the largest price on a bidding step at which the chance of a loss is within the limit, and false when
// it is not even as a gift. At the next step the chance is above the limit. The limit is a chance from 0 up to but not
// including 1.
//
// Method: the chance never falls as the price rises, so the steps are bisected; above the dearest sale every price loses.
// It returns [*BoundError] for a limit that is no chance, and [*CurrencyError] for a doubt in another currency.
func (b Bid) WalkAway(d Doubt, limit decimal.Decimal) (money.Amount, bool, error) {
	if limit.IsNegative() || limit.Cmp(decimal.NewFromInt(1)) >= 0 {
		return money.Amount{}, false, &BoundError{Where: "walk-away", What: "limit", Value: limit.String(), Least: "0", Most: "below 1"}
	}
	if err := d.check(b.currency); err != nil {
		return money.Amount{}, false, err
	}
	most := min(max(d.Sale.High().Minor(), 0), BidLimit-1) + 1
	lost := sort.Search(int(most)+1, func(price int) bool {
		return b.chanceOfLoss(money.FromMinor(b.stepDown(int64(price)), b.currency), d).Cmp(limit) > 0
	})
	if lost == 0 {
		return money.Amount{}, false, nil
	}
	return money.FromMinor(b.stepDown(int64(lost)-1), b.currency), true, nil
}

// outlay is what goes out at a price, work and what comes off the sale aside.
type outlay struct {
	paid  money.Amount // price and premium
	total money.Amount // with transport, duty, interest, storage and harm
}

func (b Bid) outlayAt(price money.Amount) outlay {
	c := b.chargesAt(price)
	paid := price.Add(c.premium)
	total := paid
	for _, cost := range []money.Amount{c.duty, c.finance, b.in.Transport, b.in.Duty.Fixed, b.storage, b.in.Harm} {
		total = total.Add(cost)
	}
	return outlay{paid: paid, total: total}
}

// afterSale returns what a sale leaves after its tax and the cost of selling.
func (b Bid) afterSale(sale, paid money.Amount) money.Amount {
	tax := b.tax.of(b.in.Tax.Regime.base(sale, paid))
	return sale.Sub(tax).Sub(b.in.Selling.of(sale))
}

// workFor returns the dearest work, its finance included in the reckoning, that leaves the wanted profit out of what is
// left before it. Where even no work does, the result is negative.
func (b Bid) workFor(left, wanted money.Amount) money.Amount {
	most := left.Sub(wanted)
	if most.Sign() < 0 {
		return most
	}
	work := must(most.MulRatio(b.onWork.den, b.onWork.den+b.onWork.num, money.Down)).Minor()
	fits := func(work int64) bool {
		w := money.FromMinor(work, b.currency)
		return w.Add(b.onWork.of(w)).Cmp(most) <= 0
	}
	for work > 0 && !fits(work) {
		work--
	}
	for fits(work + 1) {
		work++
	}
	return money.FromMinor(work, b.currency)
}

// Doubt returns what the work may come to: each line from its three points as they are when it is needed, all lines
// independent but for whether they are needed. That a world decides, for all lines at once, where the estimate has
// worlds; else each line is needed with its chance, whatever the others are. It returns an error only for an estimate
// that [EstimateScope] or [EstimateWorlds] did not make.
func (e Estimate) Doubt() (odds.Distribution, error) {
	var parts []odds.Part
	var lines []odds.Distribution
	for _, line := range e.Lines {
		for _, piece := range line.pieces() {
			whole, err := line.whole(piece, e.Currency)
			if err != nil {
				return odds.Distribution{}, err
			}
			needed, err := odds.PERT(whole.Low, whole.Likely, whole.High)
			if err != nil {
				return odds.Distribution{}, &ValueError{Where: line.Ref, What: "three points", Err: err}
			}
			if in := piece[0].in; in != nil {
				parts = append(parts, odds.Part{Of: needed, In: in})
				continue
			}
			maybe, err := odds.Mixture(
				odds.Weighted{Weight: line.Chance, Of: needed},
				odds.Weighted{Weight: decimal.NewFromInt(1).Sub(line.Chance), Of: odds.Certain(money.Zero(e.Currency))},
			)
			if err != nil {
				return odds.Distribution{}, &ValueError{Where: line.Ref, What: "chance", Err: err}
			}
			lines = append(lines, maybe)
		}
	}
	if len(parts) > 0 {
		worlds, err := odds.Worlds(e.Currency, e.weights, parts)
		if err != nil {
			return odds.Distribution{}, &ValueError{Where: "estimate", What: "worlds", Err: err}
		}
		lines = append(lines, worlds)
	}
	return odds.Sum(e.Currency, lines...)
}

// pieces are the steps of a line by the worlds that have them.
func (l CostedLine) pieces() [][]Step {
	var list [][]Step
	for _, s := range l.Steps {
		i := slices.IndexFunc(list, func(p []Step) bool { return slices.Equal(p[0].in, s.in) })
		if i < 0 {
			list = append(list, []Step{s})
			continue
		}
		list[i] = append(list[i], s)
	}
	return list
}

// whole returns what steps of a line cost when they are needed, whatever the chance.
func (l CostedLine) whole(steps []Step, c money.Currency) (Range, error) {
	total := ZeroRange(c)
	for _, s := range steps {
		for _, point := range []struct {
			sum *money.Amount
			add Product
		}{{&total.Low, s.Low}, {&total.Likely, s.Likely}, {&total.High, s.High}} {
			amount, err := money.Round(point.add.Quantity.Mul(point.add.Rate), c, money.HalfUp)
			if err != nil {
				return Range{}, &ValueError{Where: l.Ref, What: s.Kind.String() + " " + s.Ref, Err: err}
			}
			*point.sum = point.sum.Add(amount)
		}
	}
	return total, nil
}

// HoursAt returns how many hours the scope may take in all for its likely cost to come to an amount: the likely hours,
// and what is left over at the average cost of one of them, to a hundredth, rounded down. It is false where no hours are
// in the estimate, and nothing where even without hours it costs more.
func (e Estimate) HoursAt(work money.Amount) (decimal.Decimal, bool) {
	hourly := e.Costs.Labour.Likely.Add(e.Costs.Overhead.Likely)
	if hourly.Sign() <= 0 || !e.Hours.Likely.IsPositive() {
		return decimal.Zero, false
	}
	over := work.Sub(e.Costs.Total.Likely).Decimal()
	hours := e.Hours.Likely.Add(over.Mul(e.Hours.Likely).DivRound(hourly.Decimal(), 6))
	return decimal.Max(hours, decimal.Zero).RoundFloor(2), true
}
