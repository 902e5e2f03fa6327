package pricing

import (
	"fmt"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Item is what a line of the sums stands for.
type Item uint8

// The lines of the sums, in their order: the sale, all that comes off it, and the profit that is
// left.
const (
	ItemSale Item = iota + 1
	ItemTax
	ItemSelling
	ItemPrice
	ItemPremium
	ItemTransport
	ItemDuty
	ItemWork
	// ItemFinance is the cost of the capital in price and premium until the sale.
	ItemFinance
	// ItemWorkFinance is the cost of the capital in the work, as far as the input counts it.
	ItemWorkFinance
	// ItemStorage is room for the days until the sale.
	ItemStorage
	// ItemHarm is what the jobs promised already lose.
	ItemHarm
	ItemProfit
)

var itemNames = [...]string{
	ItemSale: "sale", ItemTax: "tax", ItemSelling: "selling", ItemPrice: "price",
	ItemPremium:   "premium",
	ItemTransport: "transport", ItemDuty: "duty", ItemWork: "work", ItemFinance: "finance",
	ItemWorkFinance: "finance of work", ItemStorage: "storage", ItemHarm: "harm to promised jobs",
	ItemProfit: "profit",
}

// String names the line.
func (i Item) String() string {
	if i == 0 || int(i) >= len(itemNames) {
		return fmt.Sprintf("Item(%d)", uint8(i))
	}
	return itemNames[i]
}

// SumLine is one line of the sums. Costs are negative, so that all lines before the profit add up
// to it.
type SumLine struct {
	Item   Item
	Amount money.Amount
	// Basis shows how the amount came about, "0.03 × 9600.00 GBP"; empty when it was given.
	Basis string
}

// Sums is a price followed through to its profit: what is expected of the sale, the tax in it and
// the work, and so the expected profit.
type Sums struct {
	Price money.Amount
	// Lines holds every [Item] once, in order, nothing left out: what does not apply is zero.
	Lines  []SumLine
	Profit money.Amount
	// Tax is the tax in the sale, with its note.
	Tax Tax
}

// charges is what depends on the price, in money.
type charges struct {
	premium, duty, finance, tax money.Amount
}

// ProfitAt follows a price through to its profit: the inverse of asking for the price at a profit.
// The price is what is bid, premium not included, and need not be on a bidding step. It returns
// [*CurrencyError], [*NegativeError] or [*BoundError] for a price that isn't acceptable.
func (b Bid) ProfitAt(price money.Amount) (Sums, error) {
	if err := checkAmount("bid", "price", price, b.currency); err != nil {
		return Sums{}, err
	}
	return b.sums(price), nil
}

// sums returns ProfitAt for a checked price.
func (b Bid) sums(price money.Amount) Sums {
	var (
		c      = b.chargesAt(price)
		in     = b.in
		paid   = price.Add(c.premium)
		tax    = in.Tax.on(b.taxBase(paid))
		days   = fmt.Sprintf("%d/365", in.Holding.Days())
		profit = b.profit(price)
	)
	return Sums{Price: price, Profit: profit, Tax: tax, Lines: []SumLine{
		{ItemSale, in.Sale, b.saleBasis()},
		{ItemTax, c.tax.Neg(), b.taxBasis(tax)},
		{ItemSelling, b.selling.Neg(), in.Selling.basis(in.Sale)},
		{ItemPrice, price.Neg(), ""},
		{ItemPremium, c.premium.Neg(), b.premiumBasis(price)},
		{ItemTransport, in.Transport.Neg(), ""},
		{ItemDuty, c.duty.Add(in.Duty.Fixed).Neg(), in.Duty.basis(price)},
		{ItemWork, in.Work.Neg(), b.weighed(in.Work, money.Zero(b.currency))},
		{ItemFinance, c.finance.Neg(), in.Holding.basis(paid, days)},
		{
			ItemWorkFinance, b.workFinance.Neg(),
			in.Holding.workBasis(in.Work),
		},
		{
			ItemStorage, b.storage.Neg(),
			product(in.Holding.PerDay, fmt.Sprintf("%d days", in.Holding.StoredDays)),
		},
		{ItemHarm, in.Harm.Neg(), ""},
		{ItemProfit, profit, ""},
	}}
}

// chargesAt returns what depends on the price, each rounded once.
func (b Bid) chargesAt(price money.Amount) charges {
	premium := b.premiumAt(price)
	paid := price.Add(premium)
	return charges{
		premium: premium,
		duty:    b.duty.of(price),
		finance: b.finance.of(paid),
		tax:     b.tax.of(b.taxBase(paid)),
	}
}

// taxBase returns what the tax is expected to be contained in. Under a margin scheme that is more
// than the expected sale less what was paid, since a loss gives no credit.
func (b Bid) taxBase(paid money.Amount) money.Amount {
	if b.in.Tax.Regime == MarginScheme {
		return b.sale.ExpectedExcess(paid)
	}
	return b.in.Tax.Regime.base(b.in.Sale, paid)
}

// premiumAt returns the buyer's premium on a price: each band's part of the price at its share,
// rounded once a band.
func (b Bid) premiumAt(price money.Amount) money.Amount {
	premium := money.Zero(b.currency)
	for i, band := range b.premium {
		within := price.Minor()
		if i+1 < len(b.premium) {
			within = min(within, b.premium[i+1].from)
		}
		if within > band.from {
			premium = premium.Add(band.share.of(money.FromMinor(within-band.from, b.currency)))
		}
	}
	return premium
}

// profit returns what is left at a price. It never rises with the price: one more minor unit of
// price and premium lowers the expected margin by one at most and the rounded tax by one at most,
// because the share of tax is below one, and no other charge falls.
func (b Bid) profit(price money.Amount) money.Amount {
	c := b.chargesAt(price)
	return b.fixed.Sub(price).Sub(c.premium).Sub(c.duty).Sub(c.finance).Sub(c.tax)
}

func (p Portion) basis(base money.Amount) string {
	switch {
	case p.Share.IsZero():
		return ""
	case p.Fixed.IsZero():
		return product(base, p.Share.String())
	}
	return product(base, p.Share.String()) + " + " + p.Fixed.String()
}

func (h Holding) basis(paid money.Amount, days string) string {
	if h.PaidAtSale {
		return "paid at the sale"
	}
	return product(paid, h.AnnualRate.String(), days)
}

// workBasis writes the interest on the work out: its share of the days of work and all of the days
// on the floor.
func (h Holding) workBasis(work money.Amount) string {
	days := fmt.Sprintf("%d/365", h.FloorDays)
	if h.WorkDays > 0 && !h.WorkShare.IsZero() {
		days = fmt.Sprintf("(%s × %d + %d)/365", h.WorkShare, h.WorkDays, h.FloorDays)
	}
	return product(work, h.AnnualRate.String(), days)
}

func (b Bid) saleBasis() string {
	weighed := b.weighed(b.in.Sale, b.in.Doubt.Salvage)
	if weighed == "" || b.in.SaleBasis == "" {
		return b.in.SaleBasis + weighed
	}
	return b.in.SaleBasis + "; " + weighed
}

// weighed writes out how an amount is weighed by the instrument's proving unfit or not; empty where
// it can't. What it comes to where it is fit is the average that leaves the amount.
func (b Bid) weighed(amount, unfit money.Amount) string {
	if b.unfit == nil {
		return ""
	}
	fit := decimal.NewFromInt(1).Sub(*b.unfit)
	if !fit.IsPositive() {
		return unfit.String() + ", since it is unfit"
	}
	average := amount.Decimal().Sub(b.unfit.Mul(unfit.Decimal())).
		DivRound(fit, b.currency.Decimals()).StringFixed(b.currency.Decimals())
	return fmt.Sprintf("%s × %s %s, and %s × %s if it proves unfit",
		fit, average, b.currency.Code(), b.unfit, unfit)
}

func (b Bid) premiumBasis(price money.Amount) string {
	switch len(b.in.Premium) {
	case 0:
		return ""
	case 1:
		return product(price, b.in.Premium[0].Share.String())
	}
	return "by bands on " + price.String()
}

func (b Bid) taxBasis(tax Tax) string {
	if tax.Regime == NoTax {
		return tax.Regime.String()
	}
	rate := tax.Rate.String()
	return fmt.Sprintf(
		"%v: %v × %s/%v", tax.Regime, tax.Base, rate, tax.Rate.Add(decimal.NewFromInt(1)),
	)
}

// product writes factors of an amount, nothing when the amount is nothing.
func product(a money.Amount, factors ...string) string {
	if a.IsZero() {
		return ""
	}
	text := a.String()
	for _, factor := range factors {
		text += " × " + factor
	}
	return text
}
