package postgres

import (
	"context"
	"errors"

	"bentside/migrations"

	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// OneInstrument exposes the query of Reader.Instrument to the benchmark.
const OneInstrument = oneInstrument

// ScanInstrument scans a row of OneInstrument.
var ScanInstrument = scanInstrument

// ReaderIn returns a Reader that reads within a transaction, so that a test can see its statements.
func ReaderIn(workshop uuid.UUID, tx pgx.Tx) Reader {
	registerTypes(tx.Conn())
	return Reader{workshop: workshop, tx: tx}
}

// PrepareLock is the lock of whoever migrates.
const PrepareLock = prepareLock

// Mended returns the version of a schema after what an earlier program cut short was mended.
func Mended(ctx context.Context, url string) (version int, err error) {
	err = onLockedConnection(ctx, url, func(conn *pgx.Conn) error {
		t, err := newTarget(ctx, conn)
		if err != nil {
			return err
		}
		files, err := iofs.New(migrations.Files, ".")
		if err != nil {
			return err
		}
		if err := t.mend(files); err != nil {
			return err
		}
		var underWay bool
		if version, underWay, err = t.Version(); underWay {
			return errors.New("it is still marked as under way")
		}
		return err
	})
	return version, err
}
