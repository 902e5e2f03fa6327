// Package pgtest gives every test a PostgreSQL database of its own, with the current schema.
//
// # Model
//
// A template database is made once: all migrations are run, then it is closed to connections. Its
// name is the hash of the migrations. New copies it, which takes some tens of milliseconds, so that
// tests may commit, run in parallel and never clean up after each other. The databases live in a
// zone with daylight saving time that is never UTC, so that code which trusts the session's zone
// fails.
//
// The server is the first of these that exists: that of TEST_DATABASE_URL; one run from this
// machine's binaries; one in a container, if there is an engine (TEST_POSTGRES_IMAGE names another
// image); one run from downloaded binaries. If there is none, the test fails and says what to
// install; it is never skipped. Each test program logs once which one it uses.
//
// Unless TEST_DATABASE_URL is set, one server serves all test programs of one "go test" command and
// nobody else. It is held by a keeper: the first test program runs itself again in that role (see
// keeper.go). The keeper counts the programs connected to it; when there are none, it waits a
// little and then removes the server and its files. A program that is killed is no longer
// connected, so nothing depends on a TestMain or a clean exit. The server of a killed keeper ends
// too: in a container on every system, from binaries on Linux.
//
// # Invariants
//
//   - No test sees another test's rows. Two tests may share roles, since those belong to the
//     server.
//   - On the keeper's server nothing is durable (fsync is off) and databases aren't dropped one by
//     one. On the server of TEST_DATABASE_URL each database is dropped at the end of its test; the
//     template stays.
//   - The keeper's server can only be reached by the account that runs the tests.
//
// # Example
//
//	func TestJobIsFoundByItsNumber(t *testing.T) {
//		t.Parallel()
//		db := pgtest.New(t)
//		store, err := postgres.Open(t.Context(), db.Service, 2)
//		…
//
// # What it does not do
//
// It inserts no rows. It doesn't remake the template on the server of TEST_DATABASE_URL when
// postgres.Prepare changes without the migrations: drop it by hand then. It sets new passwords for
// the service's roles on that server, which must therefore be one for tests.
package pgtest
