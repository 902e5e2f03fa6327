package contract

import (
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// InvoiceKind says what a paper does.
type InvoiceKind string

// The kinds of paper. A credit note takes back the whole of one invoice.
const (
	Billed   InvoiceKind = "invoice"
	Credited InvoiceKind = "credit_note"
)

// Invoice is an invoice to a client for a stage of the work, or a credit note, whose amounts are
// negative. It is kept for good.
type Invoice struct {
	ID     uuid.UUID
	Job    uuid.UUID
	Number int // counts all of the workshop from 1, without gaps
	Kind   InvoiceKind
	// Of is the invoice that a credit note takes back, and CreditedBy the credit note that takes
	// this one back; zero: none.
	Of, CreditedBy uuid.UUID
	Client         uuid.UUID
	Stage          string // what it is for
	Net            money.Amount
	Rate           decimal.Decimal // share
	Tax            money.Amount
	// Deposit is what of it the client had left before.
	Deposit    money.Amount
	On         domain.Date
	PostedOn   domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Total returns what it comes to, tax included.
func (i Invoice) Total() money.Amount { return i.Net.Add(i.Tax) }

// Due returns what is left to pay, or to pay back, once the deposit is counted.
func (i Invoice) Due() money.Amount { return i.Total().Sub(i.Deposit) }

// invoiced returns what invoices come to less credit notes, without tax and with it, and how many
// papers they are.
func invoiced(list []Invoice, c money.Currency) (net, total money.Amount, papers int64) {
	net, total = money.Zero(c), money.Zero(c)
	for _, i := range list {
		net, total = net.Add(i.Net), total.Add(i.Total())
		papers++
	}
	return net, total, papers
}

const notInvoiced = "no invoice can be raised for the job"

// Raise checks an invoice and completes it, with the moves by which deposits of the client are
// applied to it, the oldest first. Rate: nil where that of what was accepted holds. Whether tax
// is due, at what rate and on what day, and what an invoice has to say, is for the law: ask your
// adviser.
func (i Invoice) Raise(rate *decimal.Decimal, s Stands) (Invoice, []sale.DepositMove, error) {
	i.Kind, i.Job, i.Client, i.Rate = Billed, s.Job.ID, s.Client, s.Rate
	if rate != nil {
		i.Rate = *rate
	}
	if i.On.IsZero() {
		i.On = s.Today
	}
	if i.Deposit.Currency().IsZero() {
		i.Deposit = money.Zero(s.Currency)
	}
	var f domain.Faults
	f.CheckHappened("#/on", i.On, s.Today)
	checkNotBefore(&f, i.On, s.Job.AcceptedOn, "the acceptance of the job")
	checkText(&f, "#/stage", i.Stage, "what stage of the work it is for", domain.MaxName)
	f.CheckLength("#/note", i.Note, domain.MaxText)
	checkAmount(&f, "#/net", i.Net, s.Currency, false)
	checkAmount(&f, "#/deposit", i.Deposit, s.Currency, true)
	i.checkRate(&f, s)
	if err := f.Err(); err != nil {
		return i, nil, err
	}
	if err := s.checkClients(notInvoiced); err != nil {
		return i, nil, err
	}
	if err := s.checkUnsettled(notInvoiced); err != nil {
		return i, nil, err
	}
	var err error
	if i.Tax, err = money.Round(i.Net.Decimal().Mul(i.Rate), s.Currency, money.HalfUp); err != nil {
		return i, nil, err
	}
	if err := i.checkConsent(s); err != nil {
		return i, nil, err
	}
	i.PostedOn = s.Books.PostingDay(i.On)
	moves, err := i.applyDeposits(s)
	return i, moves, err
}

func (i Invoice) checkRate(f *domain.Faults, s Stands) {
	switch {
	case i.Rate.IsNegative() || i.Rate.GreaterThanOrEqual(domain.One) ||
		domain.HasMoreDecimals(i.Rate, domain.DecimalPlaces):
		f.Add("#/tax_rate", "must be a share of at least 0 and below 1 with at most %d decimals (0.20 "+
			"is 20 %%), not %s", domain.DecimalPlaces, i.Rate)
	case s.Terms.TaxRegime == domain.NoTax && !i.Rate.IsZero():
		f.Add("#/tax_rate", "must be 0: the workshop isn't registered and charges no tax")
	}
}

// checkConsent returns a Conflict Fault where more would be invoiced than the client accepted,
// without tax or with it, that says which consent is missing. Tax is rounded on each paper, so that
// the total may be off by a minor unit for each (HMRC VATREC12010: tax is rounded by line or on the
// whole).
func (i Invoice) checkConsent(s Stands) error {
	net, total := sums(s.Accepted, s.Currency)
	before, beforeTotal, papers := invoiced(s.Invoices, s.Currency)
	before = before.Add(s.BilledBefore)
	beforeTotal = beforeTotal.Add(s.BilledBefore) // its tax isn't known
	beyond := before.Add(i.Net).Sub(net)
	what := "without tax"
	if beyond.Sign() <= 0 {
		beyond = beforeTotal.Add(i.Total()).Sub(total)
		what = "tax included"
		if beyond.Minor() <= papers+1 {
			return nil
		}
	}
	f := domain.RefuseAt(domain.Conflict, "#/net/amount",
		"the client's consent to %s more, %s, is missing: no more is invoiced than was accepted", beyond,
		what)
	if len(s.Accepted) == 0 {
		f.Chain = append(f.Chain,
			"no price was accepted: no quotation for the job, and no variation of it")
	}
	for _, a := range s.Accepted {
		f.Chain = append(f.Chain, fmt.Sprintf("on %s the client accepted the %s %s: %s without tax, %s "+
			"with it", a.On, a.Kind, a.ID, a.Net, a.Total()))
	}
	if !s.BilledBefore.IsZero() {
		f.Chain = append(f.Chain, fmt.Sprintf("%s was invoiced before the books were opened here",
			s.BilledBefore))
	}
	f.Chain = append(f.Chain, fmt.Sprintf(
		"%s is invoiced so far, and this would be %s more, without tax",
		before.Sub(s.BilledBefore), i.Net))
	for _, w := range s.Waiting {
		f.Chain = append(f.Chain, fmt.Sprintf("the proposal %s of %s waits for an answer", w.Proposal,
			w.Price))
	}
	return f
}

// applyDeposits returns the moves by which the deposit of an invoice is taken from what is held.
func (i Invoice) applyDeposits(s Stands) ([]sale.DepositMove, error) {
	if i.Deposit.Cmp(i.Total()) > 0 {
		return nil, domain.RefuseAt(domain.Invalid, "#/deposit/amount",
			"must be at most the total of the invoice, %s, not %s", i.Total(), i.Deposit)
	}
	if held := s.held(); i.Deposit.Cmp(held) > 0 {
		return nil, domain.RefuseAt(domain.Conflict, "#/deposit/amount",
			"no more than %s of the client's deposits is held", held)
	}
	moves, later := sale.ApplyToInvoice(s.Deposits, i.Deposit, i.ID, i.On, i.PostedOn, s.Books)
	if later.Compare(i.On) > 0 {
		return nil, domain.RefuseAt(domain.Invalid, "#/on",
			"must be %s, the day from which on the deposit is held that is applied, or later, not %s", later, i.On)
	}
	return moves, nil
}

// Credit returns the credit note that takes an invoice back whole. What of a deposit was applied
// is held again; applied are the moves that did it, and moves those that undo them. It counts no
// sooner than the invoice does.
func (i Invoice) Credit(
	id uuid.UUID, on domain.Date, why string, applied []sale.DepositMove, s Stands,
) (note Invoice, moves []sale.DepositMove, err error) {
	if on.IsZero() {
		on = s.Today
	}
	var f domain.Faults
	f.CheckHappened("#/on", on, s.Today)
	checkNotBefore(&f, on, i.On, "the invoice")
	checkText(&f, "#/why", why, "why it is taken back", domain.MaxText)
	if err := f.Err(); err != nil {
		return i, nil, err
	}
	switch {
	case i.Kind != Billed:
		return i, nil, domain.Refuse(domain.Conflict,
			"it is a credit note, which isn't taken back: raise another invoice")
	case i.CreditedBy != uuid.Nil:
		return i, nil, domain.Refuse(domain.Conflict,
			"it was taken back already, by the credit note %s", i.CreditedBy)
	}
	if err := s.checkUnsettled("no credit note can be raised for the invoice"); err != nil {
		return i, nil, err
	}
	note = Invoice{
		ID: id, Job: i.Job, Kind: Credited, Of: i.ID, Client: i.Client, Stage: i.Stage,
		Net: i.Net.Neg(), Rate: i.Rate, Tax: i.Tax.Neg(), Deposit: i.Deposit.Neg(), On: on,
		PostedOn: s.Books.PostingDay(on, i.PostedOn), Note: why,
	}
	return note, sale.RestoreDeposits(applied, note.ID, note.On, note.PostedOn, s.Books), nil
}
