package domain_test

import (
	"slices"
	"testing"

	"bentside/domain"

	"github.com/google/uuid"
)

func TestAPromiseIsKeptByItsDateAndLateAfterIt(t *testing.T) {
	t.Parallel()
	p := domain.Promise{For: "ready to be played", PromisedOn: jobDay, Due: jobDay.AddDays(30)}
	if err := p.Check(jobDay); err != nil {
		t.Fatal(err)
	}
	for days, want := range map[int]domain.PromiseState{0: domain.PromiseOpen, 30: domain.PromiseOpen, 31: domain.PromiseBroken} {
		if got := p.State(jobDay.AddDays(days)); got != want {
			t.Errorf("after %d days without an outcome it is %s, want %s", days, got, want)
		}
	}
	later := jobDay.AddDays(60)
	for days, want := range map[int]domain.PromiseState{29: domain.PromiseKept, 30: domain.PromiseKept, 31: domain.PromiseLate} {
		met, err := p.End(domain.PromiseOutcome{On: jobDay.AddDays(days)}, later)
		if err != nil || met.State(later) != want {
			t.Errorf("met after %d days it is %s, %v; want %s", days, met.State(later), err, want)
		}
		if _, err := met.End(domain.PromiseOutcome{On: jobDay.AddDays(days)}, later); kindOf(err) != domain.Conflict {
			t.Errorf("ended twice: got %v", err)
		}
	}
	if _, err := p.End(domain.PromiseOutcome{Withdrawn: true, On: later}, later); !slices.Equal(pointersOf(err), []string{"#/why"}) {
		t.Errorf("withdrawn without a word: got %v", err)
	}
	for _, bad := range []domain.Promise{
		{PromisedOn: jobDay, Due: jobDay},
		{For: "x", PromisedOn: jobDay.AddDays(1), Due: jobDay.AddDays(2)},
		{For: "x", PromisedOn: jobDay, Due: jobDay.AddDays(-1)},
		{For: "x", PromisedOn: jobDay},
	} {
		if err := bad.Check(jobDay); kindOf(err) != domain.Invalid {
			t.Errorf("%+v: got %v, want it refused", bad, err)
		}
	}
}

func quotation() domain.Quotation {
	return domain.Quotation{
		QuotedOn: jobDay, ValidUntil: jobDay.AddDays(30), Deposit: eur("500.00"), Party: uuid.UUID{1},
		Options: []domain.QuotedOption{
			{Title: "reconditioned", Net: eur("4200.00"), TaxRate: dec("0.23")},
			{Title: "restored", Net: eur("16500.01"), TaxRate: dec("0.23")},
		},
	}
}

func TestAQuotationsOptionsHoldTheirTax(t *testing.T) {
	t.Parallel()
	q, err := quotation().Priced(jobDay)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ tax, total string }{{"966.00", "5166.00"}, {"3795.00", "20295.01"}} {
		if o := q.Options[i]; o.Number != i+1 || o.Tax.Text() != want.tax || o.Total.Text() != want.total {
			t.Errorf("option %d: tax %s and %s in all, want %+v", o.Number, o.Tax, o.Total, want)
		}
	}
	dear := quotation()
	dear.Deposit, dear.ValidUntil = eur("6000.00"), jobDay.AddDays(-1)
	if _, err := dear.Priced(jobDay); !slices.Equal(pointersOf(err), []string{"#/valid_until"}) {
		t.Errorf("got %v", err)
	}
	dear.ValidUntil = jobDay
	if _, err := dear.Priced(jobDay); !slices.Equal(pointersOf(err), []string{"#/deposit/amount"}) {
		t.Errorf("a deposit of more than an option comes to: got %v", err)
	}
}

func TestAQuotationExpiresByItsDate(t *testing.T) {
	t.Parallel()
	q, err := quotation().Priced(jobDay)
	if err != nil {
		t.Fatal(err)
	}
	last, after := q.ValidUntil, q.ValidUntil.AddDays(1)
	if q.State(last) != domain.QuotationOpen || q.State(after) != domain.QuotationExpired {
		t.Errorf("%s on its last day and %s after", q.State(last), q.State(after))
	}
	yes := func(on domain.Date) domain.QuotationAnswer {
		return domain.QuotationAnswer{Accepted: true, Option: 2, On: on}
	}
	if _, err := q.Reply(yes(after), after); kindOf(err) != domain.Conflict {
		t.Errorf("accepted a day late: got %v", err)
	}
	accepted, err := q.Reply(yes(last), after) // recorded a day later
	if err != nil || accepted.State(after) != domain.QuotationAccepted {
		t.Errorf("accepted on the last day: %v", err)
	}
	if _, err := accepted.Reply(domain.QuotationAnswer{On: after}, after); kindOf(err) != domain.Conflict {
		t.Errorf("answered twice: got %v", err)
	}
	if _, err := q.Reply(domain.QuotationAnswer{Accepted: true, Option: 3, On: last}, last); !slices.Equal(pointersOf(err), []string{"#/option"}) {
		t.Errorf("an option that was not offered: got %v", err)
	}
}
