package demo

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// hammered is the task that the hammers are for.
const hammered catalogue.Code = "AC-06"

// part adds a part to stock.
func (l *living) part(p stock.Part) (uuid.UUID, error) {
	made, err := l.AddPart(l, l.actor, p)
	return made.Value.ID, err
}

// orderHammers orders a set for the job, and takes in what else is needed of stock.
func (l *living) orderHammers() error {
	maker, err := l.AddParty(l, l.actor, domain.Party{Name: "Brandl hammers"})
	if err != nil {
		return err
	}
	class, err := l.AddPartClass(l, l.actor, stock.Class{Name: "action parts", Method: valuation.FIFO})
	if err != nil {
		return err
	}
	one := decimal.NewFromInt(1)
	set, err := l.part(stock.Part{
		Code: "H-88", Name: "hammers", Class: class.Value.ID, Unit: "piece", Supplier: maker.Value.ID,
		Serves: []stock.Served{{
			Operation: hammered, Material: "hammers to sample, bored and tailed", Units: one,
		}},
	})
	if err != nil {
		return err
	}
	if l.sundries, err = l.part(stock.Part{
		Code: "S-1", Name: "felts, cloths and pins", Class: class.Value.ID, Unit: "set",
	}); err != nil {
		return err
	}
	sets, worth := decimal.NewFromInt(8), l.euros("256.00")
	if _, err := l.MoveStock(l, l.actor, stock.Draft{
		Part: l.sundries, Kind: stock.Receipt, Quantity: &sets, Value: &worth,
	}); err != nil {
		return err
	}
	o, err := l.PlaceOrder(l, l.actor, supply.Order{
		Supplier: maker.Value.ID, Terms: supply.Terms{Currency: worth.Currency(), Rate: one},
		OrderedOn: l.clock.today(), Expected: l.clock.today().AddDays(14), Reference: "H 204",
		Lines: []supply.Line{{
			Part: set, Quantity: decimal.NewFromInt(88), Price: l.euros("528.00"), Job: l.job.ID,
			Operation: hammered,
		}},
	})
	if err != nil {
		return err
	}
	l.order, l.waiting = o.Value, true
	l.tell("hammers ordered to sample")
	return l.tellDate()
}

// goOn goes on until the maker says that the hammers come later, and with what doesn't wait then.
// From April on wages are higher.
func (l *living) goOn() error {
	l.clock.turn(l.order.OrderedOn.AddDays(7))
	late, err := l.ExpectOrder(l, l.actor, supply.NewDay{
		Order: l.order.ID, Expected: l.order.Expected.AddDays(28), Reason: "no felt to be had",
	})
	if err != nil {
		return err
	}
	l.order = late.Value
	l.tell("the hammers come later: no felt to be had")
	if err := l.tellDate(); err != nil {
		return err
	}
	rates := cost.FromSettings(workshop().Terms)
	rates.From = domain.Date{Year: 2026, Month: time.April, Day: 1}
	for skill, rate := range rates.BySkill {
		rates.BySkill[skill] = rate.Mul(dec("1.04"))
	}
	rates.Labour = rates.Labour.Mul(dec("1.04")).Round(4)
	if _, err := l.SetRates(l, l.actor, rates); err != nil {
		return err
	}
	return l.workUntil("")
}

// receiveHammers takes the hammers in and enters the bill, which has freight on it.
func (l *living) receiveHammers() error {
	l.clock.turn(l.order.Expected)
	d, err := l.Deliver(l, l.actor, supply.Delivery{
		Order: l.order.ID, Reference: "L 9", Lines: []supply.Arrival{{
			Line: 1, Quantity: decimal.NewFromInt(88),
		}},
	})
	if err != nil {
		return err
	}
	quantity := decimal.NewFromInt(88)
	if _, err := l.EnterBill(l, l.actor, supply.Bill{
		Supplier: l.order.Supplier, Reference: "R 77", On: l.clock.today(), Terms: l.order.Terms,
		Lines: []supply.BillLine{{
			Kind: supply.Goods, Receipt: d.Lines[0].Receipt, Quantity: &quantity,
			Amount: l.euros("545.60"),
		}},
		Shared: []supply.Shared{{
			Kind: supply.Freight, By: supply.ByValue, Amount: l.euros("18.00"),
		}},
		Tax: money.Zero(l.order.Currency), Total: l.euros("563.60"),
	}); err != nil {
		return err
	}
	l.waiting = false
	l.tell("the hammers are there; billed 545.60 and 18.00 of freight, ordered at 528.00")
	return l.tellDate()
}
