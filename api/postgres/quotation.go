package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const quotationColumns = `
	SELECT q.id, q.instrument_id, q.party_id, q.quoted_on, q.valid_until, q.deposit, q.note, q.quoted_by, q.created_at, ` + ownCurrency + `,
	       a.accepted, coalesce(a.option, 0), a.answered_on, a.note, a.recorded_by, a.created_at, j.id,
	       r.replaced_by
	FROM quotations q
	LEFT JOIN quotation_answers a ON a.workshop_id = q.workshop_id AND a.quotation_id = q.id
	LEFT JOIN quotation_options o ON o.workshop_id = a.workshop_id
	AND o.quotation_id = a.quotation_id AND o.number = a.option
	LEFT JOIN jobs j ON j.workshop_id = o.workshop_id AND j.scope_id = o.scope_id
	LEFT JOIN quotation_replacements r ON r.workshop_id = q.workshop_id AND r.quotation_id = q.id`

func scanQuotation(row pgx.CollectableRow) (q job.Quotation, err error) {
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
		replacedBy  *uuid.UUID
	)
	err = row.Scan(&q.ID, &q.Instrument, &q.Party, &on, &until, &deposit, &q.Note, &q.QuotedBy,
		&q.RecordedAt, &currency,
		&accepted, &option, &answered, &note, &by, &at, &q.Job, &replacedBy)
	if err != nil {
		return q, err
	}
	q.QuotedOn, q.ValidUntil = domain.DateOf(on), domain.DateOf(until)
	if depositPaid, err = amount(&deposit, currency); err != nil {
		return q, err
	}
	q.Deposit = *depositPaid
	if replacedBy != nil {
		q.ReplacedBy = *replacedBy
	}
	if accepted != nil {
		q.Answer = &job.QuotationAnswer{
			Accepted: *accepted, Option: option, On: domain.DateOf(*answered), Note: *note, By: *by, At: *at,
		}
	}
	return q, nil
}

// QuotationFilter narrows a list of quotations; empty fields don't restrict it.
type QuotationFilter struct {
	Instrument uuid.UUID
	State      job.QuotationState // as of Today
	Today      domain.Date
	Newest     bool // newest first instead of oldest first
}

// Quotations returns a page of quotations with their options.
func (r Reader) Quotations(
	ctx context.Context, f QuotationFilter, p Page,
) ([]job.Quotation, error) {
	q := quotationPage(r.workshop, f, p)
	list, err := many(ctx, r, scanQuotation, q.sql, q.args...)
	if err != nil {
		return nil, err
	}
	return list, r.addOptions(ctx, list)
}

func quotationPage(workshop uuid.UUID, f QuotationFilter, p Page) *query {
	q := &query{sql: quotationColumns}
	q.where("q.workshop_id = " + q.arg(workshop))
	if f.Instrument != uuid.Nil {
		q.where("q.instrument_id = " + q.arg(f.Instrument))
	}
	switch f.State {
	case job.QuotationOpen:
		q.where("a.quotation_id IS NULL AND r.quotation_id IS NULL AND q.valid_until >= " + q.arg(f.Today.In(time.UTC)))
	case job.QuotationExpired:
		q.where("a.quotation_id IS NULL AND r.quotation_id IS NULL AND q.valid_until < " + q.arg(f.Today.In(time.UTC)))
	case job.QuotationAccepted:
		q.where("a.accepted")
	case job.QuotationDeclined:
		q.where("NOT a.accepted")
	case job.QuotationReplaced:
		q.where("r.quotation_id IS NOT NULL")
	}
	q.page(order{column: "q.created_at", tie: "q.id", descending: f.Newest}, p)
	return q
}

// Quotation returns one quotation with its options.
func (r Reader) Quotation(ctx context.Context, id uuid.UUID) (job.Quotation, error) {
	q, err := one(ctx, r, "quotation", scanQuotation, quotationColumns+`
		WHERE q.workshop_id = $1 AND q.id = $2`, r.workshop, id)
	if err != nil {
		return q, err
	}
	list := []job.Quotation{q}
	err = r.addOptions(ctx, list)
	return list[0], err
}

// LastAccepted returns the quotation for an instrument that its client accepted last, or nil.
func (r Reader) LastAccepted(ctx context.Context, instrument uuid.UUID) (*job.Quotation, error) {
	list, err := many(ctx, r, scanQuotation, quotationColumns+`
		WHERE q.workshop_id = $1 AND q.instrument_id = $2 AND a.accepted
		ORDER BY a.created_at DESC, q.id DESC
		LIMIT 1`, r.workshop, instrument)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	return &list[0], r.addOptions(ctx, list)
}

// QuotationOfJob returns the quotation whose accepted option is the scope of a job, or uuid.Nil.
func (r Reader) QuotationOfJob(ctx context.Context, scopeID uuid.UUID) (uuid.UUID, error) {
	found, err := many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT a.quotation_id
		FROM quotation_answers a
		JOIN quotation_options o ON o.workshop_id = a.workshop_id AND o.quotation_id = a.quotation_id
		AND o.number = a.option
		WHERE a.workshop_id = $1 AND o.scope_id = $2
		ORDER BY a.created_at DESC
		LIMIT 1`, r.workshop, scopeID)
	if err != nil || len(found) == 0 {
		return uuid.Nil, err
	}
	return found[0], nil
}

// quotedOption is an option with the id of its quotation.
type quotedOption struct {
	quotation uuid.UUID
	job.QuotedOption
	net, tax int64
}

func scanOption(row pgx.CollectableRow) (o quotedOption, err error) {
	err = row.Scan(
		&o.quotation, &o.Number, &o.Scope, &o.Version, &o.Depth, &o.Work, &o.Waivers,
		&o.Title, &o.net, &o.TaxRate, &o.tax,
	)
	return o, err
}

// addOptions loads the options of each quotation in list, and what it took the place of.
func (r Reader) addOptions(ctx context.Context, list []job.Quotation) error {
	at := make(map[uuid.UUID]*job.Quotation, len(list))
	ids := make([]uuid.UUID, len(list))
	for i := range list {
		ids[i], at[list[i].ID] = list[i].ID, &list[i]
	}
	options, err := many(ctx, r, scanOption, `
		SELECT o.quotation_id, o.number, o.scope_id, o.scope_version, s.depth, o.work, o.waivers,
		o.title, o.net, o.tax_rate, o.tax
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
	if err != nil {
		return err
	}
	replaced, err := many(ctx, r, pgx.RowToStructByPos[replacement], `
		SELECT quotation_id, replaced_by
		FROM quotation_replacements
		WHERE workshop_id = $1 AND replaced_by = ANY($2)
		ORDER BY quotation_id`, r.workshop, ids)
	for _, x := range replaced {
		at[x.By].Replaces = append(at[x.By].Replaces, x.Replaced)
	}
	return err
}

// replacement is a quotation that another took the place of.
type replacement struct{ Replaced, By uuid.UUID }

// AddQuotation adds a quotation with its options, and what it takes the place of.
func (tx *Tx) AddQuotation(ctx context.Context, q job.Quotation) error {
	err := tx.exec(ctx, `
		INSERT INTO quotations (workshop_id, id, instrument_id, party_id, quoted_on, valid_until,
		deposit, note, quoted_by, created_at)
		VALUES (@workshop_id, @id, @instrument_id, @party_id, @quoted_on, @valid_until, @deposit, @note,
		@quoted_by, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": q.ID, "instrument_id": q.Instrument, "party_id": q.Party,
			"quoted_on": q.QuotedOn.In(time.UTC), "valid_until": q.ValidUntil.In(time.UTC),
			"deposit": q.Deposit.Minor(), "note": q.Note, "quoted_by": q.QuotedBy, "created_at": tx.now,
		})
	if err != nil {
		return err
	}
	b := &pgx.Batch{}
	for _, o := range q.Options {
		b.Queue(`
			INSERT INTO quotation_options (workshop_id, quotation_id, number, scope_id, scope_version,
			work, waivers, title, net, tax_rate, tax)
			VALUES (@workshop_id, @quotation_id, @number, @scope_id, @scope_version, @work, @waivers,
			@title, @net, @tax_rate, @tax)`,
			pgx.StrictNamedArgs{
				"workshop_id": tx.workshop, "quotation_id": q.ID, "number": o.Number, "scope_id": o.Scope,
				"scope_version": o.Version, "work": o.Work, "waivers": waiversOf(o), "title": o.Title,
				"net": o.Net.Minor(), "tax_rate": o.TaxRate, "tax": o.Tax.Minor(),
			})
	}
	for _, id := range q.Replaces {
		b.Queue(`
			INSERT INTO quotation_replacements (workshop_id, quotation_id, replaced_by, created_at)
			VALUES ($1, $2, $3, $4)`, tx.workshop, id, q.ID, tx.now)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// waiversOf writes no waivers as [] and not as null.
func waiversOf(o job.QuotedOption) []scope.Waiver {
	if o.Waivers == nil {
		return []scope.Waiver{}
	}
	return o.Waivers
}

// AddQuotationAnswer records the client's answer.
func (tx *Tx) AddQuotationAnswer(
	ctx context.Context, quotation uuid.UUID, a job.QuotationAnswer,
) error {
	return tx.exec(ctx, `
		INSERT INTO quotation_answers (workshop_id, quotation_id, accepted, option, answered_on, note,
		recorded_by, created_at)
		VALUES (@workshop_id, @quotation_id, @accepted, nullif(@option, 0), @answered_on, @note,
		@recorded_by, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "quotation_id": quotation, "accepted": a.Accepted,
			"option": a.Option, "answered_on": a.On.In(time.UTC), "note": a.Note, "recorded_by": a.By,
			"created_at": tx.now,
		})
}
