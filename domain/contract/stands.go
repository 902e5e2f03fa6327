package contract

import (
	"strings"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/job"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Stands is what decides on an invoice and a deposit: how everything about a job stands.
type Stands struct {
	Job job.Job
	// Clients says that the job is a client's, and Client who that is.
	Clients bool
	Client  uuid.UUID
	// Accepted is what the client agreed to, and Rate at which rate that is taxed.
	Accepted []Accepted
	Rate     decimal.Decimal
	// Waiting are variations that the client hasn't answered.
	Waiting []Waiting
	// BilledBefore is what was invoiced without tax before the books were opened here.
	BilledBefore money.Amount
	Invoices     []Invoice // in the order of their numbers
	Deposits     []sale.Deposit
	Settlement   *Settlement
	Terms        domain.Terms // the workshop's
	Currency     money.Currency
	Books        books.Books
	Today        domain.Date
}

// Waiting is a variation without an answer, with its price, tax included.
type Waiting struct {
	Proposal uuid.UUID
	Price    money.Amount
}

// held returns what is held of the client's deposits.
func (s Stands) held() money.Amount {
	sum := money.Zero(s.Currency)
	for _, d := range s.Deposits {
		sum = sum.Add(d.Held())
	}
	return sum
}

// checkClients returns a Conflict Fault where the job isn't a client's.
func (s Stands) checkClients(refused string) error {
	if s.Clients {
		return nil
	}
	return domain.Refuse(domain.Conflict, "%s: the job is on an instrument of our own, which no client "+
		"pays for. What it brings is the price of its sale", refused)
}

// checkUnsettled returns a Conflict Fault where the job was settled.
func (s Stands) checkUnsettled(refused string) error {
	if s.Settlement == nil {
		return nil
	}
	return domain.Refuse(domain.Conflict, "%s: the job was settled on %s", refused, s.Settlement.On)
}

// checkAmount notes a fault unless an amount of the currency is more than 0, or 0 where that may
// be.
func checkAmount(
	f *domain.Faults, pointer string, a money.Amount, c money.Currency, zeroToo bool,
) {
	switch {
	case a.Currency() != c:
		f.Add(pointer+"/currency", "must be %s, the workshop's currency", c)
	case a.Sign() < 0 && zeroToo:
		f.Add(pointer+"/amount", "must be 0 or more, not %s", a)
	case a.Sign() < 0 || a.IsZero() && !zeroToo:
		f.Add(pointer+"/amount", "must be more than 0, not %s", a)
	case a.Minor() > mostMinor:
		f.Add(pointer+"/amount", "%s is too much", a)
	}
}

// mostMinor keeps sums of amounts and taxes far from overflow.
const mostMinor = money.Limit / 2

// checkText notes a fault unless a text says something and is short enough.
func checkText(f *domain.Faults, pointer, text, what string, most int) {
	if strings.TrimSpace(text) == "" {
		f.Add(pointer, "must say %s", what)
	}
	f.CheckLength(pointer, text, most)
}

// checkNotBefore notes a fault where a day comes before that of what it follows.
func checkNotBefore(f *domain.Faults, on, first domain.Date, what string) {
	if on.Compare(first) < 0 {
		f.Add("#/on", "must be %s, the day of %s, or later, not %s", first, what, on)
	}
}
