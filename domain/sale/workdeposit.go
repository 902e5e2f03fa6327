package sale

import (
	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// TakeForWork checks a deposit that a client leaves for a job on an instrument of theirs, and
// completes it. It is a deposit as a buyer's is, owed until an invoice takes it up, and released in
// the same way. client is zero where the job is on an instrument of our own.
func (m DepositMove) TakeForWork(j job.Job, client uuid.UUID, s Stands) (DepositMove, error) {
	m.Kind, m.Deposit, m.Instrument, m.Job = Taken, m.ID, j.Instrument, j.ID
	m.Tax = money.Zero(s.Currency)
	if m.On.IsZero() {
		m.On = s.Today
	}
	var f domain.Faults
	f.CheckHappened("#/on", m.On, s.Today)
	checkAmount(&f, "#/amount", m.Amount, s.Currency, false)
	f.CheckLength("#/note", m.Note, domain.MaxText)
	if client != uuid.Nil && m.Buyer != client {
		f.Add("#/buyer", "must be the client of the job, %s, not %s", client, m.Buyer)
	}
	if err := f.Err(); err != nil {
		return m, err
	}
	switch {
	case client == uuid.Nil:
		return m, domain.Refuse(domain.Conflict, "no deposit can be taken for the job: it is on an "+
			"instrument of our own. What a buyer leaves is a deposit for the instrument")
	case j.State == job.Closed:
		return m, domain.Refuse(domain.Conflict, "no deposit can be taken for the job: it is closed, so "+
			"that what the client pays now is for its invoices")
	}
	m.PostedOn = s.Books.PostingDay(m.On)
	return m, nil
}

// ApplyToInvoice returns the moves by which an amount of what is held is applied to an invoice,
// in the order of the deposits, and the day of the last deposit among them. No more than is held
// is applied.
func ApplyToInvoice(
	deposits []Deposit, amount money.Amount, invoice uuid.UUID, on, posted domain.Date, b books.Books,
) (moves []DepositMove, later domain.Date) {
	left := amount
	for _, d := range deposits {
		part := d.Held()
		if part.Cmp(left) > 0 {
			part = left
		}
		if part.IsZero() {
			continue
		}
		left = left.Sub(part)
		if from := d.heldFrom(); from.Compare(later) > 0 {
			later = from
		}
		moves = append(moves, DepositMove{
			Deposit: d.ID, Kind: Applied, Instrument: d.Instrument, Buyer: d.Buyer, Job: d.Job,
			Invoice: invoice, Amount: part, Tax: money.Zero(part.Currency()), On: on,
			PostedOn: b.PostingDay(posted, d.PostedOn, d.RestoredPostedOn),
		})
	}
	return moves, later
}

// RestoreDeposits returns the moves by which what was applied to an invoice is held again, given
// those that applied it, once a credit note takes the invoice back.
func RestoreDeposits(
	applied []DepositMove, note uuid.UUID, on, posted domain.Date, b books.Books,
) []DepositMove {
	var moves []DepositMove
	for _, m := range applied {
		m.ID, m.Kind, m.Invoice, m.On = uuid.Nil, Restored, note, on
		m.PostedOn = b.PostingDay(posted, m.PostedOn)
		moves = append(moves, m)
	}
	return moves
}
