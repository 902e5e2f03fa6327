package pgtest

import (
	"context"
	"io/fs"
	"testing"
)

// NewFrom is New with another preparation than the schema's.
func NewFrom(tb testing.TB, files fs.FS, prepare func(ctx context.Context, adminURL string) error) *DB {
	tb.Helper()
	return blueprint{files: files, prepare: prepare}.database(tb)
}

// NewOn is NewFrom on the server of a URL, as if TEST_DATABASE_URL held it.
func NewOn(tb testing.TB, adminURL string, files fs.FS, prepare func(ctx context.Context, adminURL string) error) *DB {
	tb.Helper()
	srv, err := take(tb.Context(), offer{Admin: adminURL, What: "a test's own server"})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(srv.pool.Close)
	name, err := srv.template(blueprint{files: files, prepare: prepare})
	if err != nil {
		tb.Fatal(err)
	}
	return srv.create(tb, name)
}

// TakeError is why the server of a URL is not taken; nil when it is.
func TakeError(ctx context.Context, adminURL string) error {
	srv, err := take(ctx, offer{Admin: adminURL, What: "a test's own server"})
	if err == nil {
		srv.pool.Close()
	}
	return err
}

// EngineError is why no container engine is used; nil where one answers.
func EngineError(ctx context.Context) error { return engineAnswers(ctx) }
