// Package postgres is the store: it keeps the service's data in PostgreSQL.
//
// There is no interface over it, but two concrete types. A Reader answers queries about one
// workshop and is open to everybody who serves requests. A Tx writes, embeds a Reader that sees its
// own changes, and exists only inside Store.Write, which package app alone calls.
//
// Every query runs for one workshop. A Reader sends the workshop and the query in one batch, which
// is one implicit transaction; a Tx sets the workshop when it begins. Row-level security does the
// rest: a query that forgets the workshop sees no rows.
//
// A Tx collects events and writes them last, just before the commit, under a lock on the workshop's
// row in heads. So the feed has no gaps, its order is that of the commits, and the lock is held for
// a single statement.
//
// The package holds no business rules. It loads, locks, saves, and translates errors by SQLSTATE
// and constraint name.
package postgres
