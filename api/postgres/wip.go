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

// WorkInProgress returns what the jobs had cost that were in progress at the end of a day in one
// of the two ways, in queue order. It starts from the kept totals and takes off what came after,
// so that it is quick for a day that isn't long ago. What was done on an instrument that is sold
// is the cost of its sale, and no work in progress until it comes back; what a buyer has done on
// it later is the buyer's job.
func (r Reader) WorkInProgress(ctx context.Context, day domain.Date) ([]cost.InProgress, error) {
	return many(ctx, r, scanInProgress, `
		SELECT j.id, j.instrument_id, coalesce(was.owner, i.owner),
		CASE WHEN (j.closed_on IS NULL OR coalesce(j.closing_posted_on, j.closed_on) > $2)
		AND NOT sold.posted THEN (t.amount - p.amount)::bigint END,
		CASE WHEN (j.closed_on IS NULL OR j.closed_on > $2) AND NOT sold.known
		THEN (t.amount - e.amount)::bigint END,
		w.currency, moved.what, moved.effective_on, moved.posted_on, moved.recorded_at
		FROM jobs j
		JOIN workshops w ON w.id = j.workshop_id
		JOIN instruments i ON i.workshop_id = j.workshop_id AND i.id = j.instrument_id
		CROSS JOIN LATERAL (SELECT coalesce(sum(amount), 0) AS amount FROM cost_totals
		WHERE workshop_id = j.workshop_id AND job_id = j.id AND inventory) t
		CROSS JOIN LATERAL (SELECT coalesce(sum(amount), 0) AS amount FROM cost_lines
		WHERE workshop_id = j.workshop_id AND job_id = j.id AND inventory AND posted_on > $2) p
		CROSS JOIN LATERAL (SELECT coalesce(sum(amount), 0) AS amount FROM cost_lines
		WHERE workshop_id = j.workshop_id AND job_id = j.id AND inventory AND effective_on > $2) e
		CROSS JOIN LATERAL (`+jobIsOfASale+`) sold
		LEFT JOIN LATERAL (`+ownerOfJob+`) was ON true
		LEFT JOIN LATERAL (`+lateRecord+`) moved ON true
		WHERE j.workshop_id = $1
		AND (j.closed_on IS NULL OR j.closed_on > $2 OR j.closing_posted_on > $2)
		AND NOT (sold.posted AND sold.known)
		ORDER BY j.place`, r.workshop, day.In(time.UTC))
}

// jobIsOfASale says for a job j whether its instrument was sold with it at the end of the day $2,
// as posted and as known. A job that was accepted after the hand-over is the buyer's.
const jobIsOfASale = `
	SELECT
	coalesce(bool_or(s.posted_on <= $2 AND (b.posted_on IS NULL OR b.posted_on > $2)), false)
	AS posted,
	coalesce(bool_or(s.effective_on <= $2 AND (b.effective_on IS NULL OR b.effective_on > $2)), false)
	AS known
	FROM sales s
	LEFT JOIN sale_returns b ON b.workshop_id = s.workshop_id AND b.sale_id = s.id
	LEFT JOIN hand_overs h ON h.workshop_id = s.workshop_id AND h.sale_id = s.id
	WHERE s.workshop_id = j.workshop_id AND s.instrument_id = j.instrument_id
	AND (h.recorded_at IS NULL OR h.recorded_at >= j.created_at)`

// ownerOfJob says for a job j whose its instrument was on the day $2: by the days of hand-overs
// and returns, and by those on which its record was changed otherwise. The change that a hand-over
// makes is noted right behind it, and left out.
const ownerOfJob = `
	SELECT c.owner
	FROM (
	SELECT CASE kind WHEN 'instrument.added' THEN date '-infinity'
	ELSE (recorded_at AT TIME ZONE w.zone)::date END AS day, recorded_at, data ->> 'owner' AS owner
	FROM events v
	WHERE v.workshop_id = j.workshop_id AND v.subject = j.instrument_id
	AND v.kind IN ('instrument.added', 'instrument.changed')
	AND NOT EXISTS (SELECT FROM events
	WHERE workshop_id = v.workshop_id AND position = v.position - 1 AND subject = v.subject
	AND kind IN ('instrument.handed_over', 'instrument.returned'))
	UNION ALL
	SELECT h.effective_on, h.recorded_at, 'client'
	FROM sales s
	JOIN hand_overs h ON h.workshop_id = s.workshop_id AND h.sale_id = s.id
	WHERE s.workshop_id = j.workshop_id AND s.instrument_id = j.instrument_id
	UNION ALL
	SELECT b.effective_on, b.recorded_at,
	CASE WHEN s.consignment_id IS NULL THEN 'stock' ELSE 'client' END
	FROM sales s
	JOIN hand_overs h ON h.workshop_id = s.workshop_id AND h.sale_id = s.id
	JOIN sale_returns b ON b.workshop_id = s.workshop_id AND b.sale_id = s.id
	WHERE s.workshop_id = j.workshop_id AND s.instrument_id = j.instrument_id) c
	WHERE c.day <= $2
	ORDER BY c.day DESC, c.recorded_at DESC
	LIMIT 1`

// lateRecord is the record that took a job j out of progress, or brought it back, by the day $2,
// and counted in the books only later.
const lateRecord = `
	SELECT 1 AS rank, 'closed' AS what, j.closed_on AS effective_on,
	j.closing_posted_on AS posted_on, j.closing_recorded_at AS recorded_at
	WHERE j.closed_on <= $2 AND j.closing_posted_on > $2
	UNION ALL
	SELECT 2, 'sold', s.effective_on, s.posted_on, s.recorded_at
	FROM sales s
	WHERE s.workshop_id = j.workshop_id AND s.instrument_id = j.instrument_id
	AND sold.known AND s.effective_on <= $2 AND s.posted_on > $2
	UNION ALL
	SELECT 3, 'returned', b.effective_on, b.posted_on, b.recorded_at
	FROM sale_returns b
	JOIN sales s ON s.workshop_id = b.workshop_id AND s.id = b.sale_id
	WHERE s.workshop_id = j.workshop_id AND s.instrument_id = j.instrument_id
	AND NOT sold.known AND b.effective_on <= $2 AND b.posted_on > $2
	ORDER BY rank, recorded_at DESC
	LIMIT 1`

// scanInProgress reads a row of WorkInProgress.
func scanInProgress(row pgx.CollectableRow) (p cost.InProgress, err error) {
	var posted, known *int64
	var code string
	var what *cost.PassageKind
	var on, counts, recorded *time.Time
	if err = row.Scan(&p.Job, &p.Instrument, &p.Owner, &posted, &known, &code, &what, &on, &counts,
		&recorded); err != nil {
		return p, err
	}
	if what != nil && (posted == nil) != (known == nil) {
		p.Passage = &cost.Passage{What: *what, On: dayOrZero(on), PostedOn: dayOrZero(counts)}
		if recorded != nil {
			p.Passage.RecordedAt = *recorded
		}
	}
	c, err := money.ParseCurrency(code)
	if posted != nil {
		a := money.FromMinor(*posted, c)
		p.Posted = &a
	}
	if known != nil {
		a := money.FromMinor(*known, c)
		p.Known = &a
	}
	return p, err
}

// LateLines returns the lines of the jobs in progress at the end of a day that had taken place by
// then and counted in the books only later: in the order of posting, at most so many.
func (r Reader) LateLines(
	ctx context.Context, day domain.Date, jobs []uuid.UUID, most int,
) ([]cost.Line, error) {
	return many(ctx, r, scanCostLine, costLineColumns+`
		WHERE p.workshop_id = $2 AND p.job_id = ANY($3) AND p.inventory AND p.posted_on > $4
		AND p.effective_on <= $4
		ORDER BY p.posted_on, p.recorded_at, p.id
		LIMIT $5`, uuid.Nil, r.workshop, jobs, day.In(time.UTC), most)
}
