// Package migrations holds the numbered SQL files of the schema, embedded, and nothing else. A file
// that has shipped is never edited; a change is a new pair. In production only the up files are
// run.
package migrations

import "embed"

// Files are the migration files, NNNN_name.up.sql and NNNN_name.down.sql.
//
//go:embed *.sql
var Files embed.FS
