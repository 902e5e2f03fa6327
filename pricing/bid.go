package pricing

import (
	"errors"
	"fmt"

	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// BidLimit is the largest amount, in minor units, that a bid accepts: a hundredth of
// [money.Limit], so that twenty years of interest on twice of it still is an amount.
const BidLimit = money.Limit / 100

// maxDays is the longest time between purchase and sale: ten years of work and ten on the floor.
const maxDays = 7310

// Portion is a share of some base and a fixed amount on top; either may be left out.
type Portion struct {
	Share decimal.Decimal
	Fixed money.Amount
}

// PremiumBand is the buyer's premium on the part of the price at and above From, up to the next
// band.
type PremiumBand struct {
	From  money.Amount
	Share decimal.Decimal
}

// BidStep is the bidding step for prices at and above From, up to the next one.
type BidStep struct {
	From, Step money.Amount
}

// Holding is what time costs between paying for the instrument and selling it. It is a decision
// cost: none of it is part of the cost of stock (IAS 2.16, IAS 23).
type Holding struct {
	// AnnualRate is the cost of capital a year, as a share: 0.08. It runs on price and premium for
	// all days, simple, days over 365.
	AnnualRate decimal.Decimal
	// WorkDays is from payment to the finished instrument, FloorDays from there to the expected
	// sale; together 0 to 7310.
	WorkDays, FloorDays int
	// WorkShare is how much of the work counts as capital tied up during WorkDays. Work is paid for
	// as it is done, so a half is the usual stand-in; the choice is the workshop's, and left out it
	// is none. On the floor all of it is out.
	WorkShare decimal.Decimal
	// PerDay is storage and showroom room for each of StoredDays: those on the floor where the
	// overhead rate pays for the premises while hours are worked, all of them where it doesn't.
	PerDay     money.Amount
	StoredDays int
	// PaidAtSale says that the price is not paid before the sale, as to the owner of a consigned
	// instrument: no capital is tied up in it.
	PaidAtSale bool
}

// Days is from payment to the expected sale.
func (h Holding) Days() int { return h.WorkDays + h.FloorDays }

// BidInput is what a price is worked out from. All amounts are in the currency of Sale, net of
// recoverable tax except Sale itself; amounts and shares left out are nothing.
type BidInput struct {
	// Sale is the expected price to the buyer, tax included, and Work the expected cost of the work.
	Sale, Work money.Amount
	// Doubt is how both may come out otherwise; nil where they are known. With it the sale is its
	// mean, and so is the work where the instrument may prove unfit.
	Doubt *Doubt
	// SaleBasis says how Sale came about, for the line of the sums; it may be empty.
	SaleBasis string
	// Target is the wanted profit: a share of Sale, a fixed amount, or both added.
	Target Portion
	// Tax is how the sale is taxed.
	Tax TaxRule
	// Premium is the buyer's premium on the price, by bands; none means no premium.
	Premium []PremiumBand
	// Transport is inbound carriage.
	Transport money.Amount
	// Duty is irrecoverable import duty: a share of the price, a fixed amount, or both.
	Duty Portion
	// Selling is the cost of the sale: a share of Sale (commission, card fees) and a fixed amount
	// (delivery, tuning after the sale, warranty).
	Selling Portion
	// Holding is the cost of the time until the sale.
	Holding Holding
	// Harm is what taking this instrument on costs the jobs that are promised already.
	Harm money.Amount
	// Steps are the bidding steps; none means every minor unit.
	Steps []BidStep
}

// Bid is a checked input, ready to be asked for profits and prices. It is made by [NewBid]; its
// methods cannot fail on anything but their arguments, and it may be shared between goroutines.
type Bid struct {
	in       BidInput
	currency money.Currency

	wanted, selling, workFinance, storage money.Amount
	sale                                  odds.Distribution // whatever the wear
	unfit                                 *decimal.Decimal  // nil where that was ruled out
	// fixed is what is left of the sale after all that the price does not change, tax aside.
	fixed money.Amount
	// tax, duty and finance are the shares of sale or margin, of the price, and of price and
	// premium; onWork is that of the work.
	tax, duty, finance, onWork ratio
	premium                    []band
	steps                      []stride
}

// band is a premium band in minor units.
type band struct {
	from  int64
	share ratio
}

// stride is a bidding step in minor units.
type stride struct {
	from, step int64
}

// NewBid checks the input and works out all that does not depend on the price. All faults come
// back together, joined: [*BoundError], [*OrderError], [*NegativeError], [*CurrencyError],
// [*ValueError].
func NewBid(in BidInput) (Bid, error) {
	c := in.Sale.Currency()
	for _, a := range []*money.Amount{
		&in.Target.Fixed, &in.Transport, &in.Duty.Fixed, &in.Selling.Fixed, &in.Work, &in.Holding.PerDay,
		&in.Harm,
	} {
		*a = orZero(*a, c)
	}
	if err := in.check(); err != nil {
		return Bid{}, err
	}
	known := in.Doubt == nil
	if known {
		in.Doubt = &Doubt{
			Sale: odds.Untied(odds.Certain(in.Sale)), Work: odds.Untied(odds.Certain(in.Work)),
		}
	}
	sale := in.Doubt.pair().OverallX()
	if !known {
		in.Sale = sale.ExpectedExcess(money.Zero(c))
		if in.Doubt.Unfit != nil {
			in.Work = in.Doubt.pair().OverallY().Mean()
		}
	}
	b := Bid{
		in:       in,
		currency: c,
		wanted:   in.Target.of(in.Sale),
		sale:     sale,
		selling:  in.Selling.of(in.Sale),
		tax:      in.Tax.within(),
		duty:     shareRatio(in.Duty.Share),
		finance:  in.Holding.interest(int64(in.Holding.Days()), 1),
		onWork:   in.Holding.interest(in.Holding.workOut(), 1_000_000),
	}
	if in.Doubt.Unfit != nil {
		unfit := in.Doubt.Unfit.Overall()
		b.unfit = &unfit
	}
	if in.Holding.PaidAtSale {
		b.finance = ratio{num: 0, den: 1}
	}
	b.workFinance = b.onWork.of(in.Work)
	storage, err := in.Holding.PerDay.MulRatio(int64(in.Holding.StoredDays), 1, money.HalfUp)
	if err != nil {
		return Bid{}, &ValueError{Where: "holding", What: "per day", Err: err}
	}
	b.storage = storage
	b.fixed = in.Sale
	for _, cost := range []money.Amount{
		b.selling, in.Transport, in.Duty.Fixed, in.Work, b.workFinance, b.storage, in.Harm,
	} {
		b.fixed = b.fixed.Sub(cost)
	}
	for _, p := range in.Premium {
		b.premium = append(b.premium, band{from: p.From.Minor(), share: shareRatio(p.Share)})
	}
	b.steps = in.strides()
	return b, nil
}

// strides returns the bidding steps; without any, every price can be bid.
func (in BidInput) strides() []stride {
	if len(in.Steps) == 0 {
		return []stride{{from: 0, step: 1}}
	}
	list := make([]stride, len(in.Steps))
	for i, s := range in.Steps {
		list[i] = stride{from: s.From.Minor(), step: s.Step.Minor()}
	}
	return list
}

// of returns the portion of a base: the share rounded once, half up, and the fixed amount.
func (p Portion) of(base money.Amount) money.Amount {
	return shareRatio(p.Share).of(base).Add(p.Fixed)
}

// interest returns the simple interest on a capital that is out for a number of parts of a day.
func (h Holding) interest(parts, ofDay int64) ratio {
	rate := shareRatio(h.AnnualRate)
	return ratio{num: rate.num * parts, den: rate.den * ofDay * 365}
}

// workOut returns for how many millionths of a day all of the work is out.
func (h Holding) workOut() int64 {
	share := shareRatio(h.WorkShare)
	return share.num*int64(h.WorkDays) + share.den*int64(h.FloorDays)
}

func (in BidInput) check() error {
	c := in.Sale.Currency()
	if c.IsZero() {
		return &CurrencyError{Where: "bid", What: "sale"}
	}
	faults := []error{
		checkAmount("bid", "sale", in.Sale, c),
		in.Target.check("target", c),
		in.Tax.check(),
		checkAmount("bid", "transport", in.Transport, c),
		in.Duty.check("duty", c),
		in.Selling.check("selling", c),
		checkAmount("bid", "work", in.Work, c),
		checkShare("holding", "annual rate", in.Holding.AnnualRate),
		checkShare("holding", "share of the work", in.Holding.WorkShare),
		checkAmount("holding", "per day", in.Holding.PerDay, c),
		checkAmount("bid", "harm", in.Harm, c),
	}
	for _, d := range []struct {
		what string
		days int
	}{
		{"days of work", in.Holding.WorkDays},
		{"days on the floor", in.Holding.FloorDays},
		{"days", in.Holding.Days()},
		{"days in store", in.Holding.StoredDays},
	} {
		if d.days < 0 || d.days > maxDays {
			faults = append(faults, &BoundError{
				Where: "holding", What: d.what,
				Value: fmt.Sprint(d.days), Least: "0", Most: fmt.Sprint(maxDays),
			})
		}
	}
	if in.Doubt != nil {
		faults = append(faults, in.Doubt.check(c))
	}
	froms := make([]money.Amount, 0, len(in.Premium))
	for _, p := range in.Premium {
		faults = append(faults, checkShare("premium", "share", p.Share))
		froms = append(froms, p.From)
	}
	faults = append(faults, checkFroms("premium", froms, c))
	froms = froms[:0]
	for _, s := range in.Steps {
		faults = append(faults, checkAmount("steps", "step", s.Step, c))
		if s.Step.IsZero() {
			faults = append(faults, &BoundError{
				Where: "steps", What: "step", Value: s.Step.String(),
				Least: money.FromMinor(1, c).String(), Most: money.FromMinor(BidLimit, c).String(),
			})
		}
		froms = append(froms, s.From)
	}
	return errors.Join(append(faults, checkFroms("steps", froms, c))...)
}

func (p Portion) check(where string, c money.Currency) error {
	return errors.Join(
		checkShare(where, "share", p.Share), checkAmount(where, "fixed amount", p.Fixed, c),
	)
}

// checkAmount reports an amount in another currency or none, below zero or above BidLimit.
func checkAmount(where, what string, a money.Amount, c money.Currency) error {
	switch {
	case a.Currency() != c || c.IsZero():
		return &CurrencyError{Where: where, What: what, Want: c, Got: a.Currency()}
	case a.Sign() < 0:
		return &NegativeError{Where: where, What: what, Value: a.String()}
	case a.Minor() > BidLimit:
		return &BoundError{
			Where: where, What: what, Value: a.String(), Least: money.Zero(c).String(),
			Most: money.FromMinor(BidLimit, c).String(),
		}
	}
	return nil
}

// checkFroms reports a table by price that does not start at nothing and rise from there.
func checkFroms(where string, froms []money.Amount, c money.Currency) error {
	var faults []error
	for i, from := range froms {
		switch err := checkAmount(where, "from", from, c); {
		case err != nil:
			faults = append(faults, err)
		case i == 0 && !from.IsZero():
			faults = append(
				faults,
				&BoundError{
					Where: where, What: "first from", Value: from.String(), Least: "0", Most: "0",
				},
			)
		case i > 0 && froms[i-1].Minor() >= from.Minor():
			faults = append(
				faults,
				&OrderError{
					Where: where, What: "from", First: froms[i-1].String(), Later: from.String(),
				},
			)
		}
	}
	return errors.Join(faults...)
}
