package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const suspensionColumns = `
	SELECT s.job_id, s.id, coalesce(s.operation, ''), s.why, s.created_at, s.until, s.keeps_station,
	s.ended_at, s.ended_why
	FROM suspensions s`

// jobSuspension is a suspension with the id of its job.
type jobSuspension struct {
	job uuid.UUID
	job.Suspension
}

func scanSuspension(row pgx.CollectableRow) (x jobSuspension, err error) {
	var until time.Time
	err = row.Scan(
		&x.job, &x.ID, &x.Operation, &x.Why, &x.Since, &until, &x.KeepsStation, &x.EndedAt,
		&x.EndedWhy,
	)
	x.Until = domain.DateOf(until)
	return x, err
}

// addSuspensions loads the open suspensions of each job in jobs.
func (r Reader) addSuspensions(ctx context.Context, jobs []domain.Versioned[job.Job]) error {
	ids := make([]uuid.UUID, len(jobs))
	at := make(map[uuid.UUID]*job.Job, len(jobs))
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

// Suspensions returns a page of the suspensions of a job, oldest first, including those that have
// ended.
func (r Reader) Suspensions(ctx context.Context, j uuid.UUID, p Page) ([]job.Suspension, error) {
	q := suspensionPage(r.workshop, j, p)
	rows, err := many(ctx, r, scanSuspension, q.sql, q.args...)
	list := make([]job.Suspension, len(rows))
	for i, x := range rows {
		list[i] = x.Suspension
	}
	return list, err
}

func suspensionPage(workshop, jobID uuid.UUID, p Page) *query {
	q := &query{sql: suspensionColumns}
	q.where("s.workshop_id = " + q.arg(workshop) + " AND s.job_id = " + q.arg(jobID))
	q.page(order{column: "s.created_at", tie: "s.id"}, p)
	return q
}

// AddSuspension adds a suspension and saves the state of the job as j has it.
func (tx *Tx) AddSuspension(ctx context.Context, j job.Job, s job.Suspension, version int64) error {
	if err := tx.touchJob(ctx, j, version); err != nil {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO suspensions (workshop_id, id, job_id, operation, why, until, keeps_station,
		created_at)
		VALUES (@workshop_id, @id, @job_id, nullif(@operation, ''), @why, @until, @keeps_station,
		@created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": s.ID, "job_id": j.ID, "operation": s.Operation, "why": s.Why,
			"until": s.Until.In(time.UTC), "keeps_station": s.KeepsStation, "created_at": tx.now,
		})
}

// EndSuspension ends a suspension and saves the state of the job as j has it.
func (tx *Tx) EndSuspension(
	ctx context.Context, j job.Job, id uuid.UUID, why string, version int64,
) error {
	if err := tx.touchJob(ctx, j, version); err != nil {
		return err
	}
	return tx.exec(ctx, `
		UPDATE suspensions
		SET ended_at = $3, ended_why = $4
		WHERE job_id = $1 AND id = $2`, j.ID, id, tx.now, why)
}
