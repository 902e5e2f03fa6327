package pricing

import (
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Doubt is what a bid does not know: what the instrument will sell for, tax included, and what the
// work will cost, as both go along with the wear of the instrument. A sale below nothing counts as
// nothing.
type Doubt struct {
	Sale, Work odds.Tied
	// Unfit is, for each stratum of the wear, the probability that the instrument proves not worth
	// working on at all; nil where that was ruled out. It then takes no work and brings Salvage, what
	// is paid for it as it stands, less what getting rid of it costs.
	Unfit   *odds.ByWear
	Salvage money.Amount
}

// pair returns sale and work as package odds compares them.
func (d Doubt) pair() odds.Pair {
	return odds.Pair{
		X: d.Sale, Y: d.Work, Otherwise: d.Unfit, ThenX: d.Salvage,
		ThenY: money.Zero(d.Work.Currency()),
	}
}

func (d Doubt) check(c money.Currency) error {
	if d.Unfit != nil {
		if err := checkAmount("doubt", "salvage", d.Salvage, c); err != nil {
			return err
		}
	}
	if got := d.Sale.Currency(); got != c {
		return &CurrencyError{Where: "doubt", What: "sale", Want: c, Got: got}
	}
	if got := d.Work.Currency(); got != c {
		return &CurrencyError{Where: "doubt", What: "work", Want: c, Got: got}
	}
	return nil
}

// ChanceBelow returns the probability that a price leaves less than the wanted profit, to
// [odds.ChancePlaces] decimals; with nothing wanted it is the probability of a loss. Each pair of
// sale and work is followed through sums that are rounded as those of [Bid.ProfitAt]. It never
// falls as the price rises. It returns the errors of ProfitAt.
func (b Bid) ChanceBelow(price, wanted money.Amount) (decimal.Decimal, error) {
	if err := checkAmount("bid", "price", price, b.currency); err != nil {
		return decimal.Zero, err
	}
	return b.chanceBelow(price, wanted), nil
}

func (b Bid) chanceBelow(price, wanted money.Amount) decimal.Decimal {
	nothing := money.Zero(b.currency)
	outlay := b.outlayAt(price)
	return b.in.Doubt.pair().Beyond(func(sale money.Amount) money.Amount {
		if sale.Sign() < 0 {
			sale = nothing
		}
		return b.workFor(b.afterSale(sale, outlay.paid).Sub(outlay.total), wanted)
	})
}

// LastWithin returns the largest price on a bidding step at which the probability of leaving less
// than the wanted profit is within a limit, and false if even a price of zero exceeds the limit. At
// the next step it is above the limit. The limit is a probability from 0 up to but not including 1;
// another gives [*BoundError].
func (b Bid) LastWithin(limit decimal.Decimal, wanted money.Amount) (money.Amount, bool, error) {
	if limit.IsNegative() || limit.Cmp(decimal.NewFromInt(1)) >= 0 {
		return money.Amount{}, false, &BoundError{
			Where: "price", What: "limit", Value: limit.String(), Least: "0", Most: "below 1",
		}
	}
	price, found := b.lastStep(func(price money.Amount) bool {
		return b.chanceBelow(price, wanted).Cmp(limit) <= 0
	})
	return price, found, nil
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
	for _, cost := range []money.Amount{
		c.duty, c.finance, b.in.Transport, b.in.Duty.Fixed, b.storage, b.in.Harm,
	} {
		total = total.Add(cost)
	}
	return outlay{paid: paid, total: total}
}

// afterSale returns what a known sale leaves after its tax and the cost of selling.
func (b Bid) afterSale(sale, paid money.Amount) money.Amount {
	tax := b.tax.of(b.in.Tax.Regime.base(sale, paid))
	return sale.Sub(tax).Sub(b.in.Selling.of(sale))
}

// workFor returns the highest cost of work, finance included, that still leaves the wanted profit
// out of what is left before it. Where even no work does, the result is negative.
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
	for fits(work + 1) { // its interest may have been rounded down
		work++
	}
	return money.FromMinor(work, b.currency)
}
