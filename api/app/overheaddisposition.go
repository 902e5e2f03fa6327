package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/cost"

	"github.com/google/uuid"
)

// ShownDisposition is a disposition of overhead with the lines of cost that it posted.
type ShownDisposition struct {
	cost.Disposition
	Lines  []cost.Line
	DryRun bool // nothing was kept
}

// DisposeOverhead clears the overhead account of a period. A dry run does all of it and keeps
// nothing.
func (a *App) DisposeOverhead(
	ctx context.Context, actor Actor, d cost.Disposition, dry bool,
) (ShownDisposition, error) {
	made := ShownDisposition{DryRun: dry}
	err := a.clearing(ctx, actor, func(tx *postgres.Tx, b books.Books) error {
		return unlessDry(ctx, tx, dry, func() error {
			_, c, today, err := workshopToday(ctx, tx)
			if err != nil {
				return err
			}
			if err := d.CheckDraft(today); err != nil {
				return err
			}
			account, err := overheadAccount(ctx, tx.Reader, d.Period, c)
			if err != nil {
				return err
			}
			borne, err := tx.OverheadBorne(ctx, d.Period, c)
			if err != nil {
				return err
			}
			standing, err := tx.StandingDispositions(ctx)
			if err != nil {
				return err
			}
			d.ID = newID(d.ID)
			made.Disposition, made.Lines, err = d.Dispose(account, borne, standing, b)
			if err != nil {
				return err
			}
			return keepDisposition(ctx, tx, &made)
		})
	})
	return made, err
}

// RestoreOverhead takes a disposition back, with its lines.
func (a *App) RestoreOverhead(
	ctx context.Context, actor Actor, id uuid.UUID, why string,
) (made ShownDisposition, err error) {
	err = a.clearing(ctx, actor, func(tx *postgres.Tx, b books.Books) error {
		d, err := tx.Disposition(ctx, id)
		if err != nil {
			return err
		}
		lines, err := tx.CostOfSource(ctx, id)
		if err != nil {
			return err
		}
		standing, err := tx.StandingDispositions(ctx)
		if err != nil {
			return err
		}
		made.Disposition, made.Lines, err = d.TakeBack(newID(uuid.Nil), why, lines, standing, b)
		if err != nil {
			return err
		}
		return keepDisposition(ctx, tx, &made)
	})
	return made, err
}

// clearing runs a step while the books are locked alone: so nothing is posted between what the
// account was seen to be and what is taken out of it, and of two dispositions at once the second
// finds the first.
func (a *App) clearing(
	ctx context.Context, actor Actor, step func(*postgres.Tx, books.Books) error,
) error {
	return a.write(ctx, actor, domain.CloseBooks, func(tx *postgres.Tx) error {
		b, err := tx.LockBooks(ctx)
		if err != nil {
			return err
		}
		return step(tx, b)
	})
}

// keepDisposition stores a disposition, or what takes one back, and posts its lines.
func keepDisposition(ctx context.Context, tx *postgres.Tx, d *ShownDisposition) error {
	d.RecordedBy, d.RecordedAt = tx.Actor().User, tx.Now()
	told := noted{
		"from": d.From, "through": d.Through, "applied": d.Applied, "actual": d.Actual, "idle": d.Idle,
		"spending": d.Spending, "spending_in": noted{
			"in_progress": d.Places.InProgress, "finished": d.Places.Finished,
			"cost_of_sales": d.Places.CostOfSales, "expense": d.Places.Expense,
		},
	}.text("why", d.Note)
	if d.Reverses == uuid.Nil {
		told["remainder"] = d.Remainder
		tx.Note(domain.OverheadDisposed, d.ID, told)
	} else {
		told["disposition"] = d.Reverses
		tx.Note(domain.OverheadRestored, d.ID, told)
	}
	if err := tx.AddDisposition(ctx, d.Disposition); err != nil {
		return err
	}
	return post(ctx, tx, d.Lines)
}

// Disposition returns a disposition of overhead with the lines that it posted.
func (a *App) Disposition(
	ctx context.Context, actor Actor, id uuid.UUID,
) (d ShownDisposition, err error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return d, err
	}
	r := a.Read(ctx, actor)
	if d.Disposition, err = r.Disposition(ctx, id); err != nil {
		return d, err
	}
	d.Lines, err = r.CostOfSource(ctx, id)
	return d, err
}
