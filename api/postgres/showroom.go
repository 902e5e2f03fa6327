package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/sale"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const showroomPriceColumns = `
	SELECT p.id, p.instrument_id, p.price, p.effective_on, p.note, p.recorded_by, p.recorded_at,
	w.currency
	FROM showroom_prices p
	JOIN workshops w ON w.id = p.workshop_id`

func scanShowroomPrice(row pgx.CollectableRow) (p sale.ShowroomPrice, err error) {
	var price *int64
	var on time.Time
	var currency string
	err = row.Scan(&p.ID, &p.Instrument, &price, &on, &p.Note, &p.RecordedBy, &p.RecordedAt, &currency)
	if err != nil {
		return p, err
	}
	p.On = domain.DateOf(on)
	p.Price, err = amount(price, currency)
	return p, err
}

// ShowroomPrices returns a page of what was asked for an instrument, in the order of recording.
func (r Reader) ShowroomPrices(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]sale.ShowroomPrice, error) {
	q := &query{sql: showroomPriceColumns}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.instrument_id = " + q.arg(instrument))
	q.page(byRecording, p)
	return many(ctx, r, scanShowroomPrice, q.sql, q.args...)
}

// ShowroomPrice returns what is asked for an instrument, as a list of at most one: that recorded
// last, which has no price where the instrument is no longer offered.
func (r Reader) ShowroomPrice(
	ctx context.Context, instrument uuid.UUID,
) ([]sale.ShowroomPrice, error) {
	return many(ctx, r, scanShowroomPrice, showroomPriceColumns+`
		WHERE p.workshop_id = $1 AND p.instrument_id = $2
		ORDER BY p.recorded_at DESC, p.id DESC
		LIMIT 1`, r.workshop, instrument)
}

// AddShowroomPrice adds what is asked for an instrument.
func (tx *Tx) AddShowroomPrice(ctx context.Context, p sale.ShowroomPrice) error {
	return tx.exec(ctx, `
		INSERT INTO showroom_prices (workshop_id, id, instrument_id, price, effective_on, note,
		recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, p.ID, p.Instrument, minorOrNull(p.Price), p.On.In(time.UTC), p.Note, p.RecordedBy,
		p.RecordedAt)
}
