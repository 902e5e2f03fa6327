package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Plan is a stored plan of the whole shop. Its result follows from its inputs and the engine's
// version.
type Plan struct {
	ID        uuid.UUID
	Engine    string // version that computed the result
	Schedules int    // how many to try
	Seed      int64
	Inputs    Hash
	Result    Hash
	CreatedAt time.Time
	// AsOf is the position of the newest event that the inputs hold; nil if that wasn't recorded.
	AsOf *int64
}

func scanPlan(row pgx.CollectableRow) (p Plan, err error) {
	var inputs, result []byte
	err = row.Scan(&p.ID, &p.Engine, &p.Schedules, &p.Seed, &inputs, &result, &p.CreatedAt, &p.AsOf)
	copy(p.Inputs[:], inputs)
	copy(p.Result[:], result)
	return p, err
}

// LatestPlan returns the newest plan.
func (r Reader) LatestPlan(ctx context.Context) (Plan, error) {
	return one(ctx, r, "plan", scanPlan, `
		SELECT id, engine, schedules, seed, inputs, result, created_at, as_of
		FROM plans
		WHERE workshop_id = $1
		ORDER BY created_at DESC, id DESC
		LIMIT 1`, r.workshop)
}

// AddPlan adds a plan, whose two documents must be stored already.
func (tx *Tx) AddPlan(ctx context.Context, p Plan) error {
	return tx.exec(ctx, `
		INSERT INTO plans (workshop_id, id, engine, schedules, seed, inputs, result, created_at,
		as_of)
		VALUES (@workshop_id, @id, @engine, @schedules, @seed, @inputs, @result, @created_at, @as_of)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": p.ID, "engine": p.Engine, "schedules": p.Schedules,
			"seed": p.Seed, "inputs": p.Inputs[:], "result": p.Result[:], "created_at": tx.now,
			"as_of": p.AsOf,
		})
}
