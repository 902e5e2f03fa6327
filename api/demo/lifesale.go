package demo

import (
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/sale"
)

// sell offers the piano, sells it a fortnight later and hands it over, and counts what it cost.
func (l *living) sell() error {
	asked, got, deposit := l.euros("9900.00"), l.euros("9650.00"), l.euros("500.00")
	i := l.job.Instrument
	if _, err := l.AskForInstrument(l, l.actor, sale.ShowroomPrice{
		Instrument: i, Price: &asked,
	}); err != nil {
		return err
	}
	l.tell("offered for %s", asked.Text())
	l.clock.turn(l.clock.today().AddDays(14))
	buyer, err := l.AddParty(l, l.actor, domain.Party{Name: "Rosa Lindqvist"})
	if err != nil {
		return err
	}
	if _, err := l.TakeDeposit(l, l.actor, sale.DepositMove{
		Instrument: i, Buyer: buyer.Value.ID, Amount: deposit,
	}); err != nil {
		return err
	}
	x, err := l.SellInstrument(l, l.actor, sale.Sale{
		Instrument: i, Buyer: buyer.Value.ID, Price: got, Regime: domain.MarginTax,
	})
	if err != nil {
		return err
	}
	l.tell("sold for %s, of which %s were left before; tax on the margin %s", got.Text(),
		deposit.Text(), x.Tax.Text())
	l.clock.turn(l.clock.today().AddDays(7))
	if _, err := l.HandOver(l, l.actor, x.Sale.ID, sale.HandOver{}); err != nil {
		return err
	}
	van := cost.Document{
		Instrument: i, Purpose: cost.Delivery, Amount: l.euros("140.00"), Note: "two men and a van",
	}
	if _, err := l.RecordOtherCost(l, l.actor, cost.OtherDraft{
		Kind: cost.Other, Document: van,
	}); err != nil {
		return err
	}
	l.tell("handed over; its delivery cost 140.00")
	if l.Cost, err = l.InstrumentCost(l, l.actor, i); err != nil {
		return err
	}
	if l.Life.Outcome, err = l.App.Outcome(l, l.actor, i); err != nil {
		return err
	}
	l.Instrument = l.Life.Outcome.Instrument
	return nil
}
