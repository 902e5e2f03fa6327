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

const jobColumns = `SELECT id, instrument_id, scope_id, accepted_on, place, version, created_at FROM jobs`

func scanJob(row pgx.CollectableRow) (v domain.Versioned[domain.Job], err error) {
	j := &v.Value
	var on time.Time
	err = row.Scan(&j.ID, &j.Instrument, &j.Scope, &on, &j.Place, &v.Version, &v.CreatedAt)
	j.AcceptedOn = domain.DateOf(on)
	return v, err
}

func scanTask(row pgx.CollectableRow) (t domain.Task, err error) {
	err = row.Scan(&t.Operation, &t.Planned, &t.Left, &t.FinishedAt)
	return t, err
}

// Jobs lists all jobs in the order of the queue, with their tasks.
func (r Reader) Jobs(ctx context.Context) ([]domain.Versioned[domain.Job], error) {
	jobs, err := many(ctx, r, scanJob, jobColumns+` ORDER BY place, id`)
	if err != nil {
		return nil, err
	}
	type row struct {
		job  uuid.UUID
		task domain.Task
	}
	rows, err := many(ctx, r, func(c pgx.CollectableRow) (x row, err error) {
		err = c.Scan(&x.job, &x.task.Operation, &x.task.Planned, &x.task.Left, &x.task.FinishedAt)
		return x, err
	}, `SELECT job_id, operation, planned, left_hours, finished_at FROM tasks ORDER BY job_id, operation`)
	if err != nil {
		return nil, err
	}
	at := make(map[uuid.UUID]int, len(jobs))
	for i := range jobs {
		at[jobs[i].Value.ID] = i
	}
	for _, x := range rows {
		j := &jobs[at[x.job]].Value
		j.Tasks = append(j.Tasks, x.task)
	}
	return jobs, nil
}

// Job is one job with its tasks.
func (r Reader) Job(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Job], error) {
	v, err := one(ctx, r, "job", scanJob, jobColumns+` WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
	if err != nil {
		return v, err
	}
	v.Value.Tasks, err = many(ctx, r, scanTask, `
		SELECT operation, planned, left_hours, finished_at
		FROM tasks
		WHERE workshop_id = $1 AND job_id = $2
		ORDER BY operation`, r.workshop, id)
	return v, err
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
