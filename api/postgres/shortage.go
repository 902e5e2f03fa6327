package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/supply"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// LeadTimes returns how long suppliers took with parts: with one, or with all where none is named;
// by part and supplier.
func (r Reader) LeadTimes(
	ctx context.Context, part uuid.UUID,
) (map[uuid.UUID][]supply.LeadTime, error) {
	type taken struct {
		Part, Supplier uuid.UUID
		Days           int
	}
	rows, err := many(ctx, r, pgx.RowToStructByPos[taken], `
		SELECT a.part_id, d.supplier_id, d.delivered_on - o.ordered_on
		FROM arrivals a
		JOIN deliveries d ON d.workshop_id = a.workshop_id AND d.id = a.delivery_id
		JOIN orders o ON o.workshop_id = a.workshop_id AND o.id = a.order_id
		JOIN received r ON r.workshop_id = a.workshop_id AND r.receipt_id = a.receipt_id
		WHERE a.workshop_id = $1 AND (a.part_id = $2 OR $2 = $3::uuid) AND NOT r.reversed
		ORDER BY a.part_id, d.supplier_id`, r.workshop, part, uuid.Nil)
	times := map[uuid.UUID][]supply.LeadTime{}
	for i := 0; i < len(rows); {
		first, days := rows[i], []int(nil)
		for ; i < len(rows) && rows[i].Part == first.Part && rows[i].Supplier == first.Supplier; i++ {
			days = append(days, rows[i].Days)
		}
		times[first.Part] = append(times[first.Part], supply.LearnLeadTime(first.Supplier, days))
	}
	return times, err
}

// OnOrder is what is outstanding of a part, for stock where Job is zero.
type OnOrder struct {
	Part, Job uuid.UUID
	Units     decimal.Decimal
}

// Outstanding returns what is still to come of every part, for stock and for each job.
func (r Reader) Outstanding(ctx context.Context) ([]OnOrder, error) {
	return many(ctx, r, pgx.RowToStructByPos[OnOrder], `
		SELECT part_id, coalesce(job_id, $1::uuid), sum(units + replaced - cancelled - delivered)
		FROM order_lines
		WHERE workshop_id = $2 AND units + replaced - cancelled > delivered
		GROUP BY part_id, job_id`, uuid.Nil, r.workshop)
}

// AwaitedLines returns the lines of orders of which something is still to come, and those that were
// made for a task of a job that isn't closed.
func (r Reader) AwaitedLines(ctx context.Context) ([]supply.AwaitedLine, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (l supply.AwaitedLine, err error) {
		var ordered, first, expected time.Time
		err = row.Scan(&l.Order, &l.Number, &l.Part, &l.Units, &l.Job, &l.Operation, &l.Delivered,
			&l.Replaced, &l.Cancelled, &l.Reference, &l.Supplier, &l.SupplierName, &ordered, &first,
			&expected)
		l.OrderedOn, l.First = domain.DateOf(ordered), domain.DateOf(first)
		l.Expected = domain.DateOf(expected)
		return l, err
	}, `
		SELECT l.order_id, l.number, l.part_id, l.units, coalesce(l.job_id, $1::uuid), l.operation,
		l.delivered, l.replaced, l.cancelled, o.reference, o.supplier_id, p.name, o.ordered_on,
		`+firstExpected+`, o.expected_on
		FROM order_lines l
		JOIN orders o ON o.workshop_id = l.workshop_id AND o.id = l.order_id
		JOIN parties p ON p.workshop_id = o.workshop_id AND p.id = o.supplier_id
		LEFT JOIN jobs j ON j.workshop_id = l.workshop_id AND j.id = l.job_id
		WHERE l.workshop_id = $2 AND (l.units + l.replaced - l.cancelled > l.delivered
		OR l.operation <> '' AND j.state <> 'closed')
		ORDER BY o.expected_on, l.order_id, l.number`, uuid.Nil, r.workshop)
}

// Got is what a task has got of a part.
type Got struct {
	Part, Job uuid.UUID
	Operation catalogue.Code
	Units     decimal.Decimal
}

// GotByJobs returns what the tasks of some jobs have got of each part. What was issued to a job
// without naming a task has no operation.
func (r Reader) GotByJobs(ctx context.Context, jobs []uuid.UUID) ([]Got, error) {
	return many(ctx, r, pgx.RowToStructByPos[Got], `
		SELECT part_id, job_id, operation, -sum(quantity)
		FROM stock_moves
		WHERE workshop_id = $1 AND job_id = ANY($2::uuid[])
		AND kind IN ('issue', 'return', 'reversal')
		GROUP BY part_id, job_id, operation`, r.workshop, jobs)
}
