package app_test

import (
	"sync"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// clientsJob accepts a scope of a client's piano, and returns the client.
func (s shop) clientsJob() (job.Job, domain.Party) {
	s.Helper()
	j := accepted(s.T, s.app, s.who, drawnUp(s.T, s.app, s.who, clientsPiano()))
	p, err := s.app.Read(s.Context(), s.who).Party(s.Context(), s.instrument(j.Instrument).Value.Party)
	s.ok(err)
	return j, p.Value
}

// quoted offers a client one option: a scope of their piano as it stands.
func (s shop) quoted(scope uuid.UUID) job.Quotation {
	s.Helper()
	i := s.instrument(s.scope(scope).Value.Instrument).Value
	q, err := s.app.Quote(s.Context(), s.who, quotation(i.ID, i.Party, scope))
	s.ok(err)
	return q
}

// quotation asks 4200.00 EUR for each of some scopes.
func quotation(i, party uuid.UUID, scopes ...uuid.UUID) job.Quotation {
	q := job.Quotation{
		Instrument: i, Party: party, ValidUntil: domain.DateOf(morning).AddDays(30),
		Deposit: money.MustParse("500.00 EUR"),
	}
	for _, x := range scopes {
		q.Options = append(q.Options, job.QuotedOption{
			Scope: x, Title: "Reconditioned", Net: money.MustParse("4200.00 EUR"),
		})
	}
	return q
}

// once holds decisions that can be taken only once. Each sets up its subject and returns the
// decision.
var once = map[string]func(shop) func() error{
	"a scope is accepted": func(s shop) func() error {
		id := drawnUp(s.T, s.app, s.who, ownPiano())
		return func() error {
			_, err := s.app.AcceptScope(
				s.Context(), s.who, app.Acceptance{Scope: id, On: domain.DateOf(morning)},
			)
			return err
		}
	},
	"a job is closed": func(s shop) func() error {
		j := accepted(s.T, s.app, s.who, drawnUp(s.T, s.app, s.who, ownPiano()))
		return func() error {
			_, err := s.app.CloseJob(s.Context(), s.who, j.ID, app.Closing{
				Outcome: job.PartedOut, On: domain.DateOf(morning), Why: "the frame is cracked",
			})
			return err
		}
	},
	"a job is put on hold": func(s shop) func() error {
		j := accepted(s.T, s.app, s.who, drawnUp(s.T, s.app, s.who, ownPiano()))
		return func() error {
			_, err := s.app.Suspend(s.Context(), s.who, j.ID, job.Suspension{
				Why: "its owner thinks it over", Until: domain.DateOf(morning).AddDays(9),
			})
			return err
		}
	},
	"a suspension is ended": func(s shop) func() error {
		j := accepted(s.T, s.app, s.who, drawnUp(s.T, s.app, s.who, ownPiano()))
		held, err := s.app.Suspend(s.Context(), s.who, j.ID, job.Suspension{
			Operation: j.Tasks[0].Operation, Why: "glue", Until: domain.DateOf(morning).AddDays(3),
		})
		s.ok(err)
		return func() error {
			_, err := s.app.Resume(s.Context(), s.who, j.ID, held.Value.Suspensions[0].ID, "")
			return err
		}
	},
	"a promise is met": func(s shop) func() error {
		j := accepted(s.T, s.app, s.who, drawnUp(s.T, s.app, s.who, ownPiano()))
		p, _, err := s.app.Promise(s.Context(), s.who, job.Promise{
			Job: j.ID, For: "ready", Due: domain.DateOf(morning).AddDays(40),
		})
		s.ok(err)
		return func() error {
			_, err := s.app.EndPromise(s.Context(), s.who, j.ID, p.ID, job.PromiseOutcome{
				On: domain.DateOf(morning),
			})
			return err
		}
	},
	"a proposal is decided": func(s shop) func() error {
		stock := someInstrument()
		stock.Owner = instrument.Stock
		j := accepted(s.T, s.app, s.who, drawnUp(s.T, s.app, s.who, stock))
		p, err := s.app.Propose(s.Context(), s.who, loosePins(j.ID))
		s.ok(err)
		return func() error {
			_, err := s.app.Decide(
				s.Context(), s.who, j.ID, p.ID, job.Decision{Accepted: true, Reason: "it must"},
			)
			return err
		}
	},
	"a quotation is answered": func(s shop) func() error {
		q := s.quoted(drawnUp(s.T, s.app, s.who, clientsPiano()))
		return func() error {
			_, err := s.app.AnswerQuotation(s.Context(), s.who, q.ID, job.QuotationAnswer{
				Accepted: true, Option: 1, On: domain.DateOf(morning),
			})
			return err
		}
	},
	"a revision of the catalogue is edited": func(s shop) func() error {
		return func() error {
			_, err := s.app.EditCatalogue(s.Context(), s.who, []catalogue.Change{{
				Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "heavy",
			}}, "", 1)
			return err
		}
	},
}

func TestOfManyWhoDecideAtOnceOneDoes(t *testing.T) {
	t.Parallel()
	for name, made := range once {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			const callers = 5
			s := openShop(t)
			decide := made(s)
			before, err := s.app.Read(t.Context(), s.who).Events(t.Context(), 0, 100)
			s.ok(err)
			errs := make([]error, callers)
			var all sync.WaitGroup
			for n := range callers {
				all.Go(func() { errs[n] = decide() })
			}
			all.Wait()
			decided := 0
			for _, err := range errs {
				switch faultKind(err) {
				case domain.Conflict, domain.NotFound, domain.Stale:
				default:
					s.ok(err)
					decided++
				}
			}
			after, err := s.app.Read(t.Context(), s.who).Events(t.Context(), 0, 100)
			s.ok(err)
			events := 1
			if name == "a quotation is answered" {
				events = 2 // the answer and the job that it makes
			}
			if got := len(after) - len(before); decided != 1 || got != events {
				t.Errorf("%d of %d were told that they did, and %d events were noted; want 1 and %d",
					decided, callers, got, events)
			}
		})
	}
}

// Each variation is below the limit that the client agreed to, but both together are above it.
func TestOfTwoVariationsAtOnceOnlyOneIsWithinTheLimit(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	j, client := s.clientsJob()
	_, err := s.app.AgreeLimit(t.Context(), s.who, j.ID, job.SpendingLimit{
		Limit: money.MustParse("100.00 EUR"), Party: client.ID, AgreedOn: domain.DateOf(morning),
		How: "by letter",
	})
	s.ok(err)
	price := decimal.NewFromInt(60)
	var proposals []uuid.UUID
	for _, says := range []string{"the carrier asks for more", "the castors are worn"} {
		p, err := s.app.Propose(
			t.Context(), s.who, app.NewProposal{Job: j.ID, Says: says, Price: &price},
		)
		s.ok(err)
		if p.NeedsConsent {
			t.Fatalf("%s for 60.00 needs consent below a limit of 100.00", says)
		}
		proposals = append(proposals, p.ID)
	}
	errs := make([]error, len(proposals))
	var all sync.WaitGroup
	for n, id := range proposals {
		all.Go(func() {
			_, errs[n] = s.app.Decide(
				t.Context(), s.who, j.ID, id, job.Decision{Accepted: true, Reason: "small"},
			)
		})
	}
	all.Wait()
	if (errs[0] == nil) == (errs[1] == nil) {
		t.Errorf("accepted without asking: %v and %v, want one of them refused", errs[0], errs[1])
	}
	shown, err := s.app.Proposals(t.Context(), s.who, j.ID, postgres.Whole)
	s.ok(err)
	if got := shown[0].Allowance.Spent.Text(); got != "60.00" {
		t.Errorf("%s was accepted without asking, want 60.00", got)
	}
}
