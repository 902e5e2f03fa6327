// Package pglocal runs a private PostgreSQL server from the machine's own binaries, for
// installations without a DATABASE_URL and for tests.
//
// # Model
//
// One data folder holds one cluster and has at most one server, however many processes use it.
// Start attaches to the server that is already running there, or starts one; Stop stops it only if
// nobody else is using it. The server listens only on a Unix socket in a folder that only its own
// account can enter: no TCP port, no password.
//
//	<DataDir>/data          the cluster, mode 0700, owned by the account that the server runs as
//	<DataDir>/data.init     a cluster being made; renamed to data once complete, otherwise thrown away
//	<DataDir>/start.lock    held exclusively while a process looks for, starts or stops the server
//	<DataDir>/use.lock      held shared by every process that uses the server, for as long as it lives
//	<DataDir>/place         the kernel and process namespace that last started the server
//	<DataDir>/server.log    what the server prints
//	<DataDir>/socket        the folder of the socket, mode 0700; where that path is too long for a
//	                        socket, a temporary folder with a random name
//
// # Invariants
//
//   - A cluster is opened only by binaries of its own major version and never overwritten.
//   - A folder called data is a complete cluster, even if the process that made it was killed.
//   - Nobody starts a second server on a cluster that still has processes, and nobody stops a
//     server that another process uses. Both locks vanish with their process, so that kill -9
//     leaves nothing to clean up by hand.
//   - The server is asked to stop (SIGINT, a fast shutdown) and never killed.
//   - Started by root, the server runs as another account, which owns its cluster, log, locks and
//     socket folder and nothing else. That is never nobody, unless the data is thrown away or was
//     nobody's already.
//   - Whoever can write to the data folder gains nothing by our being root: no link is followed to
//     write or to change an owner, and what the cluster's files name is removed as the account.
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
// It doesn't create databases or roles, make backups, or upgrade a cluster to a newer major
// version. A server that dies under a running program is started again only by Supervise. It is
// written for Linux and macOS; on systems without /proc a leftover server is recognised by its
// process id alone, and what the cluster's files name is removed as root. Two machines, or two
// containers, can't share a folder.
package pglocal
