package postgres

import (
	"context"
	"errors"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Reader answers questions about one workshop.
type Reader struct {
	workshop uuid.UUID
	pool     *pgxpool.Pool // one of pool and tx is set
	tx       pgx.Tx
}

// Read gives a Reader for a workshop.
func (s *Store) Read(workshop uuid.UUID) Reader { return Reader{workshop: workshop, pool: s.pool} }

// Page asks for a part of a list: at most Limit rows after a place in it.
type Page struct {
	Limit int
	After *Place
}

// Place is a place in a list in order of making, or in the order of a key;
// ties go by id.
type Place struct {
	CreatedAt time.Time
	Key       string
	ID        uuid.UUID
}

// bounds gives the two arguments of a keyset condition
// "(created_at, id) > ($n, $m)".
func (p Page) bounds() (time.Time, uuid.UUID) {
	if p.After == nil {
		return time.Time{}, uuid.Nil
	}
	return p.After.CreatedAt, p.After.ID
}

// query runs one statement for the reader's workshop and hands its rows to
// collect, which must read them to their end.
func (r Reader) query(ctx context.Context, collect func(pgx.Rows) error, sql string, args ...any) error {
	if r.tx != nil {
		rows, err := r.tx.Query(ctx, sql, args...)
		if err != nil {
			return translate(err)
		}
		return translate(collect(rows))
	}
	b := &pgx.Batch{}
	b.Queue(`SELECT set_config('app.workshop', $1, true)`, r.workshop.String())
	b.Queue(sql, args...)
	res := r.pool.SendBatch(ctx, b)
	defer res.Close() //nolint:errcheck // its error is the one that reading the rows has shown
	if _, err := res.Exec(); err != nil {
		return translate(err)
	}
	rows, err := res.Query()
	if err != nil {
		return translate(err)
	}
	return translate(collect(rows))
}

// many collects all rows; an empty list is not nil.
func many[T any](ctx context.Context, r Reader, scan pgx.RowToFunc[T], sql string, args ...any) ([]T, error) {
	list := []T{}
	err := r.query(ctx, func(rows pgx.Rows) (err error) {
		list, err = pgx.AppendRows(list, rows, scan)
		return err
	}, sql, args...)
	return list, err
}

// one collects the single row; none is a NotFound Fault that names what.
func one[T any](ctx context.Context, r Reader, what string, scan pgx.RowToFunc[T], sql string, args ...any) (T, error) {
	var value T
	err := r.query(ctx, func(rows pgx.Rows) (err error) {
		value, err = pgx.CollectExactlyOneRow(rows, scan)
		return err
	}, sql, args...)
	if errors.Is(err, pgx.ErrNoRows) {
		return value, domain.Refuse(domain.NotFound, "there is no such %s", what)
	}
	return value, err
}
