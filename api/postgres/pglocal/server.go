package pglocal

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"strconv"
	"sync"
	"time"
)

// Superuser is the name of the cluster's superuser. It passes even forced row-level security, so that it is for
// making roles and databases and never for serving.
const Superuser = "postgres"

// port only names the socket file: the server opens no TCP port.
const port = 5432

// Config says which server to run and how.
type Config struct {
	// DataDir is the folder of the cluster, its locks and its log; made when absent. Required. As root every folder
	// above it must be open to the account that the server runs as, which a folder under root's home is not.
	DataDir string
	// BinDir is the folder of postgres and initdb. Empty: look on PATH, in the usual folders of the systems' packages
	// and among binaries that were fetched before.
	BinDir string
	// NoDownload forbids fetching prebuilt binaries when the machine has none.
	NoDownload bool
	// Scratch trades durability for speed, for data that may be lost at any moment: no fsync, and on Linux the server
	// ends with the process that started it. A folder is scratch or not from its first start on.
	Scratch bool
	// Log receives what happened to the server. Nil: nothing is logged.
	Log *slog.Logger
	// Announce is told before anything is fetched from the network, in one sentence with source and size. Nil: it goes
	// to Log.
	Announce func(string)

	search     *search // where to look for binaries; nil: this machine
	repository string  // where to fetch from; empty: the library's default
}

// Server is a claim on a running private server. It is safe for concurrent use.
type Server struct {
	log      *slog.Logger
	site     *site
	claim    *claim
	socket   string
	attached bool

	mu      sync.Mutex
	stopped bool
}

// Start attaches to the server of cfg.DataDir, or starts one: makes the cluster first when there is none, and clears
// what a killed server left behind. It returns once the server answers a query. Several processes may call it on one
// folder at once; they get the same server.
//
// Errors of their own type are *NotFoundError (no binaries), *MajorError (binaries of another major version),
// *FolderError (a folder that the server's account cannot use) and *LaunchError (the server or initdb gave up; it
// carries the end of their output).
func Start(ctx context.Context, cfg Config) (*Server, error) {
	if cfg.DataDir == "" {
		return nil, errors.New("start private PostgreSQL: no data folder given")
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
	st, err := openSite(cfg.DataDir)
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
		pf, err = st.startServer(ctx, cfg)
	}
	if err == nil {
		err = c.share()
	}
	if err != nil {
		c.release()
		return nil, err
	}
	cfg.Log.Info("private PostgreSQL is ready", slog.Bool("attached", attached), slog.Int("pid", pf.pid),
		slog.String("socket", pf.socketDir))
	return &Server{log: cfg.Log, site: st, claim: c, socket: pf.socketDir, attached: attached}, nil
}

// URL returns a connection string for pgx, and for anything else that reads PostgreSQL URLs, to the named database as
// the named user, through the socket and without a password. It names host, port, user, database and sslmode, so that
// PG* variables of the environment have no say in them. Neither the database nor the user need exist.
func (s *Server) URL(database, user string) string { return socketURL(s.socket, database, user) }

// Attached reports whether the server was already running: Start found it rather than started it.
func (s *Server) Attached() bool { return s.attached }

// Stop gives up the claim and, when no other process uses the server, stops it and waits until its last process is
// gone. Open connections are cut. When ctx ends first the server is still on its way down and Stop says so. A second
// call does nothing.
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
		s.log.Info("private PostgreSQL is left running for another process")
		return nil
	}
	if err := s.site.shutDown(ctx); err != nil {
		return fmt.Errorf("stop private PostgreSQL: %w", err)
	}
	s.log.Info("private PostgreSQL is stopped")
	return nil
}

func socketURL(dir, database, user string) string {
	u := url.URL{Scheme: "postgres", User: url.User(user), Path: "/" + database}
	u.RawQuery = url.Values{
		"host": {dir}, "port": {strconv.Itoa(port)}, "sslmode": {"disable"},
	}.Encode()
	return u.String()
}

// poll calls done until it reports true or fails, or ctx ends. The pause grows from 2 to 50 ms: most waits here are
// short, and a crash recovery may take minutes.
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
