package postgres

import (
	"context"
	"errors"
	"time"

	"bentside/domain"
	"bentside/domain/books"

	"github.com/jackc/pgx/v5"
)

// errBooksLate is a bug of ours: whoever locks the books after a row waits for a closing that waits
// for whoever waits for the row.
var errBooksLate = errors.New("the books must be locked before any part, order, instrument or job")

// booksLock is the first half of the keys of the advisory locks that closing waits its turn by;
// the workshop is the other.
const booksLock = 1_112_493_899

// Books locks the books against closing until the transaction ends, once, and returns how far they
// are closed. Many may hold the lock at once. It comes behind the queue and before any other row.
func (tx *Tx) Books(ctx context.Context) (books.Books, error) {
	if tx.books != nil {
		return *tx.books, nil
	}
	if tx.behindBooks {
		return books.Books{}, errBooksLate
	}
	b, err := tx.lockBooks(ctx, `pg_advisory_xact_lock_shared`, `FOR SHARE`)
	if err == nil {
		tx.books = &b
	}
	return b, err
}

// LockBooks locks the books alone, to close them or to open them again: it waits until everybody
// has posted who began to, and who comes later waits for it. A lock on the row alone would let them
// overtake, for as long as they come without a pause.
func (tx *Tx) LockBooks(ctx context.Context) (books.Books, error) {
	return tx.lockBooks(ctx, `pg_advisory_xact_lock`, `FOR UPDATE`)
}

func (tx *Tx) lockBooks(ctx context.Context, turn, how string) (books.Books, error) {
	err := tx.exec(ctx, `SELECT `+turn+`($1, hashtext($2::text))`, booksLock, tx.workshop)
	if err != nil {
		return books.Books{}, err
	}
	b, err := tx.closedThrough(ctx, how)
	if isNotFound(err) {
		err = tx.exec(ctx, `
			INSERT INTO books (workshop_id) VALUES ($1) ON CONFLICT DO NOTHING`, tx.workshop)
		if err != nil {
			return b, err
		}
		return tx.closedThrough(ctx, how)
	}
	return b, err
}

func (r Reader) closedThrough(ctx context.Context, how string) (books.Books, error) {
	return one(ctx, r, "books", func(row pgx.CollectableRow) (b books.Books, err error) {
		var closed *time.Time
		err = row.Scan(&closed)
		b.ClosedThrough = dayOrZero(closed)
		return b, err
	}, `SELECT closed_through FROM books WHERE workshop_id = $1 `+how, r.workshop)
}

// BooksClosed returns how far the books are closed.
func (r Reader) BooksClosed(ctx context.Context) (books.Books, error) {
	b, err := r.closedThrough(ctx, "")
	if isNotFound(err) {
		return books.Books{}, nil
	}
	return b, err
}

// dayOrZero returns a day that may be NULL.
func dayOrZero(day *time.Time) domain.Date {
	if day == nil {
		return domain.Date{}
	}
	return domain.DateOf(*day)
}

// BookClosings returns a page of the closings and reopenings of the books, in the order of
// recording.
func (r Reader) BookClosings(ctx context.Context, p Page) ([]books.Closing, error) {
	q := &query{sql: `
		SELECT p.id, p.kind, p.from_day, p.through, p.closed_through, p.note, p.recorded_by,
		p.recorded_at
		FROM book_closings p`}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	q.page(byRecording, p)
	return many(ctx, r, func(row pgx.CollectableRow) (c books.Closing, err error) {
		var from *time.Time
		var through, closed time.Time
		err = row.Scan(&c.ID, &c.Kind, &from, &through, &closed, &c.Note, &c.RecordedBy, &c.RecordedAt)
		c.From, c.Through = dayOrZero(from), domain.DateOf(through)
		c.ClosedThrough = domain.DateOf(closed)
		return c, err
	}, q.sql, q.args...)
}

// AddBookClosing closes the books, which are locked, or opens them again.
func (tx *Tx) AddBookClosing(ctx context.Context, c books.Closing) error {
	var from *time.Time
	if !c.From.IsZero() {
		day := c.From.In(time.UTC)
		from = &day
	}
	b := &pgx.Batch{}
	b.Queue(`UPDATE books SET closed_through = $2 WHERE workshop_id = $1`, tx.workshop,
		c.ClosedThrough.In(time.UTC))
	b.Queue(`
		INSERT INTO book_closings (workshop_id, id, kind, from_day, through, closed_through, note,
		recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		tx.workshop, c.ID, c.Kind, from, c.Through.In(time.UTC), c.ClosedThrough.In(time.UTC), c.Note,
		c.RecordedBy, c.RecordedAt)
	return translate(tx.tx.SendBatch(ctx, b).Close())
}
