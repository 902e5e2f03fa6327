package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/supply"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// OrderDays returns a page of the new days on which an order was expected, oldest first. Place.Key
// is a day's number.
func (r Reader) OrderDays(
	ctx context.Context, of uuid.UUID, p Page,
) ([]supply.NewDay, error) {
	q := &query{sql: `SELECT order_id, number, was, expected_on, reason, recorded_by, recorded_at
		FROM order_days`}
	q.where("workshop_id = " + q.arg(r.workshop) + " AND order_id = " + q.arg(of))
	q.page(order{column: "number", key: "(%s)::integer"}, p)
	return many(ctx, r, func(row pgx.CollectableRow) (d supply.NewDay, err error) {
		var was, now time.Time
		err = row.Scan(&d.Order, &d.Number, &was, &now, &d.Reason, &d.RecordedBy, &d.RecordedAt)
		d.Was, d.Expected = domain.DateOf(was), domain.DateOf(now)
		return d, err
	}, q.sql, q.args...)
}

// AddOrderDay adds a new day on which an order is expected, with the next number. The order must be
// locked.
func (tx *Tx) AddOrderDay(ctx context.Context, d supply.NewDay) error {
	return tx.exec(ctx, `
		INSERT INTO order_days (workshop_id, order_id, number, was, expected_on, reason, recorded_by,
		recorded_at)
		SELECT $1, $2, count(*) + 1, $3, $4, $5, $6, $7
		FROM order_days WHERE workshop_id = $1 AND order_id = $2`,
		tx.workshop, d.Order, d.Was.In(time.UTC), d.Expected.In(time.UTC), d.Reason, d.RecordedBy,
		d.RecordedAt)
}

// firstExpected is the day on which an order o was expected before the supplier gave another.
const firstExpected = `coalesce((SELECT d.was FROM order_days d
	WHERE d.workshop_id = o.workshop_id AND d.order_id = o.id AND d.number = 1), o.expected_on)`
