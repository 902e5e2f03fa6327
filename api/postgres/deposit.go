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

// depositColumns expect the nil UUID as $1.
const depositColumns = `
	SELECT p.id, p.instrument_id, coalesce(p.job_id, $1::uuid), p.buyer_id, p.amount,
	m.applied, m.refunded, m.forfeited, m.reversed, m.tax, coalesce(m.sale_id, $1::uuid),
	m.released_on, m.restored_on, m.restored_posted_on,
	p.effective_on, coalesce(p.posted_on, p.effective_on), p.note,
	p.recorded_by, p.recorded_at, w.currency
	FROM deposit_moves p
	JOIN workshops w ON w.id = p.workshop_id
	CROSS JOIN LATERAL (SELECT
	(coalesce(sum(amount) FILTER (WHERE kind = 'applied'), 0)
	- coalesce(sum(amount) FILTER (WHERE kind = 'restored'), 0))::bigint AS applied,
	coalesce(sum(amount) FILTER (WHERE kind = 'refunded'), 0)::bigint AS refunded,
	coalesce(sum(amount) FILTER (WHERE kind = 'forfeited'), 0)::bigint AS forfeited,
	coalesce(sum(amount) FILTER (WHERE kind = 'reversed'), 0)::bigint AS reversed,
	coalesce(sum(tax), 0)::bigint AS tax, (array_agg(sale_id) FILTER (WHERE kind = 'applied'))[1]
	AS sale_id,
	max(effective_on) FILTER (WHERE kind IN ('refunded', 'forfeited')) AS released_on,
	max(effective_on) FILTER (WHERE kind = 'restored') AS restored_on,
	max(coalesce(posted_on, effective_on)) FILTER (WHERE kind = 'restored') AS restored_posted_on
	FROM deposit_moves
	WHERE workshop_id = p.workshop_id AND deposit_id = p.id) m`

func scanDeposit(row pgx.CollectableRow) (d sale.Deposit, err error) {
	var taken, applied, refunded, forfeited, reversed, tax int64
	var on, posted time.Time
	var released, restored, restoredPosted *time.Time
	var code string
	err = row.Scan(&d.ID, &d.Instrument, &d.Job, &d.Buyer, &taken, &applied, &refunded,
		&forfeited, &reversed, &tax, &d.Sale, &released, &restored, &restoredPosted, &on, &posted,
		&d.Note, &d.RecordedBy, &d.RecordedAt, &code)
	if err != nil {
		return d, err
	}
	c, err := money.ParseCurrency(code)
	d.On, d.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	d.Amount, d.Tax = money.FromMinor(taken, c), money.FromMinor(tax, c)
	d.Applied, d.Refunded = money.FromMinor(applied, c), money.FromMinor(refunded, c)
	d.Forfeited, d.Reversed = money.FromMinor(forfeited, c), money.FromMinor(reversed, c)
	if released != nil {
		d.ReleasedOn = domain.DateOf(*released)
	}
	if restored != nil {
		d.RestoredOn, d.RestoredPostedOn = domain.DateOf(*restored), domain.DateOf(*restoredPosted)
	}
	return d, err
}

// Deposits returns a page of the deposits for the sale of an instrument, in the order of recording.
func (r Reader) Deposits(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]sale.Deposit, error) {
	q := &query{sql: depositColumns, args: []any{uuid.Nil}}
	q.where("p.kind = 'taken' AND p.job_id IS NULL AND p.workshop_id = " + q.arg(r.workshop) +
		" AND p.instrument_id = " + q.arg(instrument))
	q.page(byRecording, p)
	return many(ctx, r, scanDeposit, q.sql, q.args...)
}

// JobDeposits returns a page of a client's deposits for a job, in the order of recording.
func (r Reader) JobDeposits(ctx context.Context, job uuid.UUID, p Page) ([]sale.Deposit, error) {
	q := &query{sql: depositColumns, args: []any{uuid.Nil}}
	q.where("p.kind = 'taken' AND p.job_id IS NOT NULL AND p.workshop_id = " + q.arg(r.workshop) +
		" AND p.job_id = " + q.arg(job))
	q.page(byRecording, p)
	return many(ctx, r, scanDeposit, q.sql, q.args...)
}

// AppliedTo returns the moves by which deposits were applied to an invoice.
func (r Reader) AppliedTo(ctx context.Context, invoice uuid.UUID) ([]sale.DepositMove, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (m sale.DepositMove, err error) {
		var minor int64
		var posted time.Time
		var code string
		if err = row.Scan(&m.Deposit, &m.Instrument, &m.Job, &m.Buyer, &minor, &posted,
			&code); err != nil {
			return m, err
		}
		m.Kind, m.Invoice, m.PostedOn = sale.Applied, invoice, domain.DateOf(posted)
		m.Amount, err = amountOf(minor, code)
		m.Tax = money.Zero(m.Amount.Currency())
		return m, err
	}, `
		SELECT p.deposit_id, p.instrument_id, p.job_id, p.buyer_id, p.amount, p.posted_on, w.currency
		FROM deposit_moves p
		JOIN workshops w ON w.id = p.workshop_id
		WHERE p.workshop_id = $1 AND p.invoice_id = $2 AND p.kind = 'applied'
		ORDER BY p.recorded_at, p.id`, r.workshop, invoice)
}

// Deposit returns one deposit.
func (r Reader) Deposit(ctx context.Context, id uuid.UUID) (sale.Deposit, error) {
	return one(ctx, r, "deposit", scanDeposit, depositColumns+`
		WHERE p.kind = 'taken' AND p.workshop_id = $2 AND p.id = $3`, uuid.Nil, r.workshop, id)
}

// AddDepositMove adds a move of a deposit. The instrument must be locked, or the job that it is
// for.
func (tx *Tx) AddDepositMove(ctx context.Context, m sale.DepositMove) error {
	return tx.exec(ctx, `
		INSERT INTO deposit_moves (workshop_id, id, deposit_id, kind, instrument_id, buyer_id, amount,
		tax, sale_id, effective_on, posted_on, note, recorded_by, recorded_at, job_id, invoice_id)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
		tx.workshop, m.ID, m.Deposit, m.Kind, m.Instrument, m.Buyer, m.Amount.Minor(), m.Tax.Minor(),
		orNull(m.Sale), m.On.In(time.UTC), m.PostedOn.In(time.UTC), m.Note, m.RecordedBy, m.RecordedAt,
		orNull(m.Job), orNull(m.Invoice))
}
