package pglocal

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"strconv"
	"sync"
	"sync/atomic"
	"time"
)

// Superuser is the cluster's superuser. It bypasses even forced row-level security, so it is for
// creating roles and databases and never for serving.
const Superuser = "postgres"

// port is only part of the socket's file name: the server opens no TCP port.
const port = 5432

// Config says which server to run and how.
type Config struct {
	// DataDir is the folder of the cluster, its locks and its log, created if missing. Required. For
	// root, every folder above it must be open to the account that the server runs as, which rules out
	// root's home.
	DataDir string
	// BinDir is the folder of postgres and initdb. Empty: search PATH, the folders used by packages,
	// and binaries downloaded before.
	BinDir string
	// NoDownload forbids downloading prebuilt binaries if the machine has none.
	NoDownload bool
	// Scratch trades durability for speed, for data that may be lost at any moment: no fsync, and on
	// Linux the server ends with the process that started it. It can't be changed after a folder's
	// first start.
	Scratch bool
	// Log receives the events of the server's life. Nil: nothing is logged.
	Log *slog.Logger
	// Announce is called before anything is downloaded, with one sentence that gives source and size.
	// Nil: the sentence goes to Log.
	Announce func(string)

	search     *search // nil: search this machine
	repository string  // to download from; empty: the library's default
}

// Server is a claim on a running private server. It is safe for concurrent use.
type Server struct {
	log    *slog.Logger
	cfg    Config
	site   *site
	claim  *claim
	socket string
	down   atomic.Pointer[error] // why it can't be started again; nil while it can

	mu      sync.Mutex
	stopped bool
}

// Start attaches to the server of cfg.DataDir or starts one, and returns once the server answers a
// query. Before that it makes the cluster if there is none and cleans up after a killed server.
// Several processes may call it on one folder at once; they get the same server.
//
// The errors with types of their own are *NotFoundError (no binaries), *MajorError (binaries of
// another major version), *FolderError (a folder that the server's account can't use) and
// *LaunchError (the server or initdb failed; it carries the end of their output).
func Start(ctx context.Context, cfg Config) (*Server, error) {
	if cfg.DataDir == "" {
		return nil, errors.New("start private PostgreSQL: DataDir is empty")
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	if cfg.Announce == nil {
		cfg.Announce = func(what string) { cfg.Log.Warn(what) }
	}
	server, err := start(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("start private PostgreSQL in %s: %w", cfg.DataDir, err)
	}
	return server, nil
}

func start(ctx context.Context, cfg Config) (*Server, error) {
	st, err := openSite(cfg.DataDir, cfg.Scratch)
	if err != nil {
		return nil, err
	}
	c, err := st.claim(ctx)
	if err != nil {
		return nil, err
	}
	defer c.endStart()
	pf, attached, err := st.running(ctx, c.alone)
	if err == nil && !attached {
		pf, err = st.startServer(ctx, cfg, pf.socketDir)
	}
	if err == nil {
		err = c.share()
	}
	if err != nil {
		c.release()
		return nil, err
	}
	cfg.Log.Info(
		"private PostgreSQL is ready", slog.Bool("attached", attached), slog.Int("pid", pf.pid),
		slog.String("socket", pf.socketDir),
	)
	return &Server{log: cfg.Log, cfg: cfg, site: st, claim: c, socket: pf.socketDir}, nil
}

// URL returns a connection string in URL form for a database and a user, through the socket and
// without a password. It sets host, port, user, database and sslmode, so that PG* environment
// variables don't affect them. Neither the database nor the user needs to exist.
func (s *Server) URL(database, user string) string { return socketURL(s.socket, database, user) }

// Stop gives up the claim. If no other process uses the server, it stops the server, which cuts
// open connections, and waits until its last process is gone. If ctx ends first, it returns an
// error while the server goes on stopping. A second call does nothing.
func (s *Server) Stop(ctx context.Context) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.stopped {
		return nil
	}
	s.stopped = true
	defer s.claim.release()
	last, err := s.claim.last(ctx)
	if err != nil {
		return fmt.Errorf("stop private PostgreSQL: %w", err)
	}
	if !last {
		s.log.Info("private PostgreSQL keeps running for another process")
		return nil
	}
	if err := s.site.shutDown(ctx); err != nil {
		return fmt.Errorf("stop private PostgreSQL: %w", err)
	}
	s.log.Info("private PostgreSQL has stopped")
	return nil
}

func socketURL(dir, database, user string) string {
	u := url.URL{Scheme: "postgres", User: url.User(user), Path: "/" + database}
	u.RawQuery = url.Values{
		"host": {dir}, "port": {strconv.Itoa(port)}, "sslmode": {"disable"},
	}.Encode()
	return u.String()
}

// poll calls done until it returns true or an error, or ctx ends. The pause between calls grows
// from 2 to 50 ms: most waits here are short, but crash recovery may take minutes.
func poll(ctx context.Context, done func() (bool, error)) error {
	for pause := 2 * time.Millisecond; ; pause = min(pause*3/2, 50*time.Millisecond) {
		ok, err := done()
		if err != nil || ok {
			return err
		}
		select {
		case <-ctx.Done():
			return context.Cause(ctx)
		case <-time.After(pause):
		}
	}
}
