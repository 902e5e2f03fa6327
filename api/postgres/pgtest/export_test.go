package pgtest

import (
	"context"
	"io/fs"
	"testing"
)

// NewFrom is New with another preparation.
func NewFrom(
	tb testing.TB, files fs.FS, prepare func(ctx context.Context, adminURL string) error,
) *DB {
	tb.Helper()
	return blueprint{files: files, prepare: prepare}.database(tb)
}

// NewOn is NewFrom on the server of a URL, as if TEST_DATABASE_URL named it.
func NewOn(
	tb testing.TB, adminURL string, files fs.FS,
	prepare func(ctx context.Context, adminURL string) error,
) *DB {
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

// TakeError returns why the server of a URL is refused, or nil.
func TakeError(ctx context.Context, adminURL string) error {
	srv, err := take(ctx, offer{Admin: adminURL, What: "a test's own server"})
	if err == nil {
		srv.pool.Close()
	}
	return err
}

// OwnServer starts a server for one test, as the keeper does for a run. It returns the
// administrator's URL and whether roles log in without a password.
func OwnServer(tb testing.TB) (adminURL string, trusted bool) {
	tb.Helper()
	o, stop, err := provide(tb.Context())
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		if err := stop(); err != nil {
			tb.Error(err)
		}
	})
	return o.Admin, o.Trusted
}

// EngineError returns why no container engine is used, or nil if there is one.
func EngineError(ctx context.Context) error {
	engine, err := findEngine(ctx)
	if err != nil {
		return err
	}
	return engine.Close()
}
