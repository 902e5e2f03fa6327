package bid

import (
	"context"
	"fmt"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Warning is what a step of a negotiation that binds us above the price to aim for leads to, or
// that it is above what is asked. The step is taken all the same.
type Warning struct {
	Text string
	// Amount is the price of the step, and AboveAim how far it is above the price to aim for; nil
	// where there is no such price.
	Amount   money.Amount
	AboveAim *money.Amount
	// Profit is what the price leaves on average, Wanted what is wanted, and ChanceOfLoss the
	// probability of a loss. All three are nil for a bid of an older model, whose figures are too
	// narrow.
	Profit, Wanted *money.Amount
	ChanceOfLoss   *decimal.Decimal
}

// Warn returns what to warn of; nil where the step doesn't bind us or is within both the price to
// aim for and the price asked, and for one that [CheckOffer] refuses for its amount, its depth or a
// stop. The bid's own way is worked out anew with the price of the step.
func (o Offer) Warn(
	ctx context.Context, in Inputs, r Result, c *catalogue.Catalogue, zone *time.Location,
) (*Warning, error) {
	currency, err := in.currency()
	if err != nil {
		return nil, err
	}
	f := moneyFaults{currency: currency}
	w, ok := o.way(r)
	if !ok || !o.Kind.binds() || w.Outcome == Stopped || o.Amount == nil ||
		!f.checkAmount("#/amount", *o.Amount) {
		return nil, nil //nolint:nilnil // nothing to warn of
	}
	amount, err := in.amount(*o.Amount)
	if err != nil {
		return nil, err
	}
	aim := w.aim()
	if aim != nil && amount.Cmp(*aim) <= 0 {
		return in.aboveAsk(amount)
	}
	x := &Warning{Amount: amount}
	if aim != nil {
		above := amount.Sub(*aim)
		x.AboveAim = &above
	}
	if !OfOlderModel(in.Engine) {
		p, err := in.prospectAt(ctx, w, *o.Amount, c, zone)
		if err != nil {
			return nil, err
		}
		x.Profit, x.Wanted = &p.Profit, &w.Advice.TargetProfit
		x.ChanceOfLoss = &p.ChanceOfLoss
	}
	x.Text = x.says()
	return x, nil
}

// aboveAsk returns a warning where a price within the one to aim for is above what the seller asks.
func (in Inputs) aboveAsk(amount money.Amount) (*Warning, error) {
	if in.Asked.SellerAsks == nil || in.Asked.Sealed {
		return nil, nil //nolint:nilnil // nothing is asked, or it is an estimate only
	}
	asked, err := in.amount(*in.Asked.SellerAsks)
	if err != nil || amount.Cmp(asked) <= 0 {
		return nil, err
	}
	return &Warning{Amount: amount, Text: fmt.Sprintf(
		"%s is %s above the %s that the seller asks.", amount, amount.Sub(asked).Text(), asked.Text(),
	)}, nil
}

// aim returns the price to aim for; nil where there is none.
func (w WayResult) aim() *money.Amount {
	switch {
	case w.Negotiation == nil && w.Advice != nil && w.Advice.Target != nil:
		return &w.Advice.Target.Price
	case w.Negotiation != nil && w.Negotiation.Aim != nil:
		return &w.Negotiation.Aim.Price
	}
	return nil
}

// prospectAt returns what a price leads to at a way: that of the seller, if the bid was asked for
// it, or else the bid of that way alone with the price in its place.
func (in Inputs) prospectAt(
	ctx context.Context, w WayResult, price decimal.Decimal, c *catalogue.Catalogue,
	zone *time.Location,
) (*pricing.Prospect, error) {
	asked := in.Asked.SellerAsks
	if asked != nil && asked.Equal(price) && w.Negotiation.Asked != nil {
		return w.Negotiation.Asked, nil
	}
	in.Asked.SellerAsks = &price
	for _, way := range in.Asked.Ways {
		if way.Depth == w.Depth {
			in.Asked.Ways = []Way{way}
			break
		}
	}
	r, err := Compute(ctx, in, c, zone)
	if err != nil {
		return nil, err
	}
	if n := r.Ways[0].Negotiation; n != nil && n.Asked != nil {
		return n.Asked, nil
	}
	return nil, domain.Refuse(domain.Invalid, "the bid can't be worked out at %s", price)
}

// says words the warning.
func (x Warning) says() string {
	var b strings.Builder
	if x.AboveAim != nil {
		fmt.Fprintf(&b, "%s is %s above the price to aim for", x.Amount, x.AboveAim.Text())
	} else {
		fmt.Fprintf(&b, "%s is offered where the bid names no price to aim for", x.Amount)
	}
	if x.Profit == nil {
		return b.String() + "."
	}
	fmt.Fprintf(&b, ": on average it leaves a profit of %s, where %s is wanted, and in %s of cases a loss.",
		x.Profit.Text(), x.Wanted.Text(), domain.Percent(pricing.ReportedChance(*x.ChanceOfLoss)))
	return b.String()
}
