package job_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// aClient is whose instrument it is.
var aClient = uuid.UUID{1}

func quotation() job.Quotation {
	return job.Quotation{
		QuotedOn: domaintest.JobDay, ValidUntil: domaintest.JobDay.AddDays(30), Deposit: eur("500.00"),
		Party: aClient,
		Options: []job.QuotedOption{
			{Title: "reconditioned", Net: eur("4200.00"), TaxRate: domaintest.Dec("0.23")},
			{Title: "restored", Net: eur("16500.01"), TaxRate: domaintest.Dec("0.23")},
		},
	}
}

func TestAQuotationsOptionsHoldTheirTax(t *testing.T) {
	t.Parallel()
	q, err := quotation().Priced(aClient, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ tax, total string }{
		{"966.00", "5166.00"}, {"3795.00", "20295.01"},
	} {
		if o := q.Options[i]; o.Number != i+1 || o.Tax.Text() != want.tax ||
			o.Total.Text() != want.total {
			t.Errorf("option %d: tax %s and %s in all, want %+v", o.Number, o.Tax, o.Total, want)
		}
	}
	dear := quotation()
	dear.Deposit, dear.ValidUntil = eur("6000.00"), domaintest.JobDay.AddDays(-1)
	if _, err := dear.Priced(aClient, domaintest.JobDay); !slices.Equal(
		pointersOf(err), []string{"#/valid_until"},
	) {
		t.Errorf("got %v", err)
	}
	dear.ValidUntil = domaintest.JobDay
	if _, err := dear.Priced(aClient, domaintest.JobDay); !slices.Equal(
		pointersOf(err), []string{"#/deposit/amount"},
	) {
		t.Errorf("a deposit of more than an option comes to: got %v", err)
	}
}

func TestOnlyTheClientWhosePianoItIsIsQuoted(t *testing.T) {
	t.Parallel()
	for name, client := range map[string]uuid.UUID{"another's": {2}, "nobody's": uuid.Nil} {
		_, err := quotation().Priced(client, domaintest.JobDay)
		if !slices.Equal(pointersOf(err), []string{"#/party"}) {
			t.Errorf("%s: got %v, want a fault at the party", name, err)
		}
	}
	for _, c := range []struct {
		in   instrument.Instrument
		want domain.FaultKind
	}{
		{instrument.Instrument{Owner: instrument.Client, Party: aClient}, ""},
		{instrument.Instrument{Owner: instrument.Client, Party: uuid.UUID{2}}, domain.Conflict},
		{instrument.Instrument{Owner: instrument.Stock, Party: aClient}, domain.Conflict},
	} {
		if err := quotation().CheckClient(c.in); domaintest.KindOf(err) != c.want {
			t.Errorf("%s of %s: got %v, want %q", c.in.Owner, c.in.Party, err, c.want)
		}
	}
}

func TestAQuotationExpiresByItsDate(t *testing.T) {
	t.Parallel()
	q, err := quotation().Priced(aClient, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	last, after := q.ValidUntil, q.ValidUntil.AddDays(1)
	if q.State(last) != job.QuotationOpen || q.State(after) != job.QuotationExpired {
		t.Errorf("%s on its last day and %s after", q.State(last), q.State(after))
	}
	yes := func(on domain.Date) job.QuotationAnswer {
		return job.QuotationAnswer{Accepted: true, Option: 2, On: on}
	}
	if _, err := q.Reply(yes(after), after); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("accepted a day late: got %v", err)
	}
	accepted, err := q.Reply(yes(last), after) // recorded a day later
	if err != nil || accepted.State(after) != job.QuotationAccepted {
		t.Errorf("accepted on the last day: %v", err)
	}
	if _, err := accepted.Reply(
		job.QuotationAnswer{On: after}, after,
	); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("answered twice: got %v", err)
	}
	if _, err := q.Reply(
		job.QuotationAnswer{Accepted: true, Option: 3, On: last}, last,
	); !slices.Equal(pointersOf(err), []string{"#/option"}) {
		t.Errorf("an option that was not offered: got %v", err)
	}
}
