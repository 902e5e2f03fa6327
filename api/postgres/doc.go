// Package postgres is the store: what the service keeps, in PostgreSQL.
//
// There is no interface over it. Two concrete types stand in its place: a
// Reader answers questions about one workshop and is given to the doors; a Tx
// changes things, embeds a Reader that sees its own changes, and can be had
// only through Store.Write, which package app alone calls.
//
// Every query runs for one workshop. A Reader sends the workshop and the query
// in one batch, which is one implicit transaction; a Tx names the workshop when
// it begins. Row-level security does the rest: a query that forgot the workshop
// sees no rows.
//
// A Tx collects events and writes them last, just before the commit, under the
// lock of the workshop's row in heads: so the feed has no gaps and stands in
// the order of commits, and the lock is held for one statement.
//
// The package holds no business rule: it loads, locks, saves and translates
// errors, by SQLSTATE and constraint name.
package postgres
