package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const consignmentColumns = `
	SELECT p.id, p.instrument_id, p.number, p.owner_id, p.share, p.least_commission, p.borne,
	p.least_price, p.effective_on, p.reference, p.note, p.recorded_by, p.recorded_at, w.currency,
	e.stays, e.effective_on, e.posted_on, e.note, e.recorded_by, e.recorded_at
	FROM consignments p
	JOIN workshops w ON w.id = p.workshop_id
	LEFT JOIN consignment_ends e ON e.workshop_id = p.workshop_id AND e.consignment_id = p.id`

func scanConsignment(row pgx.CollectableRow) (c sale.Consignment, err error) {
	var least, borne int64
	var leastPrice *int64
	var on time.Time
	var code string
	var stays *bool
	var endedOn, endPosted, endAt *time.Time
	var endNote *string
	var endBy *uuid.UUID
	err = row.Scan(&c.ID, &c.Instrument, &c.Number, &c.Owner, &c.Share, &least, &borne, &leastPrice,
		&on, &c.Reference, &c.Note, &c.RecordedBy, &c.RecordedAt, &code,
		&stays, &endedOn, &endPosted, &endNote, &endBy, &endAt)
	if err != nil {
		return c, err
	}
	currency, err := money.ParseCurrency(code)
	if err != nil {
		return c, err
	}
	c.Least, c.Borne = money.FromMinor(least, currency), money.FromMinor(borne, currency)
	c.On = domain.DateOf(on)
	if stays != nil {
		c.End = &sale.ConsignmentEnd{
			Stays: *stays, On: domain.DateOf(*endedOn), PostedOn: domain.DateOf(*endPosted),
			Note: *endNote, RecordedBy: *endBy, RecordedAt: *endAt,
		}
	}
	c.LeastPrice, err = amount(leastPrice, code)
	return c, err
}

// Consignments returns a page of the consignments of an instrument, in the order of recording.
func (r Reader) Consignments(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]sale.Consignment, error) {
	q := &query{sql: consignmentColumns}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.instrument_id = " + q.arg(instrument))
	q.page(byRecording, p)
	return many(ctx, r, scanConsignment, q.sql, q.args...)
}

// Consignment returns one consignment.
func (r Reader) Consignment(ctx context.Context, id uuid.UUID) (sale.Consignment, error) {
	return one(ctx, r, "consignment", scanConsignment, consignmentColumns+`
		WHERE p.workshop_id = $1 AND p.id = $2`, r.workshop, id)
}

// AddConsignment adds a consignment. The instrument must be locked.
func (tx *Tx) AddConsignment(ctx context.Context, c sale.Consignment) error {
	return tx.exec(ctx, `
		INSERT INTO consignments (workshop_id, id, instrument_id, number, owner_id, share,
		least_commission, borne, least_price, effective_on, reference, note, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		tx.workshop, c.ID, c.Instrument, c.Number, c.Owner, c.Share, c.Least.Minor(), c.Borne.Minor(),
		minorOrNull(c.LeastPrice), c.On.In(time.UTC), c.Reference, c.Note, c.RecordedBy, c.RecordedAt)
}

// AddConsignmentEnd adds the end of a consignment. The instrument must be locked.
func (tx *Tx) AddConsignmentEnd(ctx context.Context, of uuid.UUID, e sale.ConsignmentEnd) error {
	return tx.exec(ctx, `
		INSERT INTO consignment_ends (workshop_id, consignment_id, stays, effective_on, posted_on, note,
		recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, of, e.Stays, e.On.In(time.UTC), e.PostedOn.In(time.UTC), e.Note, e.RecordedBy,
		e.RecordedAt)
}
