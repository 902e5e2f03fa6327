package postgres_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"

	"bentside/migrations"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Two workshops that have a row in every table, from testdata/rows.
var (
	workshopA = uuid.MustParse("a0000000-0000-7000-8000-000000000001")
	workshopB = uuid.MustParse("b0000000-0000-7000-8000-000000000001")
)

// rowID returns the id of a fixture row of workshop A.
func rowID(n int) uuid.UUID {
	return uuid.MustParse(fmt.Sprintf("a0000000-0000-7000-8000-%012d", n))
}

// upFiles lists the up migrations in order.
func upFiles(tb testing.TB) []string {
	tb.Helper()
	entries, err := migrations.Files.ReadDir(".")
	if err != nil {
		tb.Fatal(err)
	}
	var ups []string
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".up.sql") {
			ups = append(ups, e.Name())
		}
	}
	return ups
}

// fillAll inserts the rows of both workshops into every table.
func fillAll(tb testing.TB, owner *pgx.Conn) {
	tb.Helper()
	for _, up := range upFiles(tb) {
		fill(tb, owner, up)
	}
}

// fill inserts the rows of both workshops into the tables of one migration. A migration that makes
// no table has no file of rows.
func fill(tb testing.TB, owner *pgx.Conn, up string) {
	tb.Helper()
	number, _, _ := strings.Cut(up, "_")
	rows, err := os.ReadFile("testdata/rows/" + number + ".sql")
	if errors.Is(err, fs.ErrNotExist) {
		return
	}
	if err != nil {
		tb.Fatal(err)
	}
	for _, w := range []string{"a", "b"} {
		mustExec(tb, owner, strings.ReplaceAll(string(rows), "{w}", w))
	}
}
