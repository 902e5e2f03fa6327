package postgres_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// contenders is how many transactions change the same row at once.
const contenders = 6

func TestOfSeveralChangesAtOneVersionExactlyOneWins(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what   string
		change func(ctx context.Context, tx *postgres.Tx, n int) error
		is     func(tb testing.TB, r postgres.Reader) (version int64, holds string)
		says   func(n int) string // what is read if n has won
	}{
		{
			"workshop", changeWorkshop, readWorkshop,
			func(n int) string { return fmt.Sprintf("Name %d", n) },
		},
		{
			"person", changePerson, readPerson,
			func(n int) string { return fmt.Sprintf("Name %d", n) },
		},
		{
			"station", changeStation, readStation,
			func(n int) string { return fmt.Sprintf("Name %d", n) },
		},
		{
			"instrument", changeInstrument, readInstrument,
			func(n int) string { return fmt.Sprintf("Model %d", n) },
		},
		{
			"scope's edits", changeEdits, readEdits,
			func(n int) string { return fmt.Sprintf("why %d", n) },
		},
		{
			"job's progress", changeProgress, readProgress,
			func(n int) string { return fmt.Sprintf("%d hours left", n) },
		},
		{"survey", strikeFinding, readSurvey, func(int) string { return "0 findings" }},
		{
			"catalogue", reviseCatalogue, readCatalogue,
			func(n int) string { return fmt.Sprintf("note %d", n) },
		},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Parallel()
			db := pgtest.New(t)
			fillAll(t, asOwner(t, db))
			s := openStore(t, db, contenders+1)
			winner := contend(t, s, c.change)
			version, holds := c.is(t, s.Read(workshopA))
			if version != 2 || holds != c.says(winner) {
				t.Errorf(
					"after %d had won: version %d, %s; want version 2, %s", winner, version, holds,
					c.says(winner),
				)
			}
		})
	}
}

// contend runs a change at version 1 in several transactions, which start it only once all have
// begun. It returns the one that won and checks that all others got a Stale Fault.
func contend(
	t *testing.T, s *postgres.Store, change func(context.Context, *postgres.Tx, int) error,
) (winner int) {
	t.Helper()
	var begun, ended sync.WaitGroup
	begun.Add(contenders)
	errs := make([]error, contenders)
	for n := range contenders {
		ended.Go(func() {
			met := false
			errs[n] = s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error {
				if !met {
					met = true
					begun.Done()
					begun.Wait()
				}
				return change(t.Context(), tx, n)
			})
		})
	}
	ended.Wait()
	winner = -1
	for n, err := range errs {
		switch {
		case err == nil && winner < 0:
			winner = n
		case err == nil:
			t.Errorf("both %d and %d changed the same version", winner, n)
		case faultKind(err) != domain.Stale:
			t.Errorf("contender %d: got %v, want a stale version", n, err)
		}
	}
	if winner < 0 {
		t.Fatalf("nobody won: %v", errors.Join(errs...))
	}
	return winner
}

func changeWorkshop(ctx context.Context, tx *postgres.Tx, n int) error {
	w := someWorkshop(workshopA)
	w.Name = fmt.Sprintf("Name %d", n)
	return tx.SaveWorkshop(ctx, w, 1)
}

func readWorkshop(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.Workshop(tb.Context()))(tb)
	return v.Version, v.Value.Name
}

func changePerson(ctx context.Context, tx *postgres.Tx, n int) error {
	return tx.SavePerson(ctx, domain.Person{
		ID: rowID(11), Name: fmt.Sprintf("Name %d", n), Skills: []string{"bench"},
		ProductiveShare: decimal.RequireFromString("0.7"),
	}, 1)
}

func readPerson(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.Person(tb.Context(), rowID(11)))(tb)
	return v.Version, v.Value.Name
}

func changeStation(ctx context.Context, tx *postgres.Tx, n int) error {
	return tx.SaveStation(
		ctx, domain.Station{ID: rowID(12), Name: fmt.Sprintf("Name %d", n), Count: 1}, 1,
	)
}

func readStation(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.Station(tb.Context(), rowID(12)))(tb)
	return v.Version, v.Value.Name
}

func changeInstrument(ctx context.Context, tx *postgres.Tx, n int) error {
	i := someInstrument(rowID(13))
	i.Model = fmt.Sprintf("Model %d", n)
	return tx.SaveInstrument(ctx, i, 1)
}

func readInstrument(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.Instrument(tb.Context(), rowID(13)))(tb)
	return v.Version, v.Value.Model
}

func changeEdits(ctx context.Context, tx *postgres.Tx, n int) error {
	return tx.SaveEdits(
		ctx, rowID(16),
		[]scope.Edit{
			{Kind: scope.RemoveOperation, Operation: "AC-10", Why: fmt.Sprintf("why %d", n)},
		},
		1,
	)
}

func readEdits(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.Scope(tb.Context(), rowID(16)))(tb)
	return v.Version, v.Value.Edits[0].Why
}

func changeProgress(ctx context.Context, tx *postgres.Tx, n int) error {
	left := decimal.NewFromInt(int64(n))
	j := job.Job{
		ID: rowID(18), State: job.Open, Tasks: []job.Task{{Operation: "AC-10", Left: left}},
	}
	return tx.AddProgress(
		ctx, j, job.Progress{ID: rowID(900 + n), Operation: "AC-10", Left: left, On: someDay}, 1,
	)
}

func readProgress(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.Job(tb.Context(), rowID(18)))(tb)
	return v.Version, v.Value.Tasks[0].Left.String() + " hours left"
}

func strikeFinding(ctx context.Context, tx *postgres.Tx, _ int) error {
	return tx.StrikeFinding(ctx, rowID(14), rowID(15), 1)
}

func readSurvey(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.Survey(tb.Context(), rowID(14)))(tb)
	return v.Version, fmt.Sprintf("%d findings", len(v.Value.Findings))
}

// reviseCatalogue has every contender bring a document of its own.
func reviseCatalogue(ctx context.Context, tx *postgres.Tx, n int) error {
	hash, err := tx.KeepDocument(ctx, fmt.Appendf(nil, "catalogue %d", n))
	if err != nil {
		return err
	}
	_, err = tx.AddRevision(ctx, 1, hash, fmt.Sprintf("note %d", n))
	return err
}

func readCatalogue(tb testing.TB, r postgres.Reader) (int64, string) {
	v := must(r.LatestRevision(tb.Context()))(tb)
	return int64(v.Number), v.Note
}

// must fails the test if a read failed.
func must[T any](v T, err error) func(testing.TB) T {
	return func(tb testing.TB) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

func TestOnlyOneOfSeveralFirstCataloguesIsMade(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	first := func(tx *postgres.Tx) error {
		hash, err := tx.KeepDocument(t.Context(), []byte("a catalogue"))
		if err != nil {
			return err
		}
		_, err = tx.AddRevision(t.Context(), 0, hash, "as shipped")
		return err
	}
	write(t, s, a, first)
	if err := s.Write(t.Context(), a, morning, first); faultKind(err) != domain.Stale {
		t.Errorf("a second first revision: got %v, want stale", err)
	}
}

func TestASurveyThatIsFullTakesNoFinding(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner := asOwner(t, db)
	fillAll(t, owner)
	fill := func(n int) {
		mustExec(t, owner, `
			INSERT INTO findings
			  (workshop_id, id, survey_id, point, place, unit, answer, note, raise, created_at)
			SELECT $1, gen_random_uuid(), $2, 'AC-01', '', '', '', '', '', now()
			FROM generate_series(1, $3::integer)`, workshopA, rowID(14), n)
	}
	s := openStore(t, db, 1)
	add := func() error {
		return s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error {
			return tx.AddFinding(t.Context(), rowID(14), survey.Finding{ID: newID(t), Point: "AC-02"})
		})
	}
	fill(1998) // one is there already
	if err := add(); err != nil {
		t.Errorf("the last that there is room for: %v", err)
	}
	if err := add(); faultKind(err) != domain.Conflict {
		t.Errorf("one more: got %v, want a conflict", err)
	}
}

func TestAFindingAddedMakesTheSurveyStale(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return tx.AddFinding(
			t.Context(), rowID(14), survey.Finding{ID: newID(t), Point: "AC-02", Note: "sluggish"},
		)
	})
	err := s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error {
		return tx.StrikeFinding(t.Context(), rowID(14), rowID(15), 1)
	})
	if faultKind(err) != domain.Stale {
		t.Errorf("striking at the previous version: got %v, want stale", err)
	}
}
