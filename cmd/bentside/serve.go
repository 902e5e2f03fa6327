package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"bentside/api"
	"bentside/api/app"

	"github.com/spf13/cobra"
)

// Times that a slow or dead client may take.
const (
	headerTimeout = 5 * time.Second
	readTimeout   = 15 * time.Second
	writeTimeout  = 60 * time.Second
	idleTimeout   = 90 * time.Second
	drainTime     = 20 * time.Second
)

func serveCommand(env environment) *cobra.Command {
	var c config
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Serve the API",
		Long: `Serve runs the service until it is interrupted, then finishes the requests under
way. Without --database-url it keeps a private PostgreSQL in the data folder and
brings its schema up to date; a database named by URL is migrated with
"bentside migrate".`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return serve(cmd.Context(), env, c) },
	}
	bindSettings(cmd, env, &c, "database-url", "migrate-url", "data-dir", "postgres-bin", "no-download", "listen", "log-level", "cursor-key")
	return cmd
}

func serve(ctx context.Context, env environment, c config) error {
	say := func(log *slog.Logger, line string) { log.Info(line) }
	return withApp(ctx, env, c, say, func(ctx context.Context, a *app.App, log *slog.Logger) error {
		s, err := listen(ctx, c, a, log)
		if err != nil {
			return err
		}
		log.Info("serving", slog.String("url", s.url))
		return s.run(ctx)
	})
}

// server is the service on a socket.
type server struct {
	url      string
	http     *http.Server
	listener net.Listener
	draining func()
	log      *slog.Logger
}

// listen binds the address, so that its port is known before anything is served.
func listen(ctx context.Context, c config, a *app.App, log *slog.Logger) (*server, error) {
	key := []byte(c.cursorKey)
	if len(key) == 0 {
		key = make([]byte, 32)
		if _, err := rand.Read(key); err != nil {
			return nil, fmt.Errorf("draw a cursor key: %w", err)
		}
	}
	door, err := api.New(api.Config{App: a, Log: log, CursorKey: key})
	if err != nil {
		return nil, err
	}
	var lc net.ListenConfig
	l, err := lc.Listen(ctx, "tcp", c.listen)
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w (give another --listen, or port 0 for a free one)", c.listen, err)
	}
	return &server{
		url: "http://" + l.Addr().String(),
		http: &http.Server{
			Handler: door, ReadHeaderTimeout: headerTimeout, ReadTimeout: readTimeout, WriteTimeout: writeTimeout,
			IdleTimeout: idleTimeout, MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
		},
		listener: l, draining: door.Drain, log: log,
	}, nil
}

// run serves until ctx ends; then readiness fails and what is under way is
// finished.
func (s *server) run(ctx context.Context) error {
	failed := make(chan error, 1)
	go func() { failed <- s.http.Serve(s.listener) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	s.log.Info("stopping: finishing the requests under way")
	s.draining()
	finish, cancel := context.WithTimeout(context.WithoutCancel(ctx), drainTime)
	defer cancel()
	err := s.http.Shutdown(finish)
	if served := <-failed; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}
