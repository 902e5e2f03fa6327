package pglocal

import (
	"context"
	"fmt"
	"log/slog"
	"time"

	"github.com/jackc/pgx/v5"
)

const (
	// While the server can't be started again, that is tried every retryPause, for giveUpAfter.
	retryPause  = time.Second
	giveUpAfter = time.Minute
	// restartPause keeps us from spinning should the server cut every connection.
	restartPause = 50 * time.Millisecond
)

// Supervise keeps the server running until ctx ends: after its death it is started again, on the
// same socket, so that URLs stay valid. It returns nil when ctx ends, and an error once the server
// could not be started again for a minute. Call it once, and end it before Stop.
func (s *Server) Supervise(ctx context.Context) error {
	for {
		s.wait(ctx)
		if ctx.Err() != nil {
			return nil //nolint:nilerr // being told to end isn't a failure
		}
		rest(ctx, restartPause)
		s.log.Warn("private PostgreSQL is gone: looking after it")
		if err := s.revive(ctx); err != nil {
			return err
		}
	}
}

// Down returns why the server can't be started again at present, or nil. It tells nothing without
// Supervise.
func (s *Server) Down() error {
	if err := s.down.Load(); err != nil {
		return *err
	}
	return nil
}

// wait returns once the server cuts a connection that does nothing, which each of its processes
// does when the first of them dies.
func (s *Server) wait(ctx context.Context) {
	conn, err := pgx.Connect(ctx, s.URL("postgres", Superuser))
	if err != nil {
		return
	}
	defer conn.Close(context.WithoutCancel(ctx)) //nolint:errcheck // it is broken or done with
	_, _ = conn.WaitForNotification(ctx)         // nobody notifies us
}

// revive starts the server again, however often that takes.
func (s *Server) revive(ctx context.Context) error {
	for since := time.Now(); ; {
		err := s.startAgain(ctx)
		if err == nil || ctx.Err() != nil {
			s.down.Store(nil)
			return nil //nolint:nilerr // being told to end isn't a failure
		}
		err = fmt.Errorf("start private PostgreSQL again in %s: %w", s.cfg.DataDir, err)
		s.down.Store(&err)
		s.log.Error("private PostgreSQL is down", slog.Any("error", err))
		if time.Since(since) > giveUpAfter {
			return err
		}
		rest(ctx, retryPause)
	}
}

// rest returns after a pause, or when ctx ends.
func rest(ctx context.Context, pause time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(pause):
	}
}

// startAgain waits for a server that recovers or was started by another process, or starts it.
func (s *Server) startAgain(ctx context.Context) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.stopped {
		return nil
	}
	if err := s.claim.startAgain(ctx); err != nil {
		return err
	}
	defer s.claim.endStart()
	pf, up, err := s.site.running(ctx, false)
	if err == nil && !up {
		pf, err = s.site.startServer(ctx, s.cfg, s.socket)
	}
	if err != nil {
		return err
	}
	if pf.socketDir != s.socket {
		return fmt.Errorf("it runs on the socket in %s, and not in %s", pf.socketDir, s.socket)
	}
	s.log.Info("private PostgreSQL is back", slog.Int("pid", pf.pid))
	return nil
}
