package postgres

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const suspensionColumns = `
	SELECT s.job_id, s.id, coalesce(s.operation, ''), s.why, s.created_at, s.until, s.keeps_station, s.ended_at, s.ended_why
	FROM suspensions s`

// jobSuspension is a suspension with its job.
type jobSuspension struct {
	job uuid.UUID
	domain.Suspension
}

func scanSuspension(row pgx.CollectableRow) (x jobSuspension, err error) {
	var until time.Time
	err = row.Scan(&x.job, &x.ID, &x.Operation, &x.Why, &x.Since, &until, &x.KeepsStation, &x.EndedAt, &x.EndedWhy)
	x.Until = domain.DateOf(until)
	return x, err
}

// addSuspensions gives each job its suspensions that have not ended.
func (r Reader) addSuspensions(ctx context.Context, jobs []domain.Versioned[domain.Job]) error {
	ids := make([]uuid.UUID, len(jobs))
	at := make(map[uuid.UUID]*domain.Job, len(jobs))
	for i := range jobs {
		ids[i] = jobs[i].Value.ID
		at[ids[i]] = &jobs[i].Value
	}
	if len(ids) == 0 {
		return nil
	}
	open, err := many(ctx, r, scanSuspension, suspensionColumns+`
		WHERE s.workshop_id = $1 AND s.job_id = ANY($2) AND s.ended_at IS NULL
		ORDER BY s.created_at, s.id`, r.workshop, ids)
	for _, s := range open {
		at[s.job].Suspensions = append(at[s.job].Suspensions, s.Suspension)
	}
	return err
}

// Suspensions lists all suspensions of a job, ended ones too.
func (r Reader) Suspensions(ctx context.Context, job uuid.UUID) ([]domain.Suspension, error) {
	rows, err := many(ctx, r, scanSuspension, suspensionColumns+`
		WHERE s.workshop_id = $1 AND s.job_id = $2
		ORDER BY s.created_at, s.id`, r.workshop, job)
	list := make([]domain.Suspension, len(rows))
	for i, x := range rows {
		list[i] = x.Suspension
	}
	return list, err
}

// AddSuspension keeps a suspension of a job, which it has changed already.
func (tx *Tx) AddSuspension(ctx context.Context, j domain.Job, s domain.Suspension, version int64) error {
	if err := tx.touchJob(ctx, j, version); err != nil {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO suspensions (workshop_id, id, job_id, operation, why, until, keeps_station, created_at)
		VALUES ($1, $2, $3, nullif($4, ''), $5, $6, $7, $8)`,
		tx.workshop, s.ID, j.ID, s.Operation, s.Why, s.Until.In(time.UTC), s.KeepsStation, tx.now)
}

// EndSuspension keeps that what rested was taken up again.
func (tx *Tx) EndSuspension(ctx context.Context, j domain.Job, id uuid.UUID, why string, version int64) error {
	if err := tx.touchJob(ctx, j, version); err != nil {
		return err
	}
	return tx.exec(ctx, `
		UPDATE suspensions
		SET ended_at = $3, ended_why = $4
		WHERE job_id = $1 AND id = $2`, j.ID, id, tx.now, why)
}
