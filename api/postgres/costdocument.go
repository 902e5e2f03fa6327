package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// costDocumentColumns expect the nil UUID as $1.
const costDocumentColumns = `
	SELECT p.id, p.kind, p.instrument_id, coalesce(p.job_id, $1::uuid), p.operation,
	coalesce(p.party_id, $1::uuid), p.reference, p.purpose, p.amount, p.tax,
	coalesce(p.of_id, $1::uuid), p.open_regimes, p.margin_price, coalesce(p.opening_id, $1::uuid),
	p.effective_on, p.posted_on, p.note,
	p.recorded_by, p.recorded_at, w.currency
	FROM cost_documents p
	JOIN workshops w ON w.id = p.workshop_id`

func scanCostDocument(row pgx.CollectableRow) (d cost.Document, err error) {
	var amount, tax int64
	var margin *int64
	var on, posted time.Time
	var code string
	err = row.Scan(&d.ID, &d.Kind, &d.Instrument, &d.Job, &d.Operation, &d.Party, &d.Reference,
		&d.Purpose, &amount, &tax, &d.Of, &d.OpenRegimes, &margin, &d.Opening, &on, &posted, &d.Note,
		&d.RecordedBy, &d.RecordedAt, &code)
	if err != nil {
		return d, err
	}
	c, err := money.ParseCurrency(code)
	if margin != nil {
		price := money.FromMinor(*margin, c)
		d.MarginPrice = &price
	}
	d.Amount, d.Tax = money.FromMinor(amount, c), money.FromMinor(tax, c)
	d.On, d.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	return d, err
}

// replaced is the condition that another document has taken the place of p and counts.
const replaced = `EXISTS (SELECT FROM cost_documents n
	WHERE n.workshop_id = p.workshop_id AND n.of_id = p.id AND n.kind <> 'reversal'
	AND NOT EXISTS (SELECT FROM cost_documents b
	WHERE b.workshop_id = n.workshop_id AND b.of_id = n.id AND b.kind = 'reversal'))`

// reversedDocument is the condition that p was reversed.
const reversedDocument = `EXISTS (SELECT FROM cost_documents b
	WHERE b.workshop_id = p.workshop_id AND b.of_id = p.id AND b.kind = 'reversal')`

// CostDocument returns one document.
func (r Reader) CostDocument(ctx context.Context, id uuid.UUID) (cost.Document, error) {
	return one(ctx, r, "document of cost", scanCostDocument, costDocumentColumns+`
		WHERE p.workshop_id = $2 AND p.id = $3`, uuid.Nil, r.workshop, id)
}

// CostDocuments returns a page of the documents of an instrument, in the order of recording.
func (r Reader) CostDocuments(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]cost.Document, error) {
	q := &query{sql: costDocumentColumns, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.instrument_id = " + q.arg(instrument))
	q.page(byRecording, p)
	return many(ctx, r, scanCostDocument, q.sql, q.args...)
}

// WhatBecameOf reports whether another document has taken the place of one, and whether it was
// reversed.
func (r Reader) WhatBecameOf(
	ctx context.Context, id uuid.UUID,
) (wasReplaced, wasReversed bool, err error) {
	type became struct{ Replaced, Reversed bool }
	b, err := one(ctx, r, "document of cost", pgx.RowToStructByPos[became], `
		SELECT `+replaced+`, `+reversedDocument+`
		FROM cost_documents p
		WHERE p.workshop_id = $1 AND p.id = $2`, r.workshop, id)
	return b.Replaced, b.Reversed, err
}

// StandingDocuments returns the documents of an instrument of some kinds that count: that weren't
// reversed, nor replaced by others.
func (r Reader) StandingDocuments(
	ctx context.Context, instrument uuid.UUID, kinds ...cost.DocumentKind,
) ([]cost.Document, error) {
	return many(ctx, r, scanCostDocument, costDocumentColumns+`
		WHERE p.workshop_id = $2 AND p.instrument_id = $3 AND p.kind = ANY($4)
		AND NOT `+reversedDocument+` AND NOT `+replaced+`
		ORDER BY p.recorded_at, p.id`, uuid.Nil, r.workshop, instrument, kinds)
}

// BoughtFor returns the price of an instrument that was posted when its purchase was agreed, or
// that old records said when it was taken over; nil where there is none.
func (r Reader) BoughtFor(ctx context.Context, instrument uuid.UUID) (*cost.Agreed, error) {
	found, err := many(ctx, r, func(row pgx.CollectableRow) (a cost.Agreed, err error) {
		var amount int64
		var on time.Time
		var currency string
		if err = row.Scan(&amount, &on, &a.OpenRegimes, &currency); err != nil {
			return a, err
		}
		a.On = domain.DateOf(on)
		a.Price, err = amountOf(amount, currency)
		return a, err
	}, `
		SELECT l.amount, l.effective_on, coalesce(o.open_regimes, '{}'), w.currency
		FROM cost_lines l
		JOIN workshops w ON w.id = l.workshop_id
		LEFT JOIN offers o ON o.workshop_id = l.workshop_id AND o.id = l.source_id
		WHERE l.workshop_id = $1 AND l.instrument_id = $2 AND l.kind = 'purchase_price'
		AND l.source_kind IN ('offer', 'opening')
		ORDER BY l.recorded_at, l.id
		LIMIT 1`, r.workshop, instrument)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return &found[0], nil
}

// AddCostDocument adds a document. Its lines are for AddCosts.
func (tx *Tx) AddCostDocument(ctx context.Context, d cost.Document) error {
	var margin *int64
	if d.MarginPrice != nil {
		minor := d.MarginPrice.Minor()
		margin = &minor
	}
	return tx.exec(ctx, `
		INSERT INTO cost_documents (workshop_id, id, kind, instrument_id, job_id, operation, party_id,
		reference, purpose, amount, tax, of_id, open_regimes, margin_price, opening_id, effective_on,
		posted_on, note, recorded_by, recorded_at)
		VALUES (@workshop_id, @id, @kind, @instrument_id, @job_id, @operation, @party_id, @reference,
		@purpose, @amount, @tax, @of_id, @open_regimes, @margin_price, @opening_id, @effective_on,
		@posted_on, @note, @recorded_by, @recorded_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": d.ID, "kind": d.Kind, "instrument_id": d.Instrument,
			"job_id": orNull(d.Job), "operation": d.Operation, "party_id": orNull(d.Party),
			"reference": d.Reference, "purpose": d.Purpose, "amount": d.Amount.Minor(),
			"tax": d.Tax.Minor(), "of_id": orNull(d.Of), "open_regimes": orEmpty(d.OpenRegimes),
			"margin_price": margin, "opening_id": orNull(d.Opening), "effective_on": d.On.In(time.UTC),
			"posted_on": d.PostedOn.In(time.UTC), "note": d.Note, "recorded_by": d.RecordedBy,
			"recorded_at": d.RecordedAt,
		})
}
