package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/books"

	"github.com/google/uuid"
)

// enter is write for what counts in the books: it locks them before anything else.
func (a *App) enter(
	ctx context.Context, actor Actor, act domain.Permission, fn func(*postgres.Tx) error,
) error {
	return a.write(ctx, actor, act, func(tx *postgres.Tx) error {
		if _, err := booksNow(ctx, tx); err != nil {
			return err
		}
		return fn(tx)
	})
}

// booksNow returns the books, which stay as far closed as they are until the transaction ends.
// Every posting day is worked out by them. They come behind the queue and before any other row.
func booksNow(ctx context.Context, tx *postgres.Tx) (books.Books, error) {
	b, err := tx.Books(ctx)
	if err != nil || b.ClosedThrough.IsZero() {
		return b, err
	}
	day, err := today(ctx, tx)
	if err != nil {
		return b, err
	}
	return b, b.Usable(day)
}

// CloseBooks closes the books through a day that is over.
func (a *App) CloseBooks(
	ctx context.Context, actor Actor, c books.Closing,
) (books.Closing, error) {
	return a.turnBooks(ctx, actor, c, books.Books.Close)
}

// ReopenBooks opens again what is closed from a day on.
func (a *App) ReopenBooks(
	ctx context.Context, actor Actor, c books.Closing,
) (books.Closing, error) {
	return a.turnBooks(ctx, actor, c, books.Books.Reopen)
}

// turnBooks closes or opens the books once everybody has posted who began to.
func (a *App) turnBooks(
	ctx context.Context, actor Actor, c books.Closing,
	turn func(books.Books, books.Closing, domain.Date) (books.Closing, books.Books, error),
) (books.Closing, error) {
	err := a.write(ctx, actor, domain.CloseBooks, func(tx *postgres.Tx) error {
		was, err := tx.LockBooks(ctx)
		if err != nil {
			return err
		}
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if c, _, err = turn(was, c, day); err != nil {
			return err
		}
		c.ID, c.RecordedBy, c.RecordedAt = newID(uuid.Nil), actor.User, tx.Now()
		told := noted{
			"through": c.Through, "closed_through": c.ClosedThrough,
		}.day("from", c.From).text("why", c.Note)
		if c.Kind == books.Closed {
			tx.Note(domain.BooksClosed, c.ID, told)
		} else {
			tx.Note(domain.BooksReopened, c.ID, told)
		}
		return tx.AddBookClosing(ctx, c)
	})
	return c, err
}

// BooksNow is how far the books are closed.
type BooksNow struct {
	books.Books
	FirstOpen domain.Date // zero: every day is open
}

// Books returns how far the books are closed.
func (a *App) Books(ctx context.Context, actor Actor) (BooksNow, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return BooksNow{}, err
	}
	b, err := a.Read(ctx, actor).BooksClosed(ctx)
	return BooksNow{Books: b, FirstOpen: b.PostingDay()}, err
}
