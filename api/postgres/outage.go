package postgres

import (
	"context"
	"errors"
	"io"
	"net"
	"time"

	"bentside/domain"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// outage is a refusal because the database is out of reach. The client is shown the fault; the
// cause is for the log.
type outage struct {
	fault *domain.Fault
	cause error
}

func (e *outage) Error() string { return e.fault.Error() + ": " + e.cause.Error() }

func (e *outage) Unwrap() []error { return []error{e.fault, e.cause} }

// outOfReach turns the loss of the database into a refusal with its cause. Other errors pass
// through.
func outOfReach(err error) error {
	var known *outage
	if err == nil || errors.As(err, &known) || !lost(err) {
		return err
	}
	return &outage{domain.Refuse(domain.Unavailable, "the database is out of reach; try again"), err}
}

// lost reports whether an error says that the connection is missing or lost.
func lost(err error) bool {
	var (
		connect *pgconn.ConnectError
		network *net.OpError
		server  *pgconn.PgError
	)
	switch {
	case errors.As(err, &connect):
		return true
	case errors.As(err, &server):
		return goingDown(server.Code)
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		return false // the request's own end
	}
	return errors.Is(err, pgconn.ErrConnClosed) || errors.Is(err, io.EOF) ||
		errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		errors.As(err, &network)
}

// goingDown reports whether an SQLSTATE says that the server is stopping, starting, failed over or
// full.
func goingDown(code string) bool {
	switch code {
	case "57P01", "57P02", "57P03", // stopping, crashed, starting
		"25006",                                     // read-only since a failover
		"53000", "53100", "53200", "53300", "53400": // out of disk, memory, connections
		return true
	}
	return len(code) > 2 && code[:2] == "08" // the connection
}

// Limits within which an unreachable database is noticed. An attempt to connect may be made twice,
// with TLS and without.
const (
	connectTimeout = time.Second
	pingTimeout    = 900 * time.Millisecond
	patience       = 1800 * time.Millisecond
)

// acquire returns a connection. While connecting fails nobody waits longer than patience for one;
// while the others are only busy, as long as ctx allows.
func (s *Store) acquire(ctx context.Context) (*pgxpool.Conn, error) {
	waiting, giveUp := context.WithCancelCause(ctx)
	defer giveUp(nil)
	impatient := time.AfterFunc(patience, func() {
		if failed := s.failure.Load(); failed != nil && time.Since(failed.at) < 2*patience {
			giveUp(failed.err)
		}
	})
	defer impatient.Stop()
	conn, err := s.pool.Acquire(waiting)
	var connect *pgconn.ConnectError
	if errors.As(err, &connect) {
		s.failure.Store(&failure{time.Now(), err})
	}
	if err != nil && ctx.Err() == nil && waiting.Err() != nil {
		err = context.Cause(waiting)
	}
	return conn, outOfReach(err)
}

// failure is the last attempt to connect that failed.
type failure struct {
	at  time.Time
	err error
}

// commitTimeout is how long a commit may take, whatever has become of the request: cut short, it
// would leave its outcome unknown.
const commitTimeout = 5 * time.Second

// commit commits and tells a refusal from an outcome that nobody knows: that of a commit on its way
// when the connection was lost.
func commit(ctx context.Context, tx pgx.Tx) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if tx.Conn().IsClosed() {
		return outOfReach(pgconn.ErrConnClosed)
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), commitTimeout)
	defer cancel()
	err := tx.Commit(ctx)
	var server *pgconn.PgError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &server) && server.SeverityUnlocalized == "ERROR",
		errors.Is(err, pgx.ErrTxCommitRollback):
		return translate(err)
	}
	// The driver's SafeToRetry doesn't help: it is true of a connection lost while the answer is read.
	return &outage{domain.Refuse(domain.OutcomeUnknown,
		"the database was lost while it kept what this request wrote; send it again with the same "+
			"Idempotency-Key, or read what it was to change"), err}
}
