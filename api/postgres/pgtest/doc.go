// Package pgtest gives every test a PostgreSQL database of its own, with the present schema.
//
// # Model
//
// A template database is made once: all migrations, then closed to connections and named by the migrations' hash. New
// copies it, which takes some tens of milliseconds, so that tests may commit, run in parallel and never clear up after
// each other. The databases live in a zone with daylight saving time that is not UTC, so that code which trusts the
// session's zone shows.
//
// The server is, in this order: that of TEST_DATABASE_URL; one run from this machine's binaries; one in a container,
// where an engine answers; one run from binaries that are fetched. When there is none of these the test fails and says
// what to install: it is never skipped. Which one it was is logged once per test program.
//
// Except for TEST_DATABASE_URL one server serves all test programs of one "go test" command, and nobody else. It is
// held by a keeper: the first test program starts itself again in that role, see keeper.go. The keeper counts the
// programs that are connected to it, waits a little when there are none, and takes the server and its files away.
// A program that is killed is no longer connected, so that nothing needs a TestMain or a clean exit. On Linux the
// server of a keeper that is killed ends too.
//
// # Invariants
//
//   - No test sees another test's rows; two tests may share roles, since those belong to the server.
//   - On the keeper's server nothing is durable (fsync is off) and databases are not dropped one by one. On the server
//     of TEST_DATABASE_URL each database is dropped at the end of its test; the template stays.
//   - Tests on the keeper's server can only reach it as the account that runs them.
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
// It inserts no rows. A template on the server of TEST_DATABASE_URL is not made anew when only postgres.Prepare
// changes and the migrations do not: drop it by hand then. That server's roles of the service get new passwords, so
// that it must be one for tests.
package pgtest
