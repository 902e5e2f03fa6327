package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// jobsWithTasks is one statement, so that a job that comes in meanwhile is seen
// with its tasks or not at all.
const jobsWithTasks = `
	SELECT j.id, j.instrument_id, j.scope_id, j.accepted_on, j.place, j.version, j.created_at,
	       coalesce(t.operation, ''), coalesce(t.planned, 0), coalesce(t.left_hours, 0), t.finished_at
	FROM jobs j
	LEFT JOIN tasks t ON t.workshop_id = j.workshop_id AND t.job_id = j.id
	WHERE j.workshop_id = $1 AND ($2::uuid IS NULL OR j.id = $2)
	ORDER BY j.place, j.id, t.operation`

// scanJobRow reads a job with one of its tasks, or with none.
func scanJobRow(row pgx.CollectableRow) (v domain.Versioned[domain.Job], err error) {
	j, t := &v.Value, domain.Task{}
	var on time.Time
	err = row.Scan(&j.ID, &j.Instrument, &j.Scope, &on, &j.Place, &v.Version, &v.CreatedAt,
		&t.Operation, &t.Planned, &t.Left, &t.FinishedAt)
	j.AcceptedOn = domain.DateOf(on)
	if t.Operation != "" {
		j.Tasks = []domain.Task{t}
	}
	return v, err
}

// Jobs lists all jobs in the order of the queue, with their tasks.
func (r Reader) Jobs(ctx context.Context) ([]domain.Versioned[domain.Job], error) {
	return r.jobs(ctx, nil)
}

// Job is one job with its tasks.
func (r Reader) Job(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Job], error) {
	jobs, err := r.jobs(ctx, &id)
	switch {
	case err != nil:
		return domain.Versioned[domain.Job]{}, err
	case len(jobs) == 0:
		return domain.Versioned[domain.Job]{}, domain.Refuse(domain.NotFound, "there is no such job")
	}
	return jobs[0], nil
}

// jobs lists all jobs, or the one of an id.
func (r Reader) jobs(ctx context.Context, id *uuid.UUID) ([]domain.Versioned[domain.Job], error) {
	rows, err := many(ctx, r, scanJobRow, jobsWithTasks, r.workshop, id)
	if err != nil {
		return nil, err
	}
	jobs := rows[:0]
	for _, row := range rows {
		if n := len(jobs); n > 0 && jobs[n-1].Value.ID == row.Value.ID {
			jobs[n-1].Value.Tasks = append(jobs[n-1].Value.Tasks, row.Value.Tasks...)
			continue
		}
		jobs = append(jobs, row)
	}
	return jobs, nil
}

// AddJob adds a job at the end of the queue, with its tasks.
func (tx *Tx) AddJob(ctx context.Context, j domain.Job) error {
	err := tx.exec(ctx, `
		INSERT INTO jobs (workshop_id, id, instrument_id, scope_id, accepted_on, place, created_at)
		SELECT $1, $2, $3, $4, $5, coalesce(max(place), 0) + 1, $6
		FROM jobs`, tx.workshop, j.ID, j.Instrument, j.Scope, j.AcceptedOn.In(time.UTC), tx.now)
	if err != nil {
		return err
	}
	for _, t := range j.Tasks {
		err := tx.exec(ctx, `
			INSERT INTO tasks (workshop_id, job_id, operation, planned, left_hours)
			VALUES ($1, $2, $3, $4, $5)`, tx.workshop, j.ID, t.Operation, t.Planned, t.Left)
		if err != nil {
			return err
		}
	}
	return nil
}

// SaveProgress records the hours left on a task, and whether it is finished,
// at the version of the job that was read.
func (tx *Tx) SaveProgress(ctx context.Context, job uuid.UUID, operation catalogue.Code, left decimal.Decimal, finished *time.Time, version int64) error {
	err := tx.update(ctx, "job", `UPDATE jobs SET version = version + 1 WHERE id = $1 AND version = $2`, job, version)
	if err != nil {
		return err
	}
	tag, err := tx.tx.Exec(ctx, `
		UPDATE tasks
		SET left_hours = $3, finished_at = $4, version = version + 1
		WHERE job_id = $1 AND operation = $2`, job, operation, left, finished)
	if err == nil && tag.RowsAffected() == 0 {
		return domain.Refuse(domain.NotFound, "the job has no such operation")
	}
	return translate(err)
}
