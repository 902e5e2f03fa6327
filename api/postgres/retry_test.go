package postgres_test

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

func TestTwoWritesThatLockEachOtherOutBothSucceed(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	mustExec(t, connect(t, db.Owner), `ALTER DATABASE `+pgx.Identifier{db.Name}.Sanitize()+` SET deadlock_timeout TO '50ms'`)
	s := openStore(t, db, 2)
	a := found(t, s)
	piano, one, two := newID(t), newID(t), newID(t)
	write(t, s, a, func(tx *postgres.Tx) error {
		return errors.Join(
			tx.AddInstrument(t.Context(), someInstrument(piano)),
			tx.AddSurvey(t.Context(), survey.Survey{ID: one, Instrument: piano, TakenOn: someDay}),
			tx.AddSurvey(t.Context(), survey.Survey{ID: two, Instrument: piano, TakenOn: someDay}))
	})
	var tries atomic.Int64
	var holding, ended sync.WaitGroup
	holding.Add(2)
	crosswise := func(order ...uuid.UUID) {
		crossed := false
		err := s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
			tries.Add(1)
			if err := tx.AddFinding(t.Context(), order[0], survey.Finding{ID: newID(t)}); err != nil {
				return err
			}
			if !crossed { // both must hold their first lock before either asks for its second
				crossed = true
				holding.Done()
				holding.Wait()
			}
			tx.Note("touched.both", order[0], map[string]any{})
			return tx.AddFinding(t.Context(), order[1], survey.Finding{ID: newID(t)})
		})
		if err != nil {
			t.Errorf("%v then %v: %v", order[0], order[1], err)
		}
	}
	ended.Go(func() { crosswise(one, two) })
	ended.Go(func() { crosswise(two, one) })
	ended.Wait()
	if tries.Load() < 3 {
		t.Errorf("only %d tries were made: no deadlock happened, so this proves nothing", tries.Load())
	}
	for _, id := range []uuid.UUID{one, two} {
		v := must(s.Read(a.Workshop).Survey(t.Context(), id))(t)
		if v.Version != 3 || len(v.Value.Findings) != 2 {
			t.Errorf(
				"survey %v is at version %d with %d findings, want 3 with 2: one by each", id,
				v.Version, len(v.Value.Findings),
			)
		}
	}
	if got := positions(t, s, a); len(got) != 2 {
		t.Errorf("the feed is %v, want one event of each write", got)
	}
}

func TestAWriteIsTriedThreeTimesAndNoMore(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	for code, want := range map[string]int{"40001": 3, "40P01": 3, "23505": 1, "55P03": 1} {
		tries := 0
		err := s.Write(t.Context(), a, morning, func(*postgres.Tx) error {
			tries++
			return &pgconn.PgError{Code: code}
		})
		if tries != want || (faultKind(err) == domain.Unavailable) != (want == 3) {
			t.Errorf(
				"SQLSTATE %s: %d tries and %v; want %d, unavailable only after three", code, tries,
				err, want,
			)
		}
	}
}

func TestWhoWaitsTooLongForALockIsToldToTryAgain(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	blocker := connect(t, db.Owner)
	s := openStore(t, db, 1)
	tx, err := blocker.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback(context.WithoutCancel(t.Context())) //nolint:errcheck // it only holds a lock
	mustExec(t, blocker, `SELECT FROM instruments WHERE workshop_id = $1 FOR UPDATE`, workshopA)
	err = s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error {
		return tx.SaveInstrument(t.Context(), someInstrument(rowID(13)), 1)
	})
	if faultKind(err) != domain.Unavailable {
		t.Errorf("got %v, want unavailable after the lock timeout", err)
	}
}

func TestWithoutAHeadNothingIsWritten(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	s := openStore(t, db, 1)
	a := actorOf(newID(t))
	err := s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
		tx.Note("nowhere", a.Workshop, map[string]any{})
		return nil
	})
	if err == nil {
		t.Error("an event of a workshop that does not exist was accepted")
	}
}
