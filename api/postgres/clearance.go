package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/clearance"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const clearancesOf = `
	SELECT id, instrument_id, stop, finding, places, owner, party_id, country, until, cleared_by, says,
	cleared_on, reference, dated, withdraws, recorded_by, created_at
	FROM clearances
	WHERE workshop_id = $1 AND instrument_id`

func scanClearance(row pgx.CollectableRow) (c clearance.Clearance, err error) {
	var (
		party, withdraws *uuid.UUID
		on               time.Time
		dated            *time.Time
	)
	err = row.Scan(&c.ID, &c.Instrument, &c.Stop, &c.Finding, &c.Places, &c.Owner, &party, &c.Country,
		&c.Until, &c.By, &c.Says, &on, &c.Reference, &dated, &withdraws, &c.RecordedBy, &c.RecordedAt)
	c.On = domain.DateOf(on)
	if party != nil {
		c.Party = *party
	}
	if dated != nil {
		c.Dated = domain.DateOf(*dated)
	}
	if withdraws != nil {
		c.Withdraws = *withdraws
	}
	return c, err
}

// Clearances returns a page of the clearances of an instrument, oldest first.
func (r Reader) Clearances(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]clearance.Clearance, error) {
	q := &query{sql: clearancesOf + ` = $2`, args: []any{r.workshop, instrument}, filtered: true}
	q.page(byCreation, p)
	return many(ctx, r, scanClearance, q.sql, q.args...)
}

// ClearancesOf returns the clearances of several instruments, oldest first.
func (r Reader) ClearancesOf(
	ctx context.Context, instruments []uuid.UUID,
) (map[uuid.UUID][]clearance.Clearance, error) {
	list, err := many(ctx, r, scanClearance, clearancesOf+` = ANY ($2) ORDER BY created_at, id`,
		r.workshop, instruments)
	all := map[uuid.UUID][]clearance.Clearance{}
	for _, c := range list {
		all[c.Instrument] = append(all[c.Instrument], c)
	}
	return all, err
}

// AddClearance adds a clearance.
func (tx *Tx) AddClearance(ctx context.Context, c clearance.Clearance) error {
	var dated *time.Time
	if !c.Dated.IsZero() {
		day := c.Dated.In(time.UTC)
		dated = &day
	}
	return tx.exec(ctx, `
		INSERT INTO clearances (workshop_id, id, instrument_id, stop, finding, places, owner, party_id,
		country, until, cleared_by, says, cleared_on, reference, dated, withdraws, recorded_by,
		created_at)
		VALUES (@workshop_id, @id, @instrument_id, @stop, @finding, @places, @owner, @party_id, @country,
		@until, @cleared_by, @says, @cleared_on, @reference, @dated, @withdraws, @recorded_by,
		@created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": c.ID, "instrument_id": c.Instrument, "stop": c.Stop,
			"finding": c.Finding, "places": orEmpty(c.Places), "owner": c.Owner,
			"party_id": orNull(c.Party), "country": c.Country, "until": c.Until, "cleared_by": c.By,
			"says": c.Says, "cleared_on": c.On.In(time.UTC), "reference": c.Reference, "dated": dated,
			"withdraws": orNull(c.Withdraws), "recorded_by": c.RecordedBy, "created_at": tx.now,
		})
}
