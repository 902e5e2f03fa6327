package sale

import (
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/job"
	"bentside/pricing"
	"bentside/pricing/money"
)

// Item is a line of what a bid expected, beside what came of it.
type Item string

// The items: what is earned, and what that costs. Harm is what promised jobs lose, which nobody
// books; Stock is what the instrument still stands at.
const (
	ItemSale      Item = "sale"
	ItemTax       Item = "tax"
	ItemSelling   Item = "selling"
	ItemPrice     Item = "price"
	ItemPremium   Item = "premium"
	ItemTransport Item = "transport"
	ItemDuty      Item = "duty"
	ItemWork      Item = "work"
	ItemHolding   Item = "holding"
	ItemHarm      Item = "harm"
	ItemStock     Item = "stock"
)

// Items lists every item, in the order in which they are shown.
var Items = []Item{
	ItemSale, ItemTax, ItemSelling, ItemPrice, ItemPremium, ItemTransport, ItemDuty, ItemWork,
	ItemHolding, ItemHarm, ItemStock,
}

// expectedAs says under which item a line of a bid's sums is compared.
var expectedAs = map[pricing.Item]Item{
	pricing.ItemSale: ItemSale, pricing.ItemTax: ItemTax, pricing.ItemSelling: ItemSelling,
	pricing.ItemPrice: ItemPrice, pricing.ItemPremium: ItemPremium,
	pricing.ItemTransport: ItemTransport, pricing.ItemDuty: ItemDuty, pricing.ItemWork: ItemWork,
	pricing.ItemFinance: ItemHolding, pricing.ItemWorkFinance: ItemHolding,
	pricing.ItemStorage: ItemHolding, pricing.ItemHarm: ItemHarm,
}

// Compared is an item as it was expected and as it came; costs are below zero.
type Compared struct {
	Item             Item
	Expected, Actual money.Amount
}

// Comparison is what a bid expected beside what came of it: on each side the items add up to the
// profit.
type Comparison struct {
	Items                        []Compared
	ExpectedProfit, ActualProfit money.Amount
	Minutes                      int // worked, of approved hours
	// ReadyOn is the day on which the last work ended, SoldOn that of the sale that counts; zero
	// where they haven't come.
	ReadyOn, SoldOn domain.Date
}

// Compare compares what a bid expected with what came of it, given all jobs on the instrument. The
// management view counts, as in a bid, so that finance and storage are told where they were booked.
func (f File) Compare(expected pricing.Sums, jobs []job.Job) Comparison {
	zero := money.Zero(f.Currency)
	was, is := map[Item]money.Amount{}, map[Item]money.Amount{}
	for _, i := range Items {
		was[i], is[i] = zero, zero
	}
	c := Comparison{ExpectedProfit: expected.Profit}
	for _, l := range expected.Lines {
		if i, compared := expectedAs[l.Item]; compared {
			was[i] = was[i].Add(l.Amount)
		}
	}
	for _, t := range f.Costs {
		if !f.ours(t) {
			continue
		}
		i := itemOf(t.Total)
		is[i] = is[i].Sub(t.Amount)
		if t.Kind == cost.Overhead { // each entry of hours has one line of it
			c.Minutes += t.Minutes
		}
	}
	a := f.Account()
	is[ItemSale] = a.NetSales.Add(a.Forfeited).Add(a.Borne).Add(a.Tax)
	is[ItemTax] = a.Tax.Neg()
	is[ItemStock] = a.Carrying
	for _, i := range Items {
		c.Items = append(c.Items, Compared{i, was[i], is[i]})
	}
	c.ActualProfit = a.Result
	c.ReadyOn = f.lastEnd(jobs)
	if x := Current(f.Sales); x != nil {
		c.SoldOn = x.On
	}
	return c
}

// lastEnd returns the day on which the last job of ours ended; zero while one is open or where
// there was none.
func (f File) lastEnd(jobs []job.Job) (day domain.Date) {
	for _, j := range jobs {
		switch {
		case f.Theirs[j.ID]:
		case j.State != job.Closed:
			return domain.Date{}
		case day.IsZero() || j.ClosedOn.Compare(day) > 0:
			day = j.ClosedOn
		}
	}
	return day
}

// itemOf returns under which item a cost is compared.
func itemOf(t cost.Total) Item {
	switch {
	case cost.IsSelling(t.Purpose):
		return ItemSelling
	case t.Purpose == cost.Finance || t.Purpose == cost.Storage:
		return ItemHolding
	}
	switch t.Kind { //nolint:exhaustive // all other kinds are work
	case cost.PurchasePrice:
		return ItemPrice
	case cost.BuyersPremium:
		return ItemPremium
	case cost.TransportIn:
		return ItemTransport
	case cost.Duty:
		return ItemDuty
	}
	return ItemWork
}
