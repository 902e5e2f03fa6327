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

func TestAJobForAClientIsWhatTheClientSaidYesTo(t *testing.T) {
	t.Parallel()
	quoted, other := uuid.UUID{1}, uuid.UUID{2}
	today := domaintest.JobDay
	yes := func(change func(*job.Quotation)) *job.Quotation {
		q, err := quotation().Priced(aClient, today)
		if err != nil {
			t.Fatal(err)
		}
		q.ID, q.Options[0].Scope, q.Options[0].Version = uuid.UUID{9}, quoted, 3
		q.Answer = &job.QuotationAnswer{Accepted: true, Option: 1, On: today.AddDays(-1)}
		if change != nil {
			change(&q)
		}
		return &q
	}
	word := func(change func(*job.WorkConsent)) *job.WorkConsent {
		c := job.WorkConsent{
			Consent: job.Consent{Party: aClient, On: today, How: "by letter"}, To: "the deep one",
		}
		if change != nil {
			change(&c)
		}
		return &c
	}
	for _, c := range []struct {
		name     string
		accepted *job.Quotation
		scope    uuid.UUID
		version  int64
		given    *job.WorkConsent
		kind     domain.FaultKind
		at       string // of an Invalid Fault
		recorded bool
		instead  uuid.UUID
	}{
		{name: "the accepted option", accepted: yes(nil), scope: quoted, version: 3},
		{
			name: "the accepted option, edited since", accepted: yes(nil), scope: quoted, version: 4,
			kind: domain.Conflict,
		},
		{
			name: "the edited option, agreed to", accepted: yes(nil), scope: quoted, version: 4,
			given: word(nil), recorded: true, instead: uuid.UUID{9},
		},
		{name: "another scope", accepted: yes(nil), scope: other, version: 1, kind: domain.Conflict},
		{
			name: "another scope, agreed to", accepted: yes(nil), scope: other, version: 1,
			given: word(nil), recorded: true, instead: uuid.UUID{9},
		},
		{
			name: "another scope, agreed to before the quotation was accepted", accepted: yes(nil),
			scope: other, version: 1, kind: domain.Invalid, at: "#/consent/given_on",
			given: word(func(c *job.WorkConsent) { c.On = today.AddDays(-2) }),
		},
		{
			name: "a word beside the quotation that covers it", accepted: yes(nil), scope: quoted,
			version: 3, given: word(nil), kind: domain.Invalid, at: "#/consent",
		},
		{name: "nothing accepted", scope: other, version: 1, kind: domain.Conflict},
		{name: "nothing accepted, agreed to", scope: other, version: 1, given: word(nil), recorded: true},
		{
			name:     "a quotation that has its job",
			accepted: yes(func(q *job.Quotation) { q.Job = &uuid.UUID{8} }),
			scope:    other, version: 1, kind: domain.Conflict,
		},
		{
			name: "a word of tomorrow", scope: other, version: 1, kind: domain.Invalid,
			at:    "#/consent/given_on",
			given: word(func(c *job.WorkConsent) { c.On = today.AddDays(1) }),
		},
		{
			name: "what a former client accepted", scope: quoted, version: 3, kind: domain.Conflict,
			accepted: yes(func(q *job.Quotation) { q.Party = uuid.UUID{6} }),
		},
		{
			name: "a word of somebody else", scope: other, version: 1, kind: domain.Invalid,
			at:    "#/consent/party",
			given: word(func(c *job.WorkConsent) { c.Party = uuid.UUID{6} }),
		},
		{
			name: "a word without how", scope: other, version: 1, kind: domain.Invalid,
			at:    "#/consent/how",
			given: word(func(c *job.WorkConsent) { c.How = "" }),
		},
		{
			name: "a word to nothing", scope: other, version: 1, kind: domain.Invalid,
			at:    "#/consent/to",
			given: word(func(c *job.WorkConsent) { c.To = "" }),
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, err := job.CheckConsent(c.accepted, aClient, c.scope, c.version, c.given, today)
			if (err != nil) != (c.kind != "") || c.kind != "" && domaintest.KindOf(err) != c.kind {
				t.Fatalf("got %v, want %q", err, c.kind)
			}
			if c.at != "" && !slices.Equal(pointersOf(err), []string{c.at}) {
				t.Errorf("faults at %v, want at %s", pointersOf(err), c.at)
			}
			if (got != nil) != c.recorded {
				t.Fatalf("recorded %+v, want it recorded: %t", got, c.recorded)
			}
			if got != nil && (got.Version != c.version || got.Instead != c.instead) {
				t.Errorf("recorded for version %d instead of %s", got.Version, got.Instead)
			}
		})
	}
}

func TestAClosedJobAndAClientsHaveNothingToSell(t *testing.T) {
	t.Parallel()
	price := domaintest.Dec("100")
	all := job.AlternativesInput{
		Sale: &price, Depth: "as_found", DepthSale: &price, PartsSale: &price, PartsHours: price,
		BoughtFor: &price,
	}
	for _, c := range []struct {
		state job.State
		owner instrument.Ownership
		want  int
	}{
		{job.Open, instrument.Stock, 0},
		{job.Held, instrument.Stock, 0},
		{job.Open, instrument.Client, 5},
		{job.Closed, instrument.Stock, 6},
		{job.Closed, instrument.Client, 6},
	} {
		if got := pointersOf(all.Check(c.state, c.owner)); len(got) != c.want {
			t.Errorf("%s, %s: faults at %v, want %d", c.state, c.owner, got, c.want)
		}
		if err := (job.AlternativesInput{}).Check(c.state, c.owner); err != nil {
			t.Errorf("%s, %s, nothing asked: got %v", c.state, c.owner, err)
		}
	}
}
