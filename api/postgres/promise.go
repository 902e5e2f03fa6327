package postgres

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const promiseColumns = `
	SELECT p.id, p.job_id, p.what, p.due, p.party_id, p.confidence, p.promised_on, p.promised_by, p.created_at,
	       o.withdrawn, o.happened_on, o.why, o.recorded_by, o.created_at
	FROM promises p
	LEFT JOIN promise_outcomes o ON o.workshop_id = p.workshop_id AND o.promise_id = p.id
	WHERE p.workshop_id = $1 AND p.job_id = $2`

func scanPromise(row pgx.CollectableRow) (p domain.Promise, err error) {
	var (
		due, on   time.Time
		party, by *uuid.UUID
		withdrawn *bool
		ended, at *time.Time
		why       *string
	)
	err = row.Scan(&p.ID, &p.Job, &p.For, &due, &party, &p.Confidence, &on, &p.PromisedBy, &p.RecordedAt,
		&withdrawn, &ended, &why, &by, &at)
	p.Due, p.PromisedOn = domain.DateOf(due), domain.DateOf(on)
	if party != nil {
		p.Party = *party
	}
	if err == nil && withdrawn != nil {
		p.Outcome = &domain.PromiseOutcome{Withdrawn: *withdrawn, On: domain.DateOf(*ended), Why: *why, By: *by, At: *at}
	}
	return p, err
}

// Promises lists what was promised of a job, in order of recording.
func (r Reader) Promises(ctx context.Context, job uuid.UUID) ([]domain.Promise, error) {
	return many(ctx, r, scanPromise, promiseColumns+` ORDER BY p.created_at, p.id`, r.workshop, job)
}

// Promise is one promise of a job.
func (r Reader) Promise(ctx context.Context, job, id uuid.UUID) (domain.Promise, error) {
	return one(ctx, r, "promise", scanPromise, promiseColumns+` AND p.id = $3`, r.workshop, job, id)
}

// AddPromise keeps a promise.
func (tx *Tx) AddPromise(ctx context.Context, p domain.Promise) error {
	return tx.exec(ctx, `
		INSERT INTO promises (workshop_id, id, job_id, what, due, party_id, confidence, promised_on, promised_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		tx.workshop, p.ID, p.Job, p.For, p.Due.In(time.UTC), orNull(p.Party), p.Confidence, p.PromisedOn.In(time.UTC), p.PromisedBy, tx.now)
}

// AddPromiseOutcome keeps what became of a promise.
func (tx *Tx) AddPromiseOutcome(ctx context.Context, promise uuid.UUID, o domain.PromiseOutcome) error {
	return tx.exec(ctx, `
		INSERT INTO promise_outcomes (workshop_id, promise_id, withdrawn, happened_on, why, recorded_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`, tx.workshop, promise, o.Withdrawn, o.On.In(time.UTC), o.Why, o.By, tx.now)
}
