package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/instrument"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Dependants returns the surveys, scopes, bids and jobs of an instrument, each kind oldest first.
func (r Reader) Dependants(ctx context.Context, i uuid.UUID) ([]instrument.Dependant, error) {
	return many(ctx, r, scanDependant, `
		SELECT what, id, day
		FROM (
			SELECT 1 AS place, 'survey' AS what, id, taken_on AS day, created_at
			FROM surveys WHERE workshop_id = $1 AND instrument_id = $2
			UNION ALL
			SELECT 2, 'scope', id, created_at::date, created_at
			FROM scopes WHERE workshop_id = $1 AND instrument_id = $2
			UNION ALL
			SELECT 3, 'bid', id, created_at::date, created_at
			FROM bids WHERE workshop_id = $1 AND instrument_id = $2
			UNION ALL
			SELECT 4, 'job', id, accepted_on, created_at
			FROM jobs WHERE workshop_id = $1 AND instrument_id = $2
		) d
		ORDER BY place, created_at, id`, r.workshop, i)
}

func scanDependant(row pgx.CollectableRow) (d instrument.Dependant, err error) {
	var day time.Time
	err = row.Scan(&d.What, &d.ID, &day)
	d.On = domain.DateOf(day)
	return d, err
}
