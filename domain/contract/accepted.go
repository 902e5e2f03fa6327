package contract

import (
	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// AcceptedKind says by what a client agreed to a price.
type AcceptedKind string

// The kinds of what a client accepts.
const (
	ByQuotation AcceptedKind = "quotation"
	ByVariation AcceptedKind = "variation" // a proposal; with a spending limit also without asking
)

// Accepted is a part of the price that a client agreed to. A variation that makes the work
// cheaper is negative.
type Accepted struct {
	Kind AcceptedKind
	ID   uuid.UUID // of the quotation or the proposal
	On   domain.Date
	Net  money.Amount // without tax
	Tax  money.Amount
}

// Total returns what the client pays for it, tax included.
func (a Accepted) Total() money.Amount { return a.Net.Add(a.Tax) }

// Variation returns what a client accepted by a variation, whose price has the tax in it. It is
// taxed as the work is that it changes.
func Variation(
	id uuid.UUID, on domain.Date, price money.Amount, rate decimal.Decimal,
) (Accepted, error) {
	tax, err := money.Round(
		price.Decimal().Mul(rate).DivRound(domain.One.Add(rate), decimalPlaces), price.Currency(),
		money.HalfUp,
	)
	if err != nil {
		return Accepted{}, err
	}
	return Accepted{Kind: ByVariation, ID: id, On: on, Net: price.Sub(tax), Tax: tax}, nil
}

// decimalPlaces is how many decimals a quotient is computed with before it is rounded to an amount.
const decimalPlaces = 20

// PriceOn returns the net price that was accepted by the end of a day.
func PriceOn(list []Accepted, day domain.Date, c money.Currency) money.Amount {
	sum := money.Zero(c)
	for _, a := range list {
		if a.On.Compare(day) <= 0 {
			sum = sum.Add(a.Net)
		}
	}
	return sum
}

// sums returns all that was accepted, without tax and with it.
func sums(list []Accepted, c money.Currency) (net, total money.Amount) {
	net, total = money.Zero(c), money.Zero(c)
	for _, a := range list {
		net, total = net.Add(a.Net), total.Add(a.Total())
	}
	return net, total
}
