package demo

import (
	"context"
	"fmt"
	"strings"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Life is what became of one piano, from the purchase to the hand-over.
type Life struct {
	Instrument instrument.Instrument
	Told       []Happened
	Ready      []time.Time // when it was to be ready, each time that it was asked
	Cost       app.InstrumentCost
	Outcome    app.Outcome
}

// Happened is what happened on a day of a life.
type Happened struct {
	On   domain.Date
	Says string
}

// upright is the piano whose life is told: a plain one, which brings the shop through the spring.
var upright = piano{
	instrument: instrument.Instrument{
		Kind: catalogue.Upright, Maker: "Aldersey & Quill", Serial: "71304", Year: 1961, SizeMM: 1320,
		Notes: 88, Covering: "plastic", Finish: "shellac", Colour: "walnut", Action: "under_damper",
		Owner: instrument.Offered,
	},
	surveyed: domain.Date{Year: 2026, Month: 3, Day: 9},
	findings: surveyed(
		answer("SV-02", "under_damper"), read("SV-04", "", "49"), read("SV-11", "", "8.2", "7.8"),
		sound("SV-12 0", "SV-13 7.0", "SV-14 5", "SV-15 0", "SV-16 1", "SV-17 0", "SV-18 6", "SV-19 1"),
		read("SV-21", "", "-18"), sound("SV-23 0.6", "SV-24 13", "SV-25 2"),
		sound("SV-26 0", "SV-27 0", "SV-28 0"),
		flagged("SV-29", false), sound("SV-31 1"), in("mm", read("SV-32", "note 80", "2.7")),
		sound("SV-33 7", "SV-34 0.7", "SV-35 0", "SV-36 5"),
		read("SV-39", "", "1.0"), answer("SV-42", "plastic"), sound("SV-43 0", "SV-46 1", "SV-50 1"),
		sound("SV-53 0", "SV-54 0", "SV-59 0", "SV-63 0", "SV-64 1"), flagged("SV-45", false),
		flagged("SV-55", false), answer("SV-61", "none"),
	),
}

// noFelt is what shows once the action is out.
var noFelt = noted("cut through to the wood at the top", in("mm", read("SV-32", "note 80", "1.5")))

// living is a life while it is told.
type living struct {
	context.Context
	*app.App
	*Life
	actor    app.Actor
	clock    *Clock
	people   []domain.Person
	holidays []domain.Date
	of       *catalogue.Catalogue
	job      job.Job
	waiting  bool // for the hammers
	order    supply.Order
	sundries uuid.UUID                          // the part that is issued to tasks
	busy     map[domain.Date]int                // minutes that somebody worked on it
	weeks    map[uuid.UUID]map[domain.Date]bool // in which somebody did
}

func (l *living) tell(format string, args ...any) {
	l.Told = append(l.Told, Happened{On: l.clock.today(), Says: fmt.Sprintf(format, args...)})
}

func (l *living) euros(text string) money.Amount { return money.MustParse(text + " EUR") }

// Live tells the life of another piano of the same shop, whose months go by on the clock.
func (s *Story) Live(ctx context.Context, a *app.App, clock *Clock, say func(string)) error {
	say("telling the life of an upright, from the purchase to the hand-over")
	of, err := a.Catalogue(ctx, s.Owner)
	if err != nil {
		return err
	}
	l := &living{
		Context: ctx, App: a, Life: &Life{}, actor: s.Owner, clock: clock, people: s.diary.people,
		holidays: s.Workshop.Open.Holidays, of: of.Catalogue,
		busy: map[domain.Date]int{}, weeks: map[uuid.UUID]map[domain.Date]bool{},
	}
	for _, step := range []struct {
		says string
		do   func() error
	}{
		{"buy the upright", l.buy},
		{"strip it down", func() error { return l.workUntil("DS-01") }},
		{"agree on what was found", l.agree},
		{"order its hammers", l.orderHammers},
		{"go on with what doesn't wait", l.goOn},
		{"have its hammers", l.receiveHammers},
		{"finish it", l.finish},
		{"sell it", l.sell},
	} {
		if err := step.do(); err != nil {
			return fmt.Errorf("%s: %w", step.says, err)
		}
	}
	s.Life = l.Life
	return nil
}

// buy surveys the piano, works out a bid at an auction, buys it and accepts its work.
func (l *living) buy() error {
	l.clock.turn(upright.surveyed)
	i, v, err := record(l, l.App, l.actor, upright)
	if err != nil {
		return err
	}
	drawn, err := l.DrawScope(l, l.actor, postgres.ScopeRecord{
		Instrument: i.ID, Survey: v.ID, Depth: catalogue.Recondition,
	})
	if err != nil {
		return err
	}
	low, high, asks := dec("9100"), dec("10600"), dec("850")
	worked, err := l.WorkOutBid(l, l.actor, app.BidRequest{
		Instrument: i.ID, Survey: v.ID, Scopes: []uuid.UUID{drawn.Value.ID},
		Asked: bid.Question{
			TransportIn: dec("190"), PremiumShare: dec("0.2"), SellerAsks: &asks, Sealed: true,
			Ways: []bid.Way{{
				Depth: catalogue.Recondition, SalePrice: dec("9800"), SaleLow: &low, SaleHigh: &high,
			}},
		},
	})
	if err != nil {
		return err
	}
	if _, err := l.RecordOffer(l, l.actor, bid.Offer{
		Bid: worked.ID, Kind: bid.Bought, Amount: &asks, StockNumber: "K-125",
	}); err != nil {
		return err
	}
	if _, err := l.BuyInstrument(l, l.actor, cost.Purchase{
		Document: cost.Document{Instrument: i.ID, Reference: "lot 61"},
		Premium:  l.euros("170.00"), Transport: l.euros("190.00"),
	}); err != nil {
		return err
	}
	j, err := l.AcceptScope(l, l.actor, app.Acceptance{Scope: drawn.Value.ID, On: l.clock.today()})
	if err != nil {
		return err
	}
	l.job = j.Value
	_, left := l.job.Hours()
	l.tell("bought at an auction for 850.00, with 170.00 of premium and 190.00 of carriage; its "+
		"reconditioning is accepted: %d tasks, %s h", len(l.job.Tasks), left.StringFixed(1))
	return l.tellDate()
}

// agree proposes what the hammers that were found call for, and goes on with it.
func (l *living) agree() error {
	const says = "the hammers are cut through to the wood at the top"
	p, err := l.Propose(l, l.actor, app.NewProposal{Job: l.job.ID, Says: says, Findings: noFelt})
	if err != nil {
		return err
	}
	if _, err := l.Decide(l, l.actor, l.job.ID, p.ID, job.Decision{
		Accepted: true, Reason: "it can't be sold so",
	}); err != nil {
		return err
	}
	now, err := l.Read(l, l.actor).Job(l, l.job.ID)
	if err != nil {
		return err
	}
	l.job = now.Value
	more := 0.0
	var added []string
	for _, t := range p.Change.Added {
		added, more = append(added, string(t.Operation)), more+t.Hours.Likely.InexactFloat64()
	}
	l.tell("stripped down: %s; %s agreed on beside, %.1f h", says, strings.Join(added, " "), more)
	return l.tellDate()
}

// tellDate tells when the piano will be ready, and what its work waits for.
func (l *living) tellDate() error {
	d, err := l.JobDates(l, l.actor, l.job.ID)
	if err != nil {
		return err
	}
	says := fmt.Sprintf("ready on %s", domain.DateOf(d.Ready.In(l.clock.zone)))
	for _, x := range d.Supplied {
		for _, w := range x.Waits {
			says += fmt.Sprintf("; %s %s", x.Operation, w.Why)
		}
	}
	l.Life.Ready = append(l.Life.Ready, d.Ready)
	l.tell("%s", says)
	return nil
}
