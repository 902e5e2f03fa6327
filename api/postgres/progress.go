package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Progress lists every word on a task, in order of recording.
func (r Reader) Progress(ctx context.Context, job uuid.UUID, operation catalogue.Code) ([]domain.Progress, error) {
	return many(ctx, r, scanProgress, `
		SELECT id, operation, done_hours, left_hours, finished, worked_on, person_id, note, recorded_by, recorded_at
		FROM task_progress
		WHERE workshop_id = $1 AND job_id = $2 AND operation = $3
		ORDER BY recorded_at, id`, r.workshop, job, operation)
}

func scanProgress(row pgx.CollectableRow) (p domain.Progress, err error) {
	var on time.Time
	var person *uuid.UUID
	err = row.Scan(&p.ID, &p.Operation, &p.Done, &p.Left, &p.Finished, &on, &person, &p.Note, &p.RecordedBy, &p.RecordedAt)
	p.On = domain.DateOf(on)
	if person != nil {
		p.Person = *person
	}
	return p, err
}

// AddProgress keeps one word on a task of a job, which it has changed already.
func (tx *Tx) AddProgress(ctx context.Context, j domain.Job, p domain.Progress, version int64) error {
	if err := tx.touchJob(ctx, j, version); err != nil {
		return err
	}
	t := j.Task(p.Operation)
	err := tx.exec(ctx, `
		UPDATE tasks
		SET done_hours = $3, left_hours = $4, finished_at = $5, version = version + 1
		WHERE job_id = $1 AND operation = $2`, j.ID, p.Operation, t.Done, t.Left, t.FinishedAt)
	if err != nil {
		return err
	}
	var person *uuid.UUID
	if p.Person != uuid.Nil {
		person = &p.Person
	}
	return tx.exec(ctx, `
		INSERT INTO task_progress (workshop_id, id, job_id, operation, done_hours, left_hours, finished, worked_on, person_id, note,
		                           recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
		tx.workshop, p.ID, j.ID, p.Operation, p.Done, p.Left, p.Finished, p.On.In(time.UTC), person, p.Note, p.RecordedBy, p.RecordedAt)
}
