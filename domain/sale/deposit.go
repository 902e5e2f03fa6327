package sale

import (
	"time"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/catalogue"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Deposit is money that a buyer left before the sale, or a client for a job, with what has become
// of it. What is still held is owed to whoever left it.
type Deposit struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Job        uuid.UUID // that a client left it for; zero: it is for a sale
	Buyer      uuid.UUID // or the client
	Amount     money.Amount
	// Applied, less what was restored, Refunded and Forfeited are what has become of it so far, and
	// Reversed is all of it where it was entered wrongly. Tax is what is owed on the part that was
	// forfeited.
	Applied, Refunded, Forfeited, Reversed, Tax money.Amount
	Sale                                        uuid.UUID // that it was applied to; zero: none
	// ReleasedOn is the day on which any of it was last refunded or forfeited; zero: none was.
	ReleasedOn domain.Date
	// RestoredOn is the day on which any of it was last held again, and RestoredPostedOn the last on
	// which that counts; zero: none was.
	RestoredOn, RestoredPostedOn domain.Date

	On         domain.Date
	PostedOn   domain.Date // the day on which it counts in the books that it was left
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Held returns what is still owed to the buyer.
func (d Deposit) Held() money.Amount {
	return d.Amount.Sub(d.Applied).Sub(d.Refunded).Sub(d.Forfeited).Sub(d.Reversed)
}

// heldFrom returns the first day on which all that is held can be used, since what was applied is
// held again from the day of the credit note on.
func (d Deposit) heldFrom() domain.Date {
	if d.RestoredOn.Compare(d.On) > 0 {
		return d.RestoredOn
	}
	return d.On
}

// DepositMoveKind is what happened to a deposit.
type DepositMoveKind string

// The kinds of move.
const (
	Taken     DepositMoveKind = "taken"
	Applied   DepositMoveKind = "applied"  // to the sale, or to an invoice
	Restored  DepositMoveKind = "restored" // held again, since the invoice was taken back
	Refunded  DepositMoveKind = "refunded"
	Forfeited DepositMoveKind = "forfeited"
	Reversed  DepositMoveKind = "reversed" // it was entered wrongly, with an opening
)

// DepositMove is one thing that happened to a deposit, kept for good. The deposit has the id of the
// move by which it was taken.
type DepositMove struct {
	ID         uuid.UUID
	Deposit    uuid.UUID
	Kind       DepositMoveKind
	Instrument uuid.UUID
	Job        uuid.UUID // that it is for; zero: it is for a sale
	Buyer      uuid.UUID
	Amount     money.Amount
	// Taxed says that what is forfeited counts as paid for something, so that Tax is contained in it;
	// of that alone.
	Taxed      bool
	Tax        money.Amount
	Sale       uuid.UUID
	Invoice    uuid.UUID // that it was applied to, or the credit note that restored it
	On         domain.Date
	PostedOn   domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Take checks a deposit for an instrument and completes it. It is taken for a sale, so whatever
// bars that bars it too, and an instrument is kept for one buyer at a time. No tax is worked out
// on what is held: in some countries a deposit owes it at once, and the invoice of the sale then
// has less.
func (m DepositMove) Take(s Stands) (DepositMove, error) {
	m.Kind, m.Deposit, m.Instrument, m.Tax = Taken, m.ID, s.Instrument.ID, money.Zero(s.Currency)
	if m.On.IsZero() {
		m.On = s.Today
	}
	var f domain.Faults
	f.CheckHappened("#/on", m.On, s.Today)
	checkNotBefore(&f, m.On, s.lastReturn(), "its return")
	s.checkOurs(&f, m.On)
	s.checkFree(&f, m.On, m.Buyer)
	checkParty(&f, "#/buyer", m.Buyer)
	checkAmount(&f, "#/amount", m.Amount, s.Currency, false)
	f.CheckLength("#/note", m.Note, domain.MaxText)
	if err := f.Err(); err != nil {
		return m, err
	}
	const refused = "no deposit can be taken for the instrument"
	if err := s.mayDeal(refused); err != nil {
		return m, err
	}
	if err := s.keptForOthers(refused, m.Buyer); err != nil {
		return m, err
	}
	m.PostedOn = s.postingDay(m.On)
	return m, s.Stops.Permit(refused, catalogue.ToSell)
}

// keptForOthers returns a Conflict Fault where a deposit of somebody else is held.
func (s Stands) keptForOthers(refusal string, buyer uuid.UUID) error {
	for _, d := range s.Deposits {
		if d.Buyer != buyer && !d.Held().IsZero() {
			return domain.RefuseAt(domain.Conflict, "#/buyer", "%s: the deposit %s of another buyer is "+
				"held, of %s. Refund it or have it forfeited first", refusal, d.ID, d.Held())
		}
	}
	return nil
}

// checkFree notes a fault where the instrument was kept for another buyer on a day, whose deposit
// was released only later.
func (s Stands) checkFree(f *domain.Faults, on domain.Date, buyer uuid.UUID) {
	for _, d := range s.Deposits {
		if d.Buyer != buyer && d.Held().IsZero() && on.Compare(d.On) >= 0 {
			checkNotBefore(f, on, d.ReleasedOn, "the release of another buyer's deposit")
		}
	}
}

// Release checks that a deposit, or part of it, is refunded or forfeited, and completes the move.
// Whether what is forfeited is taxed is for the law: in some countries it counts as paid for
// something and contains the tax, in others it is compensation and contains none (Court of Justice
// of the European Union, C-277/05, from memory). Ask your adviser.
func (m DepositMove) Release(of Deposit, s Stands) (DepositMove, error) {
	m.Deposit, m.Instrument, m.Buyer, m.Tax = of.ID, of.Instrument, of.Buyer, money.Zero(s.Currency)
	m.Job = of.Job
	if m.On.IsZero() {
		m.On = s.Today
	}
	if m.Amount.Currency().IsZero() {
		m.Amount = of.Held()
	}
	var f domain.Faults
	f.CheckHappened("#/on", m.On, s.Today)
	if from := of.heldFrom(); from != of.On {
		checkNotBefore(&f, m.On, from, "the credit note since which it is held again")
	} else {
		checkNotBefore(&f, m.On, from, "the deposit")
	}
	if m.Kind != Refunded && m.Kind != Forfeited {
		f.Add("#/how", "must be refunded or forfeited, not %q", m.Kind)
	}
	if m.Kind == Forfeited && m.Job == uuid.Nil && s.standing() != nil {
		f.Add("#/how", "must be refunded: the instrument is consigned, and what a buyer loses is for its "+
			"owner to agree on")
	}
	if m.Taxed && m.Kind != Forfeited {
		f.Add("#/taxed", "must be left out of a refund, which pays for nothing")
	}
	if m.Taxed && s.Terms.TaxRegime == domain.NoTax {
		f.Add("#/taxed", "must be false: the workshop isn't registered and charges no tax")
	}
	checkAmount(&f, "#/amount", m.Amount, s.Currency, of.Held().IsZero())
	checkWhy(&f, "#/why", m.Note, "why")
	if err := f.Err(); err != nil {
		return m, err
	}
	if held := of.Held(); held.IsZero() || m.Amount.Cmp(held) > 0 {
		return m, domain.RefuseAt(domain.Conflict, "#/amount", "no more than %s of the deposit is held",
			held)
	}
	m.PostedOn = s.Books.PostingDay(m.On, of.PostedOn, of.RestoredPostedOn)
	tax, err := s.taxOnKept(m.Amount, m.Taxed)
	m.Tax = tax
	return m, err
}

// Reverse returns the move by which a deposit never was, which came in with an opening. It counts
// with the deposit, or on the first open day.
func (d Deposit) Reverse(why string, b books.Books) DepositMove {
	return DepositMove{
		Deposit: d.ID, Kind: Reversed, Instrument: d.Instrument, Buyer: d.Buyer, Amount: d.Amount,
		Tax: money.Zero(d.Amount.Currency()), On: d.On, PostedOn: b.PostingDay(d.PostedOn), Note: why,
	}
}

// taxOnKept returns the tax contained in money that a buyer doesn't get back though there is no
// sale.
func (s Stands) taxOnKept(kept money.Amount, taxed bool) (money.Amount, error) {
	if !taxed {
		return money.Zero(s.Currency), nil
	}
	t, err := pricing.TaxRule{Regime: pricing.StandardTax, Rate: s.Terms.TaxRate}.
		OnSale(kept, money.Zero(s.Currency))
	return t.Due, err
}

// apply returns the moves by which what is held for a buyer is applied to a sale, and their sum.
func (s Stands) apply(x Sale) ([]DepositMove, money.Amount) {
	sum := money.Zero(s.Currency)
	var moves []DepositMove
	for _, d := range s.Deposits {
		held := d.Held()
		if held.IsZero() {
			continue
		}
		sum = sum.Add(held)
		moves = append(moves, DepositMove{
			Deposit: d.ID, Kind: Applied, Instrument: d.Instrument, Buyer: d.Buyer, Amount: held,
			Tax: money.Zero(s.Currency), Sale: x.ID, On: x.On,
			PostedOn: s.Books.PostingDay(x.PostedOn, d.PostedOn),
		})
	}
	return moves, sum
}

// laterDeposit returns the day of the last deposit that is held; zero where there is none.
func (s Stands) laterDeposit() (day domain.Date) {
	for _, d := range s.Deposits {
		if !d.Held().IsZero() && d.On.Compare(day) > 0 {
			day = d.On
		}
	}
	return day
}
