package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"time"

	"bentside/api"

	"github.com/spf13/cobra"
)

// Limits for slow or dead clients, and for finishing open requests.
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
		Long: `Serve runs the service until it is interrupted. Then readiness fails, requests
are taken for --stop-pause longer, and those under way are finished.
Without --database-url it keeps a private PostgreSQL in the data folder and
migrates it at the start; migrate a database named by URL with
"bentside migrate".`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return serve(cmd.Context(), env, c) },
	}
	bindSettings(
		cmd, env, &c, "database-url", "migrate-url", "data-dir", "postgres-bin", "no-download",
		"listen", "metrics-listen", "log-level", "cursor-key", "stop-pause", "workers",
		"queue-length", "quota", "pool-size",
	)
	return cmd
}

func serve(ctx context.Context, env environment, c config) error {
	if err := c.check(); err != nil {
		return err
	}
	l, err := c.limits()
	if err != nil {
		return err
	}
	l.makeRoom(env)
	say := func(log *slog.Logger, line string) { log.Info(line) }
	return withApp(ctx, env, c, say, func(ctx context.Context, o opened) error {
		if err := nameWeakened(ctx, o); err != nil {
			return err
		}
		s, err := listen(ctx, c, o)
		if err != nil {
			return err
		}
		o.log.Info("serving", slog.String("url", s.url))
		return s.run(ctx)
	})
}

// nameWeakened logs what the database may lose by its settings.
func nameWeakened(ctx context.Context, o opened) error {
	weak, err := o.app.Weakened(ctx)
	if err != nil {
		return fmt.Errorf("read the database's settings: %w", err)
	}
	for _, what := range weak {
		o.log.Error("the database may lose acknowledged writes", slog.String("setting", what))
	}
	return nil
}

// server is the service on a socket.
type server struct {
	url      string
	http     *http.Server
	listener net.Listener
	metrics  io.Closer // at an address of their own; nil: shown to nobody
	draining func()
	pause    time.Duration // from failing readiness to closing the listener
	log      *slog.Logger
}

// listen binds the address, so that the port is known before anything is served.
func listen(ctx context.Context, c config, o opened) (*server, error) {
	pause, err := c.pause()
	if err != nil {
		return nil, err
	}
	key, err := c.cursorSecret()
	if err != nil {
		return nil, err
	}
	handler, err := api.New(api.Config{App: o.app, Log: o.log, Alive: o.alive, CursorKey: key})
	if err != nil {
		return nil, err
	}
	var lc net.ListenConfig
	l, err := lc.Listen(ctx, "tcp", c.listen)
	if err != nil {
		return nil, fmt.Errorf(
			"listen on %s: %w (give another --listen, or port 0 for a free one)", c.listen, err,
		)
	}
	metrics, err := showMetrics(ctx, c.metrics, handler.Metrics(), o.log)
	if err != nil {
		return nil, errors.Join(err, l.Close())
	}
	return &server{
		url: "http://" + l.Addr().String(),
		http: &http.Server{
			Handler: handler, ReadHeaderTimeout: headerTimeout, ReadTimeout: readTimeout,
			WriteTimeout: writeTimeout,
			IdleTimeout:  idleTimeout, MaxHeaderBytes: 64 << 10,
			ErrorLog: slog.NewLogLogger(o.log.Handler(), slog.LevelWarn),
		},
		listener: l, metrics: metrics, draining: handler.Drain, pause: pause, log: o.log,
	}, nil
}

// run serves until ctx ends. Then readiness fails; after the pause the listener closes and open
// requests are finished.
func (s *server) run(ctx context.Context) error {
	if s.metrics != nil {
		defer s.metrics.Close() //nolint:errcheck // nothing is left to lose
	}
	failed := make(chan error, 1)
	go func() { failed <- s.http.Serve(s.listener) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	s.draining()
	if s.pause > 0 {
		s.log.Info("stopping: not ready any more", slog.Duration("pause", s.pause))
		time.Sleep(s.pause) // nobody is to cut it short: who asks for readiness must see it fail
	}
	s.log.Info("shutting down: finishing open requests")
	finish, cancel := context.WithTimeout(context.WithoutCancel(ctx), drainTime)
	defer cancel()
	err := s.http.Shutdown(finish)
	if served := <-failed; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}
