package postgres_test

import (
	"context"
	"errors"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/job"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

func TestEveryKeyThatAClientCanBreakIsAFault(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	nowhere := rowID(99)
	for _, c := range []struct {
		what string
		want domain.FaultKind
		do   func(ctx context.Context, tx *postgres.Tx) error
	}{
		{"an instrument's id again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddInstrument(ctx, someInstrument(rowID(13)))
		}},
		{"a stock number again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			i := someInstrument(nowhere)
			i.StockNumber = "S-1"
			return tx.AddInstrument(ctx, i)
		}},
		{"a person's id again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddPerson(
				ctx,
				domain.Person{
					ID: rowID(11), Name: "x", Skills: []string{"x"}, ProductiveShare: half,
				},
			)
		}},
		{"a station's id again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddStation(ctx, domain.Station{ID: rowID(12), Name: "x", Count: 1})
		}},
		{"a station's name again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddStation(ctx, domain.Station{ID: nowhere, Name: "booth", Count: 1})
		}},
		{"a survey's id again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddSurvey(ctx, survey.Survey{ID: rowID(14), Instrument: rowID(13), TakenOn: someDay})
		}},
		{"a survey of no instrument", domain.NotFound, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddSurvey(ctx, survey.Survey{ID: nowhere, Instrument: nowhere, TakenOn: someDay})
		}},
		{"a finding's id again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddFinding(ctx, rowID(14), survey.Finding{ID: rowID(15)})
		}},
		{"a finding of no survey", domain.NotFound, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddFinding(ctx, nowhere, survey.Finding{ID: nowhere})
		}},
		{
			"a scope's id again", domain.Conflict,
			func(ctx context.Context, tx *postgres.Tx) error {
				return tx.AddScope(ctx, someDecision(rowID(16)))
			},
		},
		{
			"a bid's id again", domain.Conflict,
			func(ctx context.Context, tx *postgres.Tx) error { return addBid(ctx, tx, rowID(17)) },
		},
		{"a job's id again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			d := someDecision(nowhere)
			return errors.Join(
				tx.AddScope(ctx, d),
				tx.AddJob(
					ctx,
					job.Job{
						ID: rowID(18), Instrument: rowID(13), Scope: nowhere, AcceptedOn: someDay,
					},
					nil,
				),
			)
		}},
		{"a scope accepted again", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			return tx.AddJob(
				ctx,
				job.Job{ID: nowhere, Instrument: rowID(13), Scope: rowID(16), AcceptedOn: someDay},
				nil,
			)
		}},
		{"progress by nobody of the crew", domain.NotFound, func(
			ctx context.Context, tx *postgres.Tx,
		) error {
			j := job.Job{
				ID: rowID(18), State: job.Open, Tasks: []job.Task{{Operation: "AC-10", Left: half}},
			}
			return tx.AddProgress(
				ctx, j,
				job.Progress{
					ID: nowhere, Operation: "AC-10", Left: half, On: someDay, Person: nowhere,
				},
				1,
			)
		}},
		{"a task suspended twice", domain.Conflict, func(ctx context.Context, tx *postgres.Tx) error {
			j := job.Job{ID: rowID(18), State: job.Open}
			rest := func(id uuid.UUID, version int64) error {
				return tx.AddSuspension(
					ctx, j, job.Suspension{ID: id, Operation: "AC-10", Why: "glue", Until: someDay},
					version,
				)
			}
			return errors.Join(rest(nowhere, 1), rest(rowID(98), 2))
		}},
	} {
		err := s.Write(
			t.Context(), actorOf(workshopA), morning,
			func(tx *postgres.Tx) error { return c.do(t.Context(), tx) },
		)
		if faultKind(err) != c.want {
			t.Errorf("%s: got %v, want a fault of the kind %s", c.what, err, c.want)
		}
	}
}
