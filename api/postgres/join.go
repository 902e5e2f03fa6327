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

// Opening holds the sums that old records give for a job that was taken over, in minor units; nil
// means not recorded.
type Opening struct {
	Job                               uuid.UUID
	OriginalPrice, CostSoFar, Deposit *int64
}

// TakenStockNumbers returns those of the given stock numbers that are in use.
func (r Reader) TakenStockNumbers(ctx context.Context, numbers []string) ([]string, error) {
	return many(ctx, r, pgx.RowTo[string], `
		SELECT stock_number
		FROM instruments
		WHERE workshop_id = $1 AND stock_number = ANY($2)`, r.workshop, numbers)
}

// PartyNamed returns the oldest party with exactly this name, or uuid.Nil.
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

// AddJoin records that work in progress was taken over, with the sums from old records.
func (tx *Tx) AddJoin(ctx context.Context, id uuid.UUID, on domain.Date, openings []Opening) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO joins (workshop_id, id, joined_on, recorded_by, created_at)
		VALUES ($1, $2, $3, $4, $5)`, tx.workshop, id, on.In(time.UTC), tx.actor.User, tx.now)
	for _, o := range openings {
		b.Queue(`
			INSERT INTO openings (workshop_id, job_id, join_id, original_price, cost_so_far, deposit)
			VALUES ($1, $2, $3, $4, $5, $6)`, tx.workshop, o.Job, id, o.OriginalPrice, o.CostSoFar,
			o.Deposit)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// Opening returns the sums from old records for a job, and false if the job wasn't taken over.
func (r Reader) Opening(ctx context.Context, jobID uuid.UUID) (Opening, bool, error) {
	found, err := many(ctx, r, scanOpening, `
		SELECT job_id, original_price, cost_so_far, deposit
		FROM openings
		WHERE workshop_id = $1 AND job_id = $2`, r.workshop, jobID)
	if err != nil || len(found) == 0 {
		return Opening{}, false, err
	}
	return found[0], true, nil
}

func scanOpening(row pgx.CollectableRow) (o Opening, err error) {
	err = row.Scan(&o.Job, &o.OriginalPrice, &o.CostSoFar, &o.Deposit)
	return o, err
}

// AddOpeningProgress stores the progress that a job's tasks bring with them as the first entry for
// each task; ids are those of the entries.
func (tx *Tx) AddOpeningProgress(
	ctx context.Context, j job.Job, on domain.Date, ids map[catalogue.Code]uuid.UUID,
) error {
	operations, entries := make([]string, len(j.Tasks)), make([]uuid.UUID, len(j.Tasks))
	for i, t := range j.Tasks {
		operations[i], entries[i] = string(t.Operation), ids[t.Operation]
	}
	return tx.exec(ctx, `
		INSERT INTO task_progress (workshop_id, id, job_id, operation, done_hours, left_hours, finished,
		worked_on, note, recorded_by, recorded_at)
		SELECT $1, w.id, t.job_id, t.operation, t.done_hours, t.left_hours, t.finished_at IS NOT NULL, $5,
		'when the workshop joined', $6, $7
		FROM tasks t
		JOIN unnest($3::text[], $4::uuid[]) AS w (operation, id) ON w.operation = t.operation
		WHERE t.workshop_id = $1 AND t.job_id = $2`,
		tx.workshop, j.ID, operations, entries, on.In(time.UTC), tx.actor.User, tx.now)
}
