package postgres

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Opening is what old records say of a job that was taken over, in minor units;
// nil where they say nothing.
type Opening struct {
	Job                               uuid.UUID
	OriginalPrice, CostSoFar, Deposit *int64
}

// TakenStockNumbers are those of the numbers that instruments have already.
func (r Reader) TakenStockNumbers(ctx context.Context, numbers []string) ([]string, error) {
	return many(ctx, r, pgx.RowTo[string], `
		SELECT stock_number
		FROM instruments
		WHERE workshop_id = $1 AND stock_number = ANY($2)`, r.workshop, numbers)
}

// PartyNamed is the party that was recorded first under exactly that name; Nil
// where there is none.
func (r Reader) PartyNamed(ctx context.Context, name string) (uuid.UUID, error) {
	found, err := many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT id
		FROM parties
		WHERE workshop_id = $1 AND name_key = lower($2) AND name = $2
		ORDER BY created_at, id
		LIMIT 1`, r.workshop, name)
	if err != nil || len(found) == 0 {
		return uuid.Nil, err
	}
	return found[0], nil
}

// AddJoin keeps that work under way was taken over, with what old records say.
func (tx *Tx) AddJoin(ctx context.Context, id uuid.UUID, on domain.Date, openings []Opening) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO joins (workshop_id, id, joined_on, recorded_by, created_at)
		VALUES ($1, $2, $3, $4, $5)`, tx.workshop, id, on.In(time.UTC), tx.actor.User, tx.now)
	for _, o := range openings {
		b.Queue(`
			INSERT INTO openings (workshop_id, job_id, join_id, original_price, cost_so_far, deposit)
			VALUES ($1, $2, $3, $4, $5, $6)`, tx.workshop, o.Job, id, o.OriginalPrice, o.CostSoFar, o.Deposit)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// Opening is what old records say of a job; false where it was not taken over.
func (r Reader) Opening(ctx context.Context, job uuid.UUID) (Opening, bool, error) {
	found, err := many(ctx, r, scanOpening, `
		SELECT job_id, original_price, cost_so_far, deposit
		FROM openings
		WHERE workshop_id = $1 AND job_id = $2`, r.workshop, job)
	if err != nil || len(found) == 0 {
		return Opening{}, false, err
	}
	return found[0], true, nil
}

func scanOpening(row pgx.CollectableRow) (o Opening, err error) {
	err = row.Scan(&o.Job, &o.OriginalPrice, &o.CostSoFar, &o.Deposit)
	return o, err
}

// AddFirstWords keeps the progress that a job's tasks come with as the first
// word on each.
func (tx *Tx) AddFirstWords(ctx context.Context, j domain.Job, on domain.Date, newID func(uuid.UUID) uuid.UUID) error {
	ids := make([]uuid.UUID, len(j.Tasks))
	for i := range ids {
		ids[i] = newID(uuid.Nil)
	}
	return tx.exec(ctx, `
		INSERT INTO task_progress (workshop_id, id, job_id, operation, done_hours, left_hours, finished, worked_on, note,
		                           recorded_by, recorded_at)
		SELECT $1, w.id, t.job_id, t.operation, t.done_hours, t.left_hours, t.finished_at IS NOT NULL, $4, 'when the workshop joined', $5, $6
		FROM (SELECT *, row_number() OVER (ORDER BY place, operation) AS ord FROM tasks WHERE job_id = $2) t
		JOIN unnest($3::uuid[]) WITH ORDINALITY AS w (id, ord) USING (ord)`,
		tx.workshop, j.ID, ids, on.In(time.UTC), tx.actor.User, tx.now)
}
