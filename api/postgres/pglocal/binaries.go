package pglocal

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"time"
)

// OldestMajor is the oldest major version of PostgreSQL that a new cluster is made with.
const OldestMajor = 15

// binaries is a folder of PostgreSQL server programs.
type binaries struct {
	dir     string
	version string // as the program says it, e.g. "15.18"
	major   int
}

func (b binaries) String() string { return b.version + " in " + b.dir }

// search says where server programs may be when no setting says it.
type search struct {
	path    string   // a list of folders like PATH
	folders []string // patterns of folders
	fetched string   // the folder under which fetched binaries are kept; "" when there is no place for them
}

// thisMachine is PATH and where packages put server programs that are not on PATH. Only PATH and Debian's folder were
// tried; the others are from memory.
func thisMachine() *search {
	return &search{
		path: os.Getenv("PATH"),
		folders: []string{
			"/usr/lib/postgresql/*/bin",                          // Debian, Ubuntu
			"/usr/pgsql-*/bin",                                   // the project's own packages for Fedora and kin
			"/usr/libexec/postgresql*",                           // Alpine
			"/opt/homebrew/opt/postgresql@*/bin",                 // Homebrew
			"/usr/local/opt/postgresql@*/bin",                    // Homebrew on Intel
			"/Applications/Postgres.app/Contents/Versions/*/bin", // Postgres.app
			"/opt/local/lib/postgresql*/bin",                     // MacPorts
		},
		fetched: fetchedFolder(),
	}
}

// find returns the binaries for a cluster of the given major version, or the newest ones when major is 0: of the
// explicit setting, else of this machine, else fetched.
func find(ctx context.Context, cfg Config, a account, major int) (binaries, error) {
	if cfg.BinDir != "" {
		return explicit(ctx, cfg.BinDir, a, major)
	}
	s := cfg.search
	if s == nil {
		s = thisMachine()
	}
	found := s.all(ctx, a, cfg.Log)
	if b, ok := choose(found, major); ok {
		return b, nil
	}
	b, err := fetchFor(ctx, cfg, s, a, major)
	switch {
	case err == nil:
		return b, nil
	case ctx.Err() != nil:
		return binaries{}, context.Cause(ctx)
	case major != 0 && len(found) > 0:
		return binaries{}, &MajorError{Cluster: major, Found: found.names(), Fetch: err}
	default:
		return binaries{}, &NotFoundError{Looked: s.places(), TooOld: found.names(), Major: major, Fetch: err}
	}
}

func explicit(ctx context.Context, dir string, a account, major int) (binaries, error) {
	b, err := probe(ctx, dir, a)
	if err != nil {
		return binaries{}, fmt.Errorf("PostgreSQL programs of the setting: %w", err)
	}
	if major == 0 && b.major < OldestMajor {
		return binaries{}, fmt.Errorf("PostgreSQL %v is too old: %d is the oldest that will do", b, OldestMajor)
	}
	if major != 0 && b.major != major {
		return binaries{}, &MajorError{Cluster: major, Found: []string{b.String()}}
	}
	return b, nil
}

type binariesList []binaries

func (l binariesList) names() []string {
	var names []string
	for _, b := range l {
		names = append(names, b.String())
	}
	return names
}

// all returns the binaries of this search, those on PATH first.
func (s *search) all(ctx context.Context, a account, log *slog.Logger) binariesList {
	dirs := filepath.SplitList(s.path)
	patterns := s.folders
	if s.fetched != "" {
		patterns = append(slices.Clone(patterns), filepath.Join(s.fetched, fetchedPrefix+"*", "bin"))
	}
	for _, pattern := range patterns {
		matches, _ := filepath.Glob(pattern) // the patterns are ours, and well formed
		dirs = append(dirs, matches...)
	}
	var found binariesList
	for _, dir := range dirs {
		if _, err := os.Stat(filepath.Join(dir, "postgres")); dir == "" || err != nil {
			continue
		}
		b, err := probe(ctx, dir, a)
		if err != nil {
			log.Debug("passing over PostgreSQL programs", slog.String("dir", dir), slog.Any("reason", err))
			continue
		}
		if !slices.Contains(found, b) {
			found = append(found, b)
		}
	}
	return found
}

// places lists the search for a reader.
func (s *search) places() []string {
	return append([]string{"PATH (" + s.path + ")"}, s.folders...)
}

// choose returns the first binaries of the wanted major version, or of the newest when that is 0.
func choose(found []binaries, major int) (binaries, bool) {
	var best binaries
	for _, b := range found {
		fits := b.major == major || major == 0 && b.major >= OldestMajor
		if fits && b.major > best.major {
			best = b
		}
	}
	return best, best.major != 0
}

var versionLine = regexp.MustCompile(`^postgres \(PostgreSQL\) ((\d+)\S*)`)

// probe asks the postgres of a folder for its version, as the account that is to run it. A postgres on PATH is often
// a link into the folder that holds the other programs too.
func probe(ctx context.Context, dir string, a account) (binaries, error) {
	program, err := filepath.EvalSymlinks(filepath.Join(dir, "postgres"))
	if err != nil {
		return binaries{}, err
	}
	dir = filepath.Dir(program)
	if _, err := os.Stat(filepath.Join(dir, "initdb")); err != nil {
		return binaries{}, fmt.Errorf("no initdb beside postgres: %w", err)
	}
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, "-V") //nolint:gosec // the very program that is to run as the server
	cmd.Dir, cmd.Env, cmd.SysProcAttr = "/", environment(), a.processAttributes()
	output, err := cmd.Output()
	if err != nil {
		return binaries{}, fmt.Errorf("%s -V: %w", program, err)
	}
	match := versionLine.FindSubmatch(output)
	if match == nil {
		return binaries{}, fmt.Errorf("%s -V: no version in %q", program, output)
	}
	major, err := strconv.Atoi(string(match[2]))
	if err != nil {
		return binaries{}, errors.Join(fmt.Errorf("%s -V", program), err)
	}
	return binaries{dir: dir, version: string(match[1]), major: major}, nil
}
