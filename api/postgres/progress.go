package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Progress returns a page of the progress entries of a task, oldest first.
func (r Reader) Progress(
	ctx context.Context, jobID uuid.UUID, operation catalogue.Code, p Page,
) ([]job.Progress, error) {
	q := progressPage(r.workshop, jobID, operation, p)
	return many(ctx, r, scanProgress, q.sql, q.args...)
}

func progressPage(workshop, jobID uuid.UUID, operation catalogue.Code, p Page) *query {
	q := &query{sql: `
		SELECT id, operation, done_hours, left_hours, finished, worked_on, person_id, note, reason,
		ahead, recorded_by, recorded_at
		FROM task_progress`}
	q.where("workshop_id = " + q.arg(workshop) + " AND job_id = " + q.arg(jobID))
	q.where("operation = " + q.arg(operation))
	q.page(order{column: "recorded_at", tie: "id"}, p)
	return q
}

func scanProgress(row pgx.CollectableRow) (p job.Progress, err error) {
	var on time.Time
	var person *uuid.UUID
	err = row.Scan(
		&p.ID, &p.Operation, &p.Done, &p.Left, &p.Finished, &on, &person, &p.Note, &p.Reason,
		&p.Ahead, &p.RecordedBy, &p.RecordedAt,
	)
	p.On = domain.DateOf(on)
	if person != nil {
		p.Person = *person
	}
	return p, err
}

// AddProgress adds a progress entry and saves the task as j has it, with the hours that came along.
func (tx *Tx) AddProgress(ctx context.Context, j job.Job, p job.Progress, version int64) error {
	if err := tx.touchJob(ctx, j, version); err != nil {
		return err
	}
	t := j.Task(p.Operation)
	err := tx.exec(ctx, `
		UPDATE tasks
		SET booked_minutes = $3, left_hours = $4, finished_at = $5, version = version + 1
		WHERE job_id = $1 AND operation = $2`, j.ID, p.Operation, t.Minutes, t.Left, t.FinishedAt)
	if err != nil {
		return err
	}
	var person *uuid.UUID
	if p.Person != uuid.Nil {
		person = &p.Person
	}
	return tx.exec(ctx, `
		INSERT INTO task_progress (workshop_id, id, job_id, operation, done_hours, left_hours, finished,
		worked_on, person_id, note, reason, ahead, recorded_by, recorded_at)
		VALUES (@workshop_id, @id, @job_id, @operation, @done_hours, @left_hours, @finished, @worked_on,
		@person_id, @note, @reason, coalesce(@ahead::text[], '{}'), @recorded_by, @recorded_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": p.ID, "job_id": j.ID, "operation": p.Operation,
			"done_hours": p.Done, "left_hours": p.Left, "finished": p.Finished,
			"worked_on": p.On.In(time.UTC), "person_id": person, "note": p.Note,
			"reason": p.Reason, "ahead": p.Ahead,
			"recorded_by": p.RecordedBy, "recorded_at": p.RecordedAt,
		})
}
