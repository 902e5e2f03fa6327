package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/contract"
	"bentside/domain/sale"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// RaiseInvoice raises an invoice to the client of a job, and applies to it what it says of the
// client's deposits. Rate: nil where that of what the client accepted holds.
func (a *App) RaiseInvoice(
	ctx context.Context, actor Actor, i contract.Invoice, rate *decimal.Decimal,
) (contract.Invoice, error) {
	var made contract.Invoice
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		s, err := contractStands(ctx, tx, i.Job)
		if err != nil {
			return err
		}
		i.ID = newID(i.ID)
		i, moves, err := i.Raise(rate, s)
		if err != nil {
			return err
		}
		made, err = keepInvoice(ctx, tx, i, moves)
		return err
	})
	return made, err
}

// CreditInvoice raises the credit note that takes an invoice back, and returns it.
func (a *App) CreditInvoice(
	ctx context.Context, actor Actor, id uuid.UUID, on domain.Date, why string,
) (contract.Invoice, error) {
	var made contract.Invoice
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		of, err := tx.ClientInvoice(ctx, id)
		if err != nil {
			return err
		}
		s, err := contractStands(ctx, tx, of.Job)
		if err != nil {
			return err
		}
		if of, err = tx.ClientInvoice(ctx, id); err != nil { // as it is under the lock
			return err
		}
		applied, err := tx.AppliedTo(ctx, id)
		if err != nil {
			return err
		}
		note, moves, err := of.Credit(newID(uuid.Nil), on, why, applied, s)
		if err != nil {
			return err
		}
		made, err = keepInvoice(ctx, tx, note, moves)
		return err
	})
	return made, err
}

// keepInvoice numbers an invoice or a credit note and keeps it with what it does to deposits. The
// job must be locked.
func keepInvoice(
	ctx context.Context, tx *postgres.Tx, i contract.Invoice, moves []sale.DepositMove,
) (contract.Invoice, error) {
	var err error
	if i.Number, err = tx.NextInvoiceNumber(ctx); err != nil {
		return i, err
	}
	i.RecordedBy, i.RecordedAt = tx.Actor().User, tx.Now()
	told := noted{
		"job": i.Job, "number": i.Number, "party": i.Client, "stage": i.Stage, "net": i.Net,
		"rate": i.Rate, "tax": i.Tax, "deposits": i.Deposit, "on": i.On, "posted_on": i.PostedOn,
	}.id("of", i.Of).text("why", i.Note)
	if i.Kind == contract.Billed {
		tx.Note(domain.InvoiceRaised, i.ID, told)
	} else {
		tx.Note(domain.InvoiceCredited, i.ID, told)
	}
	if err := tx.AddClientInvoice(ctx, i); err != nil {
		return i, err
	}
	for _, m := range moves {
		if err := addDepositMove(ctx, tx, m); err != nil {
			return i, err
		}
	}
	return tx.ClientInvoice(ctx, i.ID)
}

// TakeJobDeposit records that a client left a deposit for a job.
func (a *App) TakeJobDeposit(
	ctx context.Context, actor Actor, m sale.DepositMove,
) (sale.Deposit, error) {
	var made sale.Deposit
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		s, err := contractStands(ctx, tx, m.Job)
		if err != nil {
			return err
		}
		if err := knownParty(ctx, tx, "#/buyer", m.Buyer); err != nil {
			return err
		}
		client := s.Client
		if !s.Clients {
			client = uuid.Nil
		}
		m.ID = newID(m.ID)
		if m, err = m.TakeForWork(s.Job, client, sale.Stands{
			Currency: s.Currency, Terms: s.Terms, Books: s.Books, Today: s.Today,
		}); err != nil {
			return err
		}
		tx.Note(domain.DepositTaken, m.Deposit, depositNoted(m))
		if err := addDepositMove(ctx, tx, m); err != nil {
			return err
		}
		made, err = tx.Deposit(ctx, m.Deposit)
		return err
	})
	return made, err
}

// SettleJob records that a client's job that was given up is settled.
func (a *App) SettleJob(
	ctx context.Context, actor Actor, x contract.Settlement,
) (contract.Settlement, error) {
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		s, err := contractStands(ctx, tx, x.Job)
		if err != nil {
			return err
		}
		if x, err = x.Settle(s); err != nil {
			return err
		}
		x.RecordedBy, x.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.JobSettled, x.Job, noted{
			"instrument": s.Job.Instrument, "on": x.On, "posted_on": x.PostedOn, "why": x.Note,
		})
		return tx.AddSettlement(ctx, x)
	})
	return x, err
}

// contractStands locks a job and loads what decides on its invoices and deposits.
func contractStands(
	ctx context.Context, tx *postgres.Tx, id uuid.UUID,
) (s contract.Stands, err error) {
	j, err := tx.LockJob(ctx, id)
	if err != nil {
		return s, err
	}
	s.Job = j.Value
	w, c, today, err := workshopToday(ctx, tx)
	if err != nil {
		return s, err
	}
	s.Terms, s.Currency, s.Today = w.Terms, c, today
	if s.Books, err = booksNow(ctx, tx); err != nil {
		return s, err
	}
	jobs, err := tx.ClientJobs(ctx, today, []uuid.UUID{id})
	if err != nil {
		return s, err
	}
	of := jobs[0] // there is one, which is locked
	s.Clients, s.Client = of.Clients, of.Client
	s.Settlement, s.BilledBefore = of.Settlement, of.BilledBefore
	s.Rate = rateOf(of, w)
	accepted, waiting, err := acceptedBy(ctx, tx.Reader, w, jobs)
	if err != nil {
		return s, err
	}
	s.Accepted, s.Waiting = accepted[id], waiting[id]
	if s.Invoices, err = tx.ClientInvoices(ctx, id, postgres.Whole); err != nil {
		return s, err
	}
	s.Deposits, err = tx.JobDeposits(ctx, id, postgres.Whole)
	return s, err
}

// workStands loads what decides on the release of a client's deposit for a job.
func workStands(ctx context.Context, tx *postgres.Tx) (s sale.Stands, err error) {
	w, c, today, err := workshopToday(ctx, tx)
	if err != nil {
		return s, err
	}
	s.Terms, s.Currency, s.Today = w.Terms, c, today
	s.Books, err = booksNow(ctx, tx)
	return s, err
}

// rateOf returns at which rate the work of a client's job is taxed: as it was quoted, or else at
// the rate of the workshop.
func rateOf(j postgres.ClientJob, w domain.Workshop) decimal.Decimal {
	switch {
	case j.Rate != nil:
		return *j.Rate
	case w.Terms.TaxRegime == domain.NoTax:
		return decimal.Zero
	}
	return w.Terms.TaxRate
}

// acceptedBy returns what the clients of jobs accepted, and the variations that wait for their
// answer.
func acceptedBy(
	ctx context.Context, r postgres.Reader, w domain.Workshop, jobs []postgres.ClientJob,
) (map[uuid.UUID][]contract.Accepted, map[uuid.UUID][]contract.Waiting, error) {
	ids := make([]uuid.UUID, len(jobs))
	rates := map[uuid.UUID]decimal.Decimal{}
	for n, j := range jobs {
		ids[n], rates[j.Job] = j.Job, rateOf(j, w)
	}
	accepted, err := r.AcceptedQuotations(ctx, ids)
	if err != nil {
		return nil, nil, err
	}
	list, err := r.Variations(ctx, ids)
	if err != nil {
		return nil, nil, err
	}
	waiting := map[uuid.UUID][]contract.Waiting{}
	for _, v := range list {
		if v.On.IsZero() {
			waiting[v.Job] = append(waiting[v.Job], contract.Waiting{Proposal: v.Proposal, Price: v.Price})
			continue
		}
		x, err := contract.Variation(v.Proposal, v.On, v.Price, rates[v.Job])
		if err != nil {
			return nil, nil, err
		}
		accepted[v.Job] = append(accepted[v.Job], x)
	}
	return accepted, waiting, nil
}
