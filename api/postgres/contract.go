package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/contract"
	"bentside/domain/cost"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// ClientJob is a job as its contract with the client sees it.
type ClientJob struct {
	Job, Instrument uuid.UUID
	CreatedAt       time.Time
	Clients         bool      // it is a client's
	Client          uuid.UUID // of a client's
	// Rate is the tax rate of the quotation that was accepted; nil: none was.
	Rate                      *decimal.Decimal
	AcceptedOn                domain.Date
	State                     job.State
	Outcome                   job.Outcome
	ClosedOn, ClosingPostedOn domain.Date
	Settlement                *contract.Settlement
	// Now, Posted and Known are what its work has cost by now, and at the end of the day that was
	// asked for, as the books had it and as far as is known now.
	Now, Posted, Known ContractSums
	BilledBefore       money.Amount // by the end of that day
}

// ContractSums are what a job had cost and what was invoiced for it, at the end of a day.
type ContractSums struct {
	Effort, Cost, Invoiced, Held money.Amount
	// Kept is what of deposits was forfeited, without the tax in it.
	Kept money.Amount
}

// clientJobs are the jobs with whose they are. A job is a client's where the client accepted its
// scope or said yes to it, and else where the instrument is a client's that we haven't sold since.
const clientJobs = `
	FROM jobs j
	JOIN workshops w ON w.id = j.workshop_id
	JOIN instruments i ON i.workshop_id = j.workshop_id AND i.id = j.instrument_id
	LEFT JOIN job_consents c ON c.workshop_id = j.workshop_id AND c.job_id = j.id
	LEFT JOIN LATERAL (SELECT q.party_id, o.tax_rate
	FROM quotation_options o
	JOIN quotation_answers a ON a.workshop_id = o.workshop_id AND a.quotation_id = o.quotation_id
	AND a.accepted AND a.option = o.number
	JOIN quotations q ON q.workshop_id = o.workshop_id AND q.id = o.quotation_id
	WHERE o.workshop_id = j.workshop_id AND o.scope_id = j.scope_id
	ORDER BY a.created_at DESC LIMIT 1) q ON true
	CROSS JOIN LATERAL (SELECT q.party_id IS NOT NULL OR c.party_id IS NOT NULL
	OR i.owner = 'client' AND NOT EXISTS (SELECT FROM sales s
	JOIN hand_overs h ON h.workshop_id = s.workshop_id AND h.sale_id = s.id
	WHERE s.workshop_id = j.workshop_id AND s.instrument_id = j.instrument_id
	AND h.recorded_at >= j.created_at) AS clients) whose`

// ClientJobIDs returns a page of the clients' jobs that were accepted by a day, in the order of
// recording.
func (r Reader) ClientJobIDs(
	ctx context.Context, day domain.Date, p Page,
) ([]domain.Versioned[uuid.UUID], error) {
	q := &query{sql: `
		SELECT j.id, j.created_at` + clientJobs}
	q.where("whose.clients AND j.workshop_id = " + q.arg(r.workshop) +
		" AND j.accepted_on <= " + q.arg(day.In(time.UTC)))
	q.page(order{column: "j.created_at", tie: "j.id"}, p)
	return many(ctx, r, func(row pgx.CollectableRow) (v domain.Versioned[uuid.UUID], err error) {
		err = row.Scan(&v.Value, &v.CreatedAt)
		return v, err
	}, q.sql, q.args...)
}

// ClientJobs returns jobs as their contracts see them at the end of a day, in no order. It starts
// from the kept totals of cost and takes off what came after, as work in progress does.
func (r Reader) ClientJobs(
	ctx context.Context, day domain.Date, ids []uuid.UUID,
) ([]ClientJob, error) {
	return many(ctx, r, scanClientJob, `
		SELECT j.id, j.instrument_id, j.created_at, whose.clients,
		coalesce(q.party_id, c.party_id, i.party_id, $4::uuid), q.tax_rate, j.accepted_on, j.state,
		j.outcome, j.closed_on, coalesce(j.closing_posted_on, j.closed_on),
		x.effective_on, x.posted_on, coalesce(x.note, ''), x.recorded_by, x.recorded_at,
		ARRAY[t.effort, t.cost, v.net, d.held, d.kept,
		t.effort - l.effort_posted, t.cost - l.cost_posted, v.posted, d.held_posted, d.kept_posted,
		t.effort - l.effort_known, t.cost - l.cost_known, v.known, d.held_known, d.kept_known,
		b.billed]::bigint[], w.currency`+clientJobs+`
		LEFT JOIN job_settlements x ON x.workshop_id = j.workshop_id AND x.job_id = j.id
		CROSS JOIN LATERAL (SELECT coalesce(sum(amount) FILTER (WHERE purpose = ANY($5)
		AND kind <> 'scrap_sold'), 0) AS effort,
		coalesce(sum(amount) FILTER (WHERE inventory), 0) AS cost
		FROM cost_totals WHERE workshop_id = j.workshop_id AND job_id = j.id) t
		CROSS JOIN LATERAL (SELECT
		coalesce(sum(amount) FILTER (WHERE posted_on > $3 AND purpose = ANY($5)
		AND kind <> 'scrap_sold'), 0) AS effort_posted,
		coalesce(sum(amount) FILTER (WHERE posted_on > $3 AND inventory), 0) AS cost_posted,
		coalesce(sum(amount) FILTER (WHERE effective_on > $3 AND purpose = ANY($5)
		AND kind <> 'scrap_sold'), 0) AS effort_known,
		coalesce(sum(amount) FILTER (WHERE effective_on > $3 AND inventory), 0) AS cost_known
		FROM cost_lines
		WHERE workshop_id = j.workshop_id AND job_id = j.id AND posted_on > $3) l
		CROSS JOIN LATERAL (SELECT coalesce(sum(net), 0) AS net,
		coalesce(sum(net) FILTER (WHERE posted_on <= $3), 0) AS posted,
		coalesce(sum(net) FILTER (WHERE effective_on <= $3), 0) AS known
		FROM client_invoices WHERE workshop_id = j.workshop_id AND job_id = j.id) v
		CROSS JOIN LATERAL (SELECT coalesce(sum(m.held), 0) AS held, coalesce(sum(m.kept), 0) AS kept,
		coalesce(sum(m.held) FILTER (WHERE m.posted_on <= $3), 0) AS held_posted,
		coalesce(sum(m.kept) FILTER (WHERE m.posted_on <= $3), 0) AS kept_posted,
		coalesce(sum(m.held) FILTER (WHERE m.effective_on <= $3), 0) AS held_known,
		coalesce(sum(m.kept) FILTER (WHERE m.effective_on <= $3), 0) AS kept_known
		FROM (SELECT CASE WHEN y.kind IN ('taken', 'restored') THEN y.amount ELSE -y.amount END AS held,
		CASE y.kind WHEN 'forfeited' THEN y.amount - y.tax ELSE 0 END AS kept, y.posted_on,
		y.effective_on
		FROM deposit_moves p
		JOIN deposit_moves y ON y.workshop_id = p.workshop_id AND y.deposit_id = p.id
		WHERE p.workshop_id = j.workshop_id AND p.job_id = j.id AND p.kind = 'taken'
		AND p.job_id IS NOT NULL) m) d
		CROSS JOIN LATERAL (SELECT coalesce(sum(o.billed), 0) AS billed
		FROM opening_rows o
		JOIN opening_balances a ON a.workshop_id = o.workshop_id AND a.id = o.opening_id
		WHERE o.workshop_id = j.workshop_id AND o.record_id = j.id AND o.kind = 'job'
		AND a.opened_on <= $3::date + 1
		AND NOT EXISTS (SELECT FROM opening_reversals r
		WHERE r.workshop_id = o.workshop_id AND r.opening_id = o.opening_id)) b
		WHERE j.workshop_id = $1 AND j.id = ANY($2::uuid[])`,
		r.workshop, ids, day.In(time.UTC), uuid.Nil, cost.Effort())
}

func scanClientJob(row pgx.CollectableRow) (j ClientJob, err error) {
	var accepted time.Time
	var closed, closing, settled, settledPosted, settledAt *time.Time
	var settledBy *uuid.UUID
	var note, code string
	var sums []int64
	if err = row.Scan(&j.Job, &j.Instrument, &j.CreatedAt, &j.Clients, &j.Client, &j.Rate, &accepted,
		&j.State, &j.Outcome, &closed, &closing, &settled, &settledPosted, &note, &settledBy,
		&settledAt, &sums, &code); err != nil {
		return j, err
	}
	c, err := money.ParseCurrency(code)
	if err != nil {
		return j, err
	}
	j.AcceptedOn = domain.DateOf(accepted)
	j.ClosedOn, j.ClosingPostedOn = dayOrZero(closed), dayOrZero(closing)
	if settled != nil {
		j.Settlement = &contract.Settlement{
			Job: j.Job, On: domain.DateOf(*settled), PostedOn: domain.DateOf(*settledPosted), Note: note,
			RecordedBy: *settledBy, RecordedAt: *settledAt,
		}
	}
	for n, to := range []*ContractSums{&j.Now, &j.Posted, &j.Known} {
		for k, a := range []*money.Amount{&to.Effort, &to.Cost, &to.Invoiced, &to.Held, &to.Kept} {
			*a = money.FromMinor(sums[5*n+k], c)
		}
	}
	j.BilledBefore = money.FromMinor(sums[15], c)
	return j, nil
}

// AcceptedVariation is a proposal of a job that the client accepted, or that waits for an answer.
type AcceptedVariation struct {
	Job, Proposal uuid.UUID
	Price         money.Amount // tax included
	// On is the day of the client's yes, or of the decision where nobody had to be asked; zero: none
	// was given yet.
	On domain.Date
}

// AcceptedQuotations returns the options of quotations that have become jobs, by job.
func (r Reader) AcceptedQuotations(
	ctx context.Context, jobs []uuid.UUID,
) (map[uuid.UUID][]contract.Accepted, error) {
	type row struct {
		Job, ID  uuid.UUID
		On       time.Time
		Net, Tax int64
		Code     string
	}
	list, err := many(ctx, r, pgx.RowToStructByPos[row], `
		SELECT j.id, o.quotation_id, a.answered_on, o.net, o.tax, w.currency
		FROM jobs j
		JOIN workshops w ON w.id = j.workshop_id
		JOIN quotation_options o ON o.workshop_id = j.workshop_id AND o.scope_id = j.scope_id
		JOIN quotation_answers a ON a.workshop_id = o.workshop_id AND a.quotation_id = o.quotation_id
		AND a.accepted AND a.option = o.number
		WHERE j.workshop_id = $1 AND j.id = ANY($2::uuid[])
		ORDER BY a.created_at, o.quotation_id`, r.workshop, jobs)
	found := map[uuid.UUID][]contract.Accepted{}
	for _, x := range list {
		c, err := money.ParseCurrency(x.Code)
		if err != nil {
			return nil, err
		}
		found[x.Job] = append(found[x.Job], contract.Accepted{
			Kind: contract.ByQuotation, ID: x.ID, On: domain.DateOf(x.On), Net: money.FromMinor(x.Net, c),
			Tax: money.FromMinor(x.Tax, c),
		})
	}
	return found, err
}

// Variations returns the proposals of clients' jobs with a price that were accepted, or that have
// no answer, in the order in which they were made.
func (r Reader) Variations(
	ctx context.Context, jobs []uuid.UUID,
) ([]AcceptedVariation, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (v AcceptedVariation, err error) {
		var price int64
		var on *time.Time
		var code string
		if err = row.Scan(&v.Job, &v.Proposal, &price, &on, &code); err != nil {
			return v, err
		}
		v.On = dayOrZero(on)
		v.Price, err = amountOf(price, code)
		return v, err
	}, `
		SELECT p.job_id, p.id, p.price,
		CASE WHEN d.accepted THEN coalesce(d.given_on, (d.created_at AT TIME ZONE w.zone)::date) END,
		w.currency
		FROM proposals p
		JOIN workshops w ON w.id = p.workshop_id
		LEFT JOIN proposal_decisions d ON d.workshop_id = p.workshop_id AND d.proposal_id = p.id
		WHERE p.workshop_id = $1 AND p.job_id = ANY($2::uuid[]) AND p.price IS NOT NULL
		AND coalesce(d.accepted, true)
		ORDER BY p.created_at, p.id`, r.workshop, jobs)
}
