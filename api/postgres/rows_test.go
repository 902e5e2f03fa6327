package postgres_test

import (
	"fmt"
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

// rowID is the id of a fixture row of workshop A.
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

// fillAll puts both workshops' rows into every table.
func fillAll(tb testing.TB, owner *pgx.Conn) {
	tb.Helper()
	for _, up := range upFiles(tb) {
		fill(tb, owner, up)
	}
}

// fill puts both workshops' rows into the tables of one migration.
func fill(tb testing.TB, owner *pgx.Conn, up string) {
	tb.Helper()
	number, _, _ := strings.Cut(up, "_")
	rows, err := os.ReadFile("testdata/rows/" + number + ".sql")
	if err != nil {
		tb.Fatalf("%s has no fixture rows: %v", up, err)
	}
	for _, w := range []string{"a", "b"} {
		mustExec(tb, owner, strings.ReplaceAll(string(rows), "{w}", w))
	}
}
