package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// EncodingError says that a database doesn't keep text as UTF-8. One that was made under a C locale
// is in SQL_ASCII: it takes any bytes and fails later, in the middle of a request.
type EncodingError struct {
	Database string
	Encoding string
}

func (e *EncodingError) Error() string {
	return fmt.Sprintf(
		"the database %q is in %s, in which names with accents are lost; make it anew in UTF8: "+
			"CREATE DATABASE ... TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C.UTF-8'",
		e.Database, e.Encoding,
	)
}

// refuseEncoding returns an EncodingError unless the database is in UTF-8.
func refuseEncoding(ctx context.Context, db interface {
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
},
) error {
	var e EncodingError
	err := db.QueryRow(ctx, `
		SELECT datname, pg_encoding_to_char(encoding) FROM pg_database WHERE datname = current_database()`).
		Scan(&e.Database, &e.Encoding)
	switch {
	case err != nil:
		return fmt.Errorf("read the database's encoding: %w", err)
	case e.Encoding != "UTF8":
		return &e
	}
	return nil
}
