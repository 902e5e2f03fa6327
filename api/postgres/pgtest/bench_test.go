package pgtest_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"

	"bentside/api/postgres/pglocal"
	"bentside/api/postgres/pgtest"

	"github.com/jackc/pgx/v5"
)

// BenchmarkNew measures creating a test's database of 60 tables with 4 indexes each. Its ratios say
// how many times as long it takes to copy it on a server with default settings, fsync on, and to
// prepare the schema each time.
func BenchmarkNew(b *testing.B) {
	wide := fstest.MapFS{"0001_wide.up.sql": {Data: []byte("60 tables")}}
	b.Run("tables=60", func(b *testing.B) {
		durable := durableCopy(b)
		anew := preparation(b)
		pgtest.NewFrom(b, wide, prepareWide) // makes the template
		for b.Loop() {
			pgtest.NewFrom(b, wide, prepareWide)
		}
		own := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
		b.ReportMetric(float64(durable.Nanoseconds())/own, "x-fsync-on")
		b.ReportMetric(float64(anew.Nanoseconds())/own, "x-prepare-anew")
	})
}

const rounds = 5

// preparation returns how long it takes to create and prepare a database on the test server.
func preparation(b *testing.B) time.Duration {
	start := time.Now()
	for range rounds {
		if err := prepareWide(b.Context(), pgtest.Empty(b).Owner); err != nil {
			b.Fatal(err)
		}
	}
	return time.Since(start) / rounds
}

// durableCopy returns how long a copy takes on a server with fsync.
func durableCopy(b *testing.B) time.Duration {
	dir, err := os.MkdirTemp("", "pgtest-bench-")
	if err != nil {
		b.Fatal(err)
	}
	defer os.RemoveAll(dir)
	if err := os.Chmod(dir, 0o711); err != nil {
		b.Fatal(err)
	}
	server, err := pglocal.Start(
		b.Context(), pglocal.Config{DataDir: filepath.Join(dir, "pg"), NoDownload: true},
	)
	if err != nil {
		b.Fatal(err)
	}
	defer func() {
		if err := server.Stop(b.Context()); err != nil {
			b.Error(err)
		}
	}()
	conn, err := pgx.Connect(b.Context(), server.URL("postgres", "postgres"))
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close(b.Context())
	if _, err := conn.Exec(b.Context(), "CREATE DATABASE model"); err != nil {
		b.Fatal(err)
	}
	if err := prepareWide(b.Context(), server.URL("model", "postgres")); err != nil {
		b.Fatal(err)
	}
	start := time.Now()
	for i := range rounds {
		if _, err := conn.Exec(
			b.Context(), fmt.Sprintf("CREATE DATABASE copy%d TEMPLATE model", i),
		); err != nil {
			b.Fatal(err)
		}
	}
	return time.Since(start) / rounds
}

func prepareWide(ctx context.Context, adminURL string) error {
	conn, err := pgx.Connect(ctx, adminURL)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	for i := range 60 {
		_, err := conn.Exec(ctx, fmt.Sprintf(`CREATE TABLE t%[1]d (id uuid PRIMARY KEY, a text, b int, c timestamptz);
			CREATE INDEX ON t%[1]d (a); CREATE INDEX ON t%[1]d (b); CREATE INDEX ON t%[1]d (c)`, i))
		if err != nil {
			return err
		}
	}
	return nil
}
