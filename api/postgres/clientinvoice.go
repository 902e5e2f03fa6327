package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/contract"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// invoiceColumns expect the nil UUID as $1.
const invoiceColumns = `
	SELECT p.id, p.job_id, p.number, p.kind, coalesce(p.of_id, $1::uuid), coalesce(n.id, $1::uuid),
	p.party_id, p.stage, p.net, p.rate, p.tax, p.deposit, p.effective_on, p.posted_on, p.note,
	p.recorded_by, p.recorded_at, w.currency
	FROM client_invoices p
	JOIN workshops w ON w.id = p.workshop_id
	LEFT JOIN client_invoices n ON n.workshop_id = p.workshop_id AND n.of_id = p.id`

func scanInvoice(row pgx.CollectableRow) (i contract.Invoice, err error) {
	var net, tax, deposit int64
	var on, posted time.Time
	var code string
	if err = row.Scan(&i.ID, &i.Job, &i.Number, &i.Kind, &i.Of, &i.CreditedBy, &i.Client, &i.Stage,
		&net, &i.Rate, &tax, &deposit, &on, &posted, &i.Note, &i.RecordedBy, &i.RecordedAt,
		&code); err != nil {
		return i, err
	}
	c, err := money.ParseCurrency(code)
	i.On, i.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	i.Net, i.Tax = money.FromMinor(net, c), money.FromMinor(tax, c)
	i.Deposit = money.FromMinor(deposit, c)
	return i, err
}

// ClientInvoices returns a page of the invoices and credit notes for a job, in the order of
// recording, which is that of their numbers.
func (r Reader) ClientInvoices(
	ctx context.Context, job uuid.UUID, p Page,
) ([]contract.Invoice, error) {
	q := &query{sql: invoiceColumns, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.job_id = " + q.arg(job))
	q.page(byRecording, p)
	return many(ctx, r, scanInvoice, q.sql, q.args...)
}

// ClientInvoice returns one invoice or credit note.
func (r Reader) ClientInvoice(ctx context.Context, id uuid.UUID) (contract.Invoice, error) {
	return one(ctx, r, "invoice", scanInvoice, invoiceColumns+`
		WHERE p.workshop_id = $2 AND p.id = $3`, uuid.Nil, r.workshop, id)
}

// NextInvoiceNumber returns the number after the last one of the workshop. It locks the row of
// the numbers until the transaction ends, so that one that is rolled back leaves no gap. The job
// must be locked before.
func (tx *Tx) NextInvoiceNumber(ctx context.Context) (int, error) {
	return one(ctx, tx.Reader, "invoice number", pgx.RowTo[int], `
		INSERT INTO invoice_numbers (workshop_id, last) VALUES ($1, 1)
		ON CONFLICT (workshop_id) DO UPDATE SET last = invoice_numbers.last + 1
		RETURNING last`, tx.workshop)
}

// AddClientInvoice adds an invoice or a credit note under its number.
func (tx *Tx) AddClientInvoice(ctx context.Context, i contract.Invoice) error {
	return tx.exec(ctx, `
		INSERT INTO client_invoices (workshop_id, id, number, job_id, kind, of_id, party_id, stage, net,
		rate, tax, deposit, effective_on, posted_on, note, recorded_by, recorded_at)
		VALUES (@workshop_id, @id, @number, @job_id, @kind, @of_id, @party_id, @stage, @net, @rate,
		@tax, @deposit, @effective_on, @posted_on, @note, @recorded_by, @recorded_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": i.ID, "number": i.Number, "job_id": i.Job, "kind": i.Kind,
			"of_id": orNull(i.Of), "party_id": i.Client, "stage": i.Stage, "net": i.Net.Minor(),
			"rate": i.Rate, "tax": i.Tax.Minor(), "deposit": i.Deposit.Minor(),
			"effective_on": i.On.In(time.UTC), "posted_on": i.PostedOn.In(time.UTC), "note": i.Note,
			"recorded_by": i.RecordedBy, "recorded_at": i.RecordedAt,
		})
}

// AddSettlement adds how a job was settled that was given up.
func (tx *Tx) AddSettlement(ctx context.Context, x contract.Settlement) error {
	return tx.exec(ctx, `
		INSERT INTO job_settlements (workshop_id, job_id, effective_on, posted_on, note, recorded_by,
		recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`, tx.workshop, x.Job, x.On.In(time.UTC),
		x.PostedOn.In(time.UTC), x.Note, x.RecordedBy, x.RecordedAt)
}
