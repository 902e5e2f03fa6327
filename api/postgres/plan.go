package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Plan is a stored plan of the whole shop: its result follows from its inputs
// and the engine.
type Plan struct {
	ID        uuid.UUID
	Engine    string // version of what made the result from the inputs
	Schedules int    // what was to be spent
	Seed      int64
	Inputs    Hash
	Result    Hash
	CreatedAt time.Time
}

func scanPlan(row pgx.CollectableRow) (p Plan, err error) {
	var inputs, result []byte
	err = row.Scan(&p.ID, &p.Engine, &p.Schedules, &p.Seed, &inputs, &result, &p.CreatedAt)
	copy(p.Inputs[:], inputs)
	copy(p.Result[:], result)
	return p, err
}

// LatestPlan is the newest plan.
func (r Reader) LatestPlan(ctx context.Context) (Plan, error) {
	return one(ctx, r, "plan", scanPlan, `
		SELECT id, engine, schedules, seed, inputs, result, created_at
		FROM plans
		WHERE workshop_id = $1
		ORDER BY created_at DESC, id DESC
		LIMIT 1`, r.workshop)
}

// AddPlan adds a plan whose two documents are kept already.
func (tx *Tx) AddPlan(ctx context.Context, p Plan) error {
	return tx.exec(ctx, `
		INSERT INTO plans (workshop_id, id, engine, schedules, seed, inputs, result, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, p.ID, p.Engine, p.Schedules, p.Seed, p.Inputs[:], p.Result[:], tx.now)
}
