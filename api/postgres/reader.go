package postgres

import (
	"context"
	"errors"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Reader answers queries about one workshop.
type Reader struct {
	workshop uuid.UUID
	store    *Store // one of store and tx is set
	tx       pgx.Tx
}

// Read returns a Reader for a workshop.
func (s *Store) Read(workshop uuid.UUID) Reader { return Reader{workshop: workshop, store: s} }

// Page asks for part of a list: at most Limit rows after a place in it.
type Page struct {
	Limit int // 0: all rows
	After *Place
}

// Whole asks for the entire list.
var Whole = Page{}

// Place is a place in a list that is sorted by creation or by a key; ties are broken by id.
type Place struct {
	CreatedAt time.Time
	Key       string
	ID        uuid.UUID
}

// query runs one statement for the reader's workshop and passes its rows to collect, which must
// read them to the end.
func (r Reader) query(
	ctx context.Context, collect func(pgx.Rows) error, sql string, args ...any,
) error {
	if r.tx != nil {
		rows, err := r.tx.Query(ctx, sql, args...)
		if err != nil {
			return translate(err)
		}
		return translate(collect(rows))
	}
	conn, err := r.store.acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	b := &pgx.Batch{}
	b.Queue(`SELECT set_config('app.workshop', $1, true)`, r.workshop.String())
	b.Queue(sql, args...)
	res := conn.SendBatch(ctx, b)
	defer res.Close() //nolint:errcheck // reading the rows has reported its error
	if _, err := res.Exec(); err != nil {
		return translate(err)
	}
	rows, err := res.Query()
	if err != nil {
		return translate(err)
	}
	return translate(collect(rows))
}

// many returns all rows; the list is never nil.
func many[T any](
	ctx context.Context, r Reader, scan pgx.RowToFunc[T], sql string, args ...any,
) ([]T, error) {
	list := []T{}
	err := r.query(ctx, func(rows pgx.Rows) (err error) {
		list, err = pgx.AppendRows(list, rows, scan)
		return err
	}, sql, args...)
	return list, err
}

// one returns the single row. If there is none, it returns a NotFound Fault that names what.
func one[T any](
	ctx context.Context, r Reader, what string, scan pgx.RowToFunc[T], sql string, args ...any,
) (T, error) {
	var value T
	err := r.query(ctx, func(rows pgx.Rows) (err error) {
		value, err = pgx.CollectExactlyOneRow(rows, scan)
		return err
	}, sql, args...)
	if errors.Is(err, pgx.ErrNoRows) {
		return value, domain.Refuse(domain.NotFound, "no %s found", what)
	}
	return value, err
}
