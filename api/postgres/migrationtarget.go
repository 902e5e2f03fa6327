package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/golang-migrate/migrate/v4/database"
	"github.com/jackc/pgx/v5"
)

// target is the database that golang-migrate migrates, on one connection. A migration and its mark
// are one transaction, so that a process killed at any moment leaves the database as it was before
// that migration or after it. The caller holds the lock, on the same connection.
type target struct {
	ctx  context.Context //nolint:containedctx // the driver's interface passes none
	conn *pgx.Conn
	tx   pgx.Tx // from the mark before a migration to the one after it
	goal int    // the version that the running migration leads to
}

// newTarget makes the table of the mark if it is missing.
func newTarget(ctx context.Context, conn *pgx.Conn) (*target, error) {
	_, err := conn.Exec(ctx, `
		CREATE TABLE IF NOT EXISTS schema_migrations (version bigint NOT NULL PRIMARY KEY, dirty boolean NOT NULL)`)
	if err != nil {
		return nil, fmt.Errorf("make the table of the schema's version: %w", err)
	}
	return &target{ctx: ctx, conn: conn}, nil
}

// SetVersion begins a migration's transaction with the mark of one under way, and ends it with the
// other.
func (t *target) SetVersion(version int, underWay bool) error {
	if t.tx == nil {
		tx, err := t.conn.Begin(t.ctx)
		if err != nil {
			return fmt.Errorf("begin a migration: %w", err)
		}
		t.tx, t.goal = tx, version
	}
	if underWay {
		return nil // nobody outside this transaction would see the mark
	}
	if err := mark(t.ctx, t.tx, version); err != nil {
		return err
	}
	err := t.tx.Commit(t.ctx)
	t.tx = nil
	if err != nil {
		return fmt.Errorf("commit the migration to version %d: %w", version, err)
	}
	return nil
}

// mark records the version of the schema; a negative one stands for none.
func mark(ctx context.Context, tx pgx.Tx, version int) error {
	_, err := tx.Exec(ctx, `DELETE FROM schema_migrations`)
	if err == nil && version >= 0 {
		_, err = tx.Exec(
			ctx, `INSERT INTO schema_migrations (version, dirty) VALUES ($1, false)`, version,
		)
	}
	if err != nil {
		return fmt.Errorf("record that the schema has version %d: %w", version, err)
	}
	return nil
}

// Run runs a migration's SQL in its transaction.
func (t *target) Run(migration io.Reader) error {
	sql, err := io.ReadAll(migration)
	if err == nil {
		_, err = t.tx.Exec(t.ctx, string(sql))
	}
	if err != nil {
		return fmt.Errorf("migrate to version %d: %w", t.goal, err)
	}
	return nil
}

// Version returns the recorded version. Only an earlier program can have left it marked as under
// way.
func (t *target) Version() (version int, underWay bool, err error) {
	err = t.conn.QueryRow(t.ctx, `SELECT version, dirty FROM schema_migrations`).
		Scan(&version, &underWay)
	if errors.Is(err, pgx.ErrNoRows) {
		return database.NilVersion, false, nil
	}
	if err != nil {
		return 0, false, fmt.Errorf("read the schema's version: %w", err)
	}
	return version, underWay, nil
}

// Lock does nothing, since the caller holds the lock.
func (t *target) Lock() error { return nil }

// Unlock undoes a migration that failed.
func (t *target) Unlock() error {
	if t.tx == nil {
		return nil
	}
	err := t.tx.Rollback(context.WithoutCancel(t.ctx))
	t.tx = nil
	if errors.Is(err, pgx.ErrTxClosed) || t.conn.IsClosed() {
		return nil // a lost connection has undone it
	}
	return err
}

var errNotOffered = errors.New("not offered: the program opens and closes the connection itself")

// Open isn't offered.
func (t *target) Open(string) (database.Driver, error) { return nil, errNotOffered }

// Close does nothing, since the connection is the caller's.
func (t *target) Close() error { return nil }

// Drop isn't offered.
func (t *target) Drop() error { return errNotOffered }
