package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const quotationColumns = `
	SELECT q.id, q.instrument_id, q.party_id, q.quoted_on, q.valid_until, q.deposit, q.note, q.quoted_by, q.created_at, ` + ownCurrency + `,
	       a.accepted, coalesce(a.option, 0), a.answered_on, a.note, a.recorded_by, a.created_at
	FROM quotations q
	LEFT JOIN quotation_answers a ON a.workshop_id = q.workshop_id AND a.quotation_id = q.id
	WHERE q.workshop_id = $1`

func scanQuotation(row pgx.CollectableRow) (q domain.Quotation, err error) {
	var (
		on, until   time.Time
		deposit     int64
		currency    string
		accepted    *bool
		option      int
		answered    *time.Time
		note        *string
		by          *uuid.UUID
		at          *time.Time
		depositPaid *money.Amount
	)
	err = row.Scan(&q.ID, &q.Instrument, &q.Party, &on, &until, &deposit, &q.Note, &q.QuotedBy, &q.RecordedAt, &currency,
		&accepted, &option, &answered, &note, &by, &at)
	if err != nil {
		return q, err
	}
	q.QuotedOn, q.ValidUntil = domain.DateOf(on), domain.DateOf(until)
	if depositPaid, err = amount(&deposit, currency); err != nil {
		return q, err
	}
	q.Deposit = *depositPaid
	if accepted != nil {
		q.Answer = &domain.QuotationAnswer{
			Accepted: *accepted, Option: option, On: domain.DateOf(*answered), Note: *note, By: *by, At: *at,
		}
	}
	return q, nil
}

// Quotations lists a page of an instrument's quotations in order of making.
func (r Reader) Quotations(ctx context.Context, instrument uuid.UUID, p Page) ([]domain.Quotation, error) {
	at, id := p.bounds()
	list, err := many(ctx, r, scanQuotation, quotationColumns+`
		AND q.instrument_id = $2 AND (q.created_at, q.id) > ($3, $4)
		ORDER BY q.created_at, q.id
		LIMIT $5`, r.workshop, instrument, at, id, p.Limit)
	if err != nil {
		return nil, err
	}
	return list, r.addOptions(ctx, list)
}

// Quotation is one quotation with its options.
func (r Reader) Quotation(ctx context.Context, id uuid.UUID) (domain.Quotation, error) {
	q, err := one(ctx, r, "quotation", scanQuotation, quotationColumns+` AND q.id = $2`, r.workshop, id)
	if err != nil {
		return q, err
	}
	list := []domain.Quotation{q}
	err = r.addOptions(ctx, list)
	return list[0], err
}

// quotedOption is an option with its quotation.
type quotedOption struct {
	quotation uuid.UUID
	domain.QuotedOption
	net, tax int64
}

func scanOption(row pgx.CollectableRow) (o quotedOption, err error) {
	err = row.Scan(&o.quotation, &o.Number, &o.Scope, &o.Version, &o.Depth, &o.Title, &o.net, &o.TaxRate, &o.tax)
	return o, err
}

// addOptions gives each quotation its options.
func (r Reader) addOptions(ctx context.Context, list []domain.Quotation) error {
	at := make(map[uuid.UUID]*domain.Quotation, len(list))
	ids := make([]uuid.UUID, len(list))
	for i := range list {
		ids[i], at[list[i].ID] = list[i].ID, &list[i]
	}
	options, err := many(ctx, r, scanOption, `
		SELECT o.quotation_id, o.number, o.scope_id, o.scope_version, s.depth, o.title, o.net, o.tax_rate, o.tax
		FROM quotation_options o
		JOIN scopes s ON s.workshop_id = o.workshop_id AND s.id = o.scope_id
		WHERE o.workshop_id = $1 AND o.quotation_id = ANY($2)
		ORDER BY o.quotation_id, o.number`, r.workshop, ids)
	for _, o := range options {
		q := at[o.quotation]
		c := q.Deposit.Currency()
		o.Net, o.Tax = money.FromMinor(o.net, c), money.FromMinor(o.tax, c)
		o.Total = o.Net.Add(o.Tax)
		q.Options = append(q.Options, o.QuotedOption)
	}
	return err
}

// AddQuotation keeps a quotation with its options.
func (tx *Tx) AddQuotation(ctx context.Context, q domain.Quotation) error {
	err := tx.exec(ctx, `
		INSERT INTO quotations (workshop_id, id, instrument_id, party_id, quoted_on, valid_until, deposit, note, quoted_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		tx.workshop, q.ID, q.Instrument, q.Party, q.QuotedOn.In(time.UTC), q.ValidUntil.In(time.UTC), q.Deposit.Minor(), q.Note, q.QuotedBy, tx.now)
	if err != nil {
		return err
	}
	b := &pgx.Batch{}
	for _, o := range q.Options {
		b.Queue(`
			INSERT INTO quotation_options (workshop_id, quotation_id, number, scope_id, scope_version, title, net, tax_rate, tax)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			tx.workshop, q.ID, o.Number, o.Scope, o.Version, o.Title, o.Net.Minor(), o.TaxRate, o.Tax.Minor())
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// AddQuotationAnswer keeps the client's answer.
func (tx *Tx) AddQuotationAnswer(ctx context.Context, quotation uuid.UUID, a domain.QuotationAnswer) error {
	return tx.exec(ctx, `
		INSERT INTO quotation_answers (workshop_id, quotation_id, accepted, option, answered_on, note, recorded_by, created_at)
		VALUES ($1, $2, $3, nullif($4, 0), $5, $6, $7, $8)`,
		tx.workshop, quotation, a.Accepted, a.Option, a.On.In(time.UTC), a.Note, a.By, tx.now)
}
