package app_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// during runs first in a transaction and starts second before that commits. It returns the error of
// second, which has to wait for the commit if it locks what first has locked.
func (s shop) during(first func(context.Context) error, second func() error) error {
	s.Helper()
	watch, err := pgx.Connect(s.Context(), s.db.Owner)
	s.ok(err)
	defer watch.Close(s.Context()) //nolint:errcheck // the test has its answer
	ended := make(chan error, 1)
	_, _, err = s.app.Once(
		s.Context(), s.who, keyOf("first", "x"), func(ctx context.Context) (app.Answer, error) {
			if err := first(ctx); err != nil {
				return app.Answer{}, err
			}
			done := make(chan error, 1)
			go func() { done <- second() }()
			for {
				select {
				case err := <-done:
					ended <- err
					return app.Answer{Status: 200}, nil
				case <-time.After(10 * time.Millisecond): // nothing tells of a lock that is waited for
				}
				// On a busy machine second computes for longer than a transaction may idle.
				if _, err := s.app.Read(ctx, s.who).Workshop(ctx); err != nil {
					return app.Answer{}, err
				}
				var waits bool
				if err := watch.QueryRow(ctx, `
					SELECT EXISTS (SELECT FROM pg_stat_activity
					WHERE datname = current_database() AND wait_event_type = 'Lock')`).Scan(&waits); err != nil {
					return app.Answer{}, err
				}
				if waits {
					go func() { ended <- <-done }()
					return app.Answer{Status: 200}, nil
				}
			}
		},
	)
	s.ok(err)
	return <-ended
}

var anEdit = []scope.Edit{
	{Kind: scope.AddOperation, Operation: "KY-05", Why: "two sharps are chipped"},
}

func TestAScopeIsEitherEditedOrAcceptedFirst(t *testing.T) {
	t.Parallel()
	for name, edit := range map[string]func(s shop, ctx context.Context, id uuid.UUID) error{
		"edited": func(s shop, ctx context.Context, id uuid.UUID) error {
			_, err := s.app.EditScope(ctx, s.who, id, anEdit, 1)
			return err
		},
		"moved": func(s shop, ctx context.Context, id uuid.UUID) error {
			_, err := s.app.MoveScope(ctx, s.who, id, 1, false, 1)
			return err
		},
	} {
		t.Run(name+" while it is being accepted", func(t *testing.T) {
			t.Parallel()
			s := openShop(t)
			id := drawnUp(t, s.app, s.who, ownPiano())
			err := s.during(func(ctx context.Context) error {
				_, err := s.app.AcceptScope(ctx, s.who, app.Acceptance{Scope: id, On: domain.DateOf(morning)})
				return err
			}, func() error { return edit(s, t.Context(), id) })
			if faultKind(err) != domain.Conflict {
				t.Errorf("got %v, want a conflict: the scope is a job", err)
			}
			if now := s.scope(id); now.Version != 1 {
				t.Errorf("the scope of the job is at version %d, want 1", now.Version)
			}
		})
	}
	t.Run("accepted while it is being edited", func(t *testing.T) {
		t.Parallel()
		s := openShop(t)
		id := drawnUp(t, s.app, s.who, ownPiano())
		s.ok(s.during(func(ctx context.Context) error {
			_, err := s.app.EditScope(ctx, s.who, id, anEdit, 1)
			return err
		}, func() error {
			_, err := s.app.AcceptScope(
				t.Context(), s.who, app.Acceptance{Scope: id, On: domain.DateOf(morning)},
			)
			return err
		}))
		j, err := s.app.Read(t.Context(), s.who).JobOf(t.Context(), id)
		s.ok(err)
		if j.Value.Task("KY-05") == nil {
			t.Error("the job lacks the operation that the edit added")
		}
	})
}

// A workshop may have two jobs on one piano, say the case and the action.
func TestAnInstrumentStandsWhereTheLastOfItsJobsLeavesIt(t *testing.T) {
	t.Parallel()
	today := domain.DateOf(morning)
	closing := func(s shop, ctx context.Context, j uuid.UUID) error {
		_, err := s.app.CloseJob(ctx, s.who, j, app.Closing{
			Outcome: job.Abandoned, On: today, Why: "sold as it stands",
		})
		return err
	}
	two := func(t *testing.T) (s shop, first job.Job, second uuid.UUID) {
		s = openShop(t)
		id := drawnUp(t, s.app, s.who, ownPiano())
		d := s.scope(id).Value
		return s, accepted(t, s.app, s.who, id), s.scopeOf(d.Instrument, d.Survey)
	}
	// Some workshops have two open jobs on one instrument, from before that was refused.
	older := func(s shop, first job.Job, scope uuid.UUID) job.Job {
		s.Helper()
		second := first
		second.ID, second.Scope = uuid.Must(uuid.NewV7()), scope
		store, err := postgres.Open(s.Context(), s.db.Service, 1)
		s.ok(err)
		defer store.Close()
		s.ok(store.Write(s.Context(), s.who, morning, func(tx *postgres.Tx) error {
			return tx.AddJob(s.Context(), second, nil)
		}))
		return second
	}
	wantState := func(s shop, j job.Job, want instrument.State) {
		s.Helper()
		if got := s.instrument(j.Instrument).Value.State; got != want {
			s.Errorf("the instrument is %s, want %s", got, want)
		}
	}
	accept := func(s shop, scope uuid.UUID) error {
		_, err := s.app.AcceptScope(s.Context(), s.who, app.Acceptance{Scope: scope, On: today})
		return err
	}
	t.Run("one closed after the other", func(t *testing.T) {
		t.Parallel()
		s, first, scopeID := two(t)
		second := older(s, first, scopeID)
		s.ok(closing(s, t.Context(), first.ID))
		wantState(s, first, instrument.InWork)
		s.ok(closing(s, t.Context(), second.ID))
		wantState(s, first, instrument.Waiting)
	})
	t.Run("both closed at once", func(t *testing.T) {
		t.Parallel()
		s, first, scopeID := two(t)
		second := older(s, first, scopeID)
		s.ok(s.during(
			func(ctx context.Context) error { return closing(s, ctx, first.ID) },
			func() error { return closing(s, t.Context(), second.ID) },
		))
		wantState(s, first, instrument.Waiting)
	})
	t.Run("another is accepted once the first is closed, and not before", func(t *testing.T) {
		t.Parallel()
		s, first, scopeID := two(t)
		err := s.during(
			func(ctx context.Context) error { return closing(s, ctx, first.ID) },
			func() error { return accept(s, scopeID) },
		)
		if faultKind(err) != domain.Conflict || !strings.Contains(chainOf(err), first.ID.String()) {
			t.Errorf("while it is being closed: got %v, want a conflict that names the job", err)
		}
		wantState(s, first, instrument.Waiting)
		s.ok(accept(s, scopeID))
		wantState(s, first, instrument.InWork)
	})
	t.Run("its record corrected while it is put to work", func(t *testing.T) {
		t.Parallel()
		s := openShop(t)
		id := drawnUp(t, s.app, s.who, ownPiano())
		i := s.instrument(s.scope(id).Value.Instrument)
		i.Value.Model = "Salon"
		s.ok(s.during(func(ctx context.Context) error {
			_, err := s.app.AcceptScope(ctx, s.who, app.Acceptance{Scope: id, On: today})
			return err
		}, func() error {
			_, err := s.app.ChangeInstrument(t.Context(), s.who, i.Value, i.Version)
			return err
		}))
		now := s.instrument(i.Value.ID).Value
		if now.State != instrument.InWork || now.Model != "Salon" {
			t.Errorf("it is %s and of the model %q, want both changes kept", now.State, now.Model)
		}
	})
}

// chainOf returns the reasons that a Fault gives.
func chainOf(err error) string {
	var f *domain.Fault
	if !errors.As(err, &f) {
		return ""
	}
	return strings.Join(f.Chain, "; ")
}
