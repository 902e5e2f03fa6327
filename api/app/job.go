package app

import (
	"context"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// AcceptScope puts a scope under way as a job at the end of the queue.
func (a *App) AcceptScope(ctx context.Context, actor Actor, id, scope uuid.UUID, on domain.Date) (Versioned[domain.Job], error) {
	var made Versioned[domain.Job]
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		d, err := tx.Reader.Scope(ctx, scope)
		if err != nil {
			return err
		}
		drawn, err := a.draw(ctx, tx.Reader, d.Value)
		if err != nil {
			return err
		}
		if on.IsZero() {
			return domain.Faults{{Pointer: "#/accepted_on", Detail: "must be the day of the acceptance"}}.Err()
		}
		j, err := domain.Accept(drawn.Catalogue, drawn.Scope, drawn.Instrument, on)
		if err != nil {
			return err
		}
		j.ID, j.Scope = newID(id), scope
		if err := tx.AddJob(ctx, j); err != nil {
			return err
		}
		if err := tx.MoveInstrument(ctx, j.Instrument, domain.InWork); err != nil {
			return err
		}
		tx.Note("job.accepted", j.ID, map[string]any{"instrument": j.Instrument, "scope": j.Scope, "tasks": len(j.Tasks)})
		made, err = tx.Reader.Job(ctx, j.ID)
		return err
	})
	return made, err
}

// Progress is what is said of a task: the person-hours left, and whether it is
// finished (then none are left).
type Progress struct {
	Left     decimal.Decimal
	Finished bool
}

// RecordProgress records how far a task has come, at the version of the job
// that was read.
func (a *App) RecordProgress(ctx context.Context, actor Actor, job uuid.UUID, operation catalogue.Code, p Progress, version int64) (Versioned[domain.Job], error) {
	var now Versioned[domain.Job]
	err := a.write(ctx, actor, domain.WriteProgress, func(tx *postgres.Tx) error {
		var finished *time.Time
		switch {
		case p.Left.IsNegative():
			return domain.Faults{{Pointer: "#/left", Detail: "hours left cannot be negative"}}.Err()
		case p.Finished && !p.Left.IsZero():
			return domain.Faults{{Pointer: "#/left", Detail: "a finished task has no hours left"}}.Err()
		case p.Finished:
			at := tx.Now()
			finished = &at
		}
		if _, err := tx.Reader.Job(ctx, job); err != nil {
			return err
		}
		if err := tx.SaveProgress(ctx, job, operation, p.Left, finished, version); err != nil {
			return err
		}
		tx.Note("task.progressed", job, map[string]any{"operation": operation, "left": p.Left, "finished": p.Finished})
		var err error
		now, err = tx.Reader.Job(ctx, job)
		return err
	})
	return now, err
}
