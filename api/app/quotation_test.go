package app_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// pointers returns the pointers of the fields that a Fault names.
func pointers(err error) []string {
	var f *domain.Fault
	if !errors.As(err, &f) {
		return nil
	}
	var list []string
	for _, x := range f.Fields {
		list = append(list, x.Pointer)
	}
	return list
}

func TestOnlyScopesOfTheClientsPianoAreQuoted(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	mine := drawnUp(t, s.app, s.who, clientsPiano())
	other := drawnUp(t, s.app, s.who, clientsPiano())
	piano := s.scope(mine).Value.Instrument
	client := s.instrument(piano).Value.Party
	before := effects(t, s.app, s.who)
	_, err := s.app.Quote(
		t.Context(), s.who, quotation(piano, client, mine, uuid.Max, other),
	)
	want := []string{"#/options/1/scope", "#/options/2/scope"}
	if got := pointers(err); !slices.Equal(got, want) {
		t.Errorf("faults at %v, want %v: %v", got, want, err)
	}
	for _, owner := range []instrument.Ownership{instrument.Stock, instrument.Offered} {
		in := someInstrument()
		in.Owner = owner
		scope := drawnUp(t, s.app, s.who, in)
		_, err := s.app.Quote(t.Context(), s.who,
			quotation(s.scope(scope).Value.Instrument, client, scope))
		if faultKind(err) != domain.Conflict {
			t.Errorf("a piano in %s: got %v, want a conflict", owner, err)
		}
	}
	q, err := s.app.Quote(t.Context(), s.who, quotation(piano, client, mine))
	s.ok(err)
	if o := q.Options[0]; o.Version != 1 || o.Depth != catalogue.Recondition ||
		q.QuotedOn != domain.DateOf(morning) || q.QuotedBy != s.who.User {
		t.Errorf("got %+v, want the scope at its version, today and by whom", q)
	}
	if after := effects(t, s.app, s.who); after == before {
		t.Error("nothing was noted of the quotation")
	}
}

func TestAnOptionIsAcceptedAsItWasQuotedOrNotAtAll(t *testing.T) {
	t.Parallel()
	yes := job.QuotationAnswer{Accepted: true, Option: 1, On: domain.DateOf(morning)}
	no := job.QuotationAnswer{On: domain.DateOf(morning)}
	for _, c := range []struct {
		name   string
		edited bool
		answer job.QuotationAnswer
		want   domain.FaultKind
	}{
		{"accepted as it stands", false, yes, ""},
		{"accepted after it was edited", true, yes, domain.Conflict},
		{"declined after it was edited", true, no, ""},
		{"of an option that there isn't", false, job.QuotationAnswer{
			Accepted: true, Option: 2, On: domain.DateOf(morning),
		}, domain.Invalid},
		{"dated tomorrow", false, job.QuotationAnswer{
			Accepted: true, Option: 1, On: domain.DateOf(morning).AddDays(1),
		}, domain.Invalid},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := openShop(t)
			scope := drawnUp(t, s.app, s.who, clientsPiano())
			q := s.quoted(scope)
			if c.edited {
				_, err := s.app.EditScope(t.Context(), s.who, scope, anEdit, 1)
				s.ok(err)
			}
			_, err := s.app.AnswerQuotation(t.Context(), s.who, q.ID, c.answer)
			if faultKind(err) != c.want || c.want == "" && err != nil {
				t.Fatalf("got %v, want %q", err, c.want)
			}
			now, err := s.app.Read(t.Context(), s.who).Quotation(t.Context(), q.ID)
			s.ok(err)
			if answered := now.Answer != nil; answered != (c.want == "") {
				t.Errorf("the answer on record is %+v", now.Answer)
			}
			if c.want == "" && now.Answer.By != s.who.User {
				t.Errorf("the answer was recorded by %v, want %v", now.Answer.By, s.who.User)
			}
		})
	}
}

// Some workshops have accepted quotations of which no job was made, from before a yes made it.
func TestTheScopeThatTheClientAcceptedLastIsTheJobUnlessTheySaidOtherwise(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	light := drawnUp(t, s.app, s.who, clientsPiano())
	d := s.scope(light).Value
	deep := s.scopeOf(d.Instrument, d.Survey)
	accept := func(scope uuid.UUID, consent *job.WorkConsent) (job.Job, error) {
		j, err := s.app.AcceptScope(t.Context(), s.who, app.Acceptance{
			Scope: scope, On: domain.DateOf(morning), Consent: consent,
		})
		return j.Value, err
	}
	store, err := postgres.Open(t.Context(), s.db.Service, 1)
	s.ok(err)
	defer store.Close()
	var last job.Quotation
	for _, scope := range []uuid.UUID{light, deep} { // the client changed their mind
		last = s.quoted(scope)
		s.ok(store.Write(t.Context(), s.who, morning, func(tx *postgres.Tx) error {
			return tx.AddQuotationAnswer(t.Context(), last.ID, job.QuotationAnswer{
				Accepted: true, Option: 1, On: domain.DateOf(morning), By: s.who.User,
			})
		}))
	}
	_, err = accept(light, nil)
	if chain := chainOf(err); faultKind(err) != domain.Conflict ||
		!strings.Contains(chain, deep.String()) {
		t.Errorf("the scope accepted first: got %v (%s), want a conflict that names the last", err, chain)
	}
	yes := saidYes(t, s.app, s.who, s.instrument(d.Instrument).Value.Party)
	if _, err := accept(deep, yes); !slices.Equal(pointers(err), []string{"#/consent"}) {
		t.Errorf("a word where the quotation is one: got %v", err)
	}
	first, err := accept(light, yes)
	s.ok(err)
	basis, err := s.app.JobBasis(t.Context(), s.who, first)
	s.ok(err)
	if c := basis.Consent; c == nil || c.Instead != last.ID || c.Party != yes.Party ||
		c.Version != 1 || c.RecordedBy != s.who.User {
		t.Errorf("the job rests on %+v, want the word instead of the quotation %s", c, last.ID)
	}
	_, err = s.app.CloseJob(t.Context(), s.who, first.ID, app.Closing{
		Outcome: job.Abandoned, On: domain.DateOf(morning), Why: "back to the other",
	})
	s.ok(err)
	second, err := accept(deep, nil)
	s.ok(err)
	if basis, err = s.app.JobBasis(t.Context(), s.who, second); err != nil || basis.Consent != nil ||
		basis.Quotation != last.ID {
		t.Errorf("the job rests on %+v, %v; want the quotation", basis, err)
	}
}

func TestAJobIsPlannedFromTheDayOfItsAcceptance(t *testing.T) {
	t.Parallel()
	today := domain.DateOf(morning)
	for name, days := range map[string]int{"today": 0, "two months ago": -60} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := openShop(t)
			j, err := s.app.AcceptScope(t.Context(), s.who, app.Acceptance{
				Scope: drawnUp(t, s.app, s.who, ownPiano()), On: today.AddDays(days),
			})
			s.ok(err)
			if got := s.instrument(j.Value.Instrument).Value.State; got != instrument.InWork {
				t.Errorf("the instrument is %s, want it in work", got)
			}
			b, err := s.app.Baseline(t.Context(), s.who, j.Value.ID)
			s.ok(err)
			start := domain.DateOf(b.Plan.Steps[0].Start)
			if n := today.AddDays(days).DaysUntil(start); n < 0 || n > 4 {
				t.Errorf("the baseline begins on %s, want it from %s on", start, today.AddDays(days))
			}
		})
	}
	s := openShop(t)
	scope := drawnUp(t, s.app, s.who, ownPiano())
	_, err := s.app.AcceptScope(
		t.Context(), s.who, app.Acceptance{Scope: scope, On: today.AddDays(1)},
	)
	if faultKind(err) != domain.Invalid {
		t.Errorf("tomorrow: got %v, want it refused", err)
	}
}
