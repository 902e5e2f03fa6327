// Package pglocal runs a private PostgreSQL server from the machine's own binaries, for installations without a DATABASE_URL and for tests.
//
// # Model
//
// One data folder holds one cluster and has at most one server, however many processes use it. Start finds the server
// that is already running there and attaches to it, or starts one; Stop ends it only when nobody else is using it. The
// server listens on a Unix socket in a folder that only its own account can enter, and nowhere else: no TCP port, no
// password.
//
//	<DataDir>/data          the cluster, mode 0700, owned by the account that the server runs as
//	<DataDir>/data.init     a cluster being made; renamed to data when it is complete, thrown away otherwise
//	<DataDir>/start.lock    held exclusively while somebody looks, starts or stops
//	<DataDir>/use.lock      held shared by every process that uses the server, for as long as it lives
//	<DataDir>/place         the kernel and process namespace that last started the server
//	<DataDir>/server.log    what the server prints
//	<temp>/bentside-<uid>-<hash>/.s.PGSQL.5432   the socket
//
// # Invariants
//
//   - A cluster is opened only by binaries of its own major version, and never made anew over an old one.
//   - A folder called data is a complete cluster, whenever the process that made it was killed.
//   - Nobody starts a second server on a cluster that has a process left, and nobody stops a server that another
//     process uses. Both locks vanish with their process, so that kill -9 leaves nothing to clear by hand.
//   - The server is asked to stop (SIGINT, a fast shutdown) and never killed.
//   - As root the server runs as another account; only its cluster, log, locks and socket folder change owner.
//
// # Example
//
//	server, err := pglocal.Start(ctx, pglocal.Config{DataDir: "/var/lib/bentside/postgres", Log: log})
//	if err != nil {
//		return err
//	}
//	defer server.Stop(context.WithoutCancel(ctx))
//	pool, err := pgxpool.New(ctx, server.URL("bentside", "bentside_service"))
//
// # What it does not do
//
// It makes no database, role or backup, upgrades no cluster to a newer major version, and does not restart a server
// that dies under a running program. It is written for Linux and macOS; on systems without /proc a leftover server is
// recognised by its process id alone. Two machines, or two containers, cannot share one folder.
package pglocal
