package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const promiseColumns = `
	SELECT p.id, p.job_id, p.what, p.due, p.party_id, p.confidence, p.promised_on, p.promised_by,
	p.created_at,
	       o.withdrawn, o.happened_on, o.why, o.recorded_by, o.created_at
	FROM promises p
	LEFT JOIN promise_outcomes o ON o.workshop_id = p.workshop_id AND o.promise_id = p.id
	WHERE p.workshop_id = $1 AND p.job_id = $2`

func scanPromise(row pgx.CollectableRow) (p job.Promise, err error) {
	var (
		due, on   time.Time
		party, by *uuid.UUID
		withdrawn *bool
		ended, at *time.Time
		why       *string
	)
	err = row.Scan(&p.ID, &p.Job, &p.For, &due, &party, &p.Confidence, &on, &p.PromisedBy,
		&p.RecordedAt,
		&withdrawn, &ended, &why, &by, &at)
	p.Due, p.PromisedOn = domain.DateOf(due), domain.DateOf(on)
	if party != nil {
		p.Party = *party
	}
	if err == nil && withdrawn != nil {
		p.Outcome = &job.PromiseOutcome{
			Withdrawn: *withdrawn, On: domain.DateOf(*ended), Why: *why, By: *by, At: *at,
		}
	}
	return p, err
}

// Promises returns a page of the promises about a job, oldest first.
func (r Reader) Promises(ctx context.Context, jobID uuid.UUID, p Page) ([]job.Promise, error) {
	q := pageOfJob(promiseColumns, r.workshop, jobID, p)
	return many(ctx, r, scanPromise, q.sql, q.args...)
}

// Promise returns one promise of a job.
func (r Reader) Promise(ctx context.Context, jobID, id uuid.UUID) (job.Promise, error) {
	return one(ctx, r, "promise", scanPromise, promiseColumns+` AND p.id = $3`, r.workshop, jobID, id)
}

// AddPromise adds a promise.
func (tx *Tx) AddPromise(ctx context.Context, p job.Promise) error {
	return tx.exec(ctx, `
		INSERT INTO promises (workshop_id, id, job_id, what, due, party_id, confidence, promised_on,
		promised_by, created_at)
		VALUES (@workshop_id, @id, @job_id, @what, @due, @party_id, @confidence, @promised_on,
		@promised_by, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": p.ID, "job_id": p.Job, "what": p.For,
			"due": p.Due.In(time.UTC), "party_id": orNull(p.Party), "confidence": p.Confidence,
			"promised_on": p.PromisedOn.In(time.UTC), "promised_by": p.PromisedBy, "created_at": tx.now,
		})
}

// AddPromiseOutcome records the outcome of a promise.
func (tx *Tx) AddPromiseOutcome(
	ctx context.Context, promise uuid.UUID, o job.PromiseOutcome,
) error {
	return tx.exec(ctx, `
		INSERT INTO promise_outcomes (workshop_id, promise_id, withdrawn, happened_on, why, recorded_by,
		created_at)
		VALUES (@workshop_id, @promise_id, @withdrawn, @happened_on, @why, @recorded_by, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "promise_id": promise, "withdrawn": o.Withdrawn,
			"happened_on": o.On.In(time.UTC), "why": o.Why, "recorded_by": o.By, "created_at": tx.now,
		})
}
