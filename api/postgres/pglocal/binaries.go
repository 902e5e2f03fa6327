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

// oldestMajor is the oldest major version of PostgreSQL with which a new cluster is made.
const oldestMajor = 15

// binaries is a folder of PostgreSQL server programs.
type binaries struct {
	dir     string
	version string // as the program prints it, such as "15.18"
	major   int
}

func (b binaries) String() string { return b.version + " in " + b.dir }

// search says where to look for server programs if no setting names them.
type search struct {
	path    string   // list of folders, like PATH
	folders []string // glob patterns
	// folder of fetched binaries; "" if there is none
	fetched string
}

// thisMachine searches PATH and the folders in which packages put server programs off PATH. Only
// PATH and Debian's folder have been tried; the others are from memory.
func thisMachine() *search {
	return &search{
		path: os.Getenv("PATH"),
		folders: []string{
			"/usr/lib/postgresql/*/bin",                          // Debian, Ubuntu
			"/usr/pgsql-*/bin",                                   // Fedora and kin, from postgresql.org
			"/usr/libexec/postgresql*",                           // Alpine
			"/opt/homebrew/opt/postgresql@*/bin",                 // Homebrew
			"/usr/local/opt/postgresql@*/bin",                    // Homebrew on Intel
			"/Applications/Postgres.app/Contents/Versions/*/bin", // Postgres.app
			"/opt/local/lib/postgresql*/bin",                     // MacPorts
		},
		fetched: fetchedFolder(),
	}
}

// find returns binaries for a cluster of the given major version, or the newest ones if major is 0:
// those in the setting, or else this machine's, or else fetched ones.
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
		return binaries{}, &NotFoundError{
			Looked: s.places(), TooOld: found.names(), Major: major, Fetch: err,
		}
	}
}

func explicit(ctx context.Context, dir string, a account, major int) (binaries, error) {
	b, err := probe(ctx, dir, a)
	if err != nil {
		return binaries{}, fmt.Errorf("the given folder of PostgreSQL programs: %w", err)
	}
	if major == 0 && b.major < oldestMajor {
		return binaries{}, fmt.Errorf(
			"PostgreSQL %v is too old; it must be %d or later", b, oldestMajor,
		)
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

// all returns all binaries that the search finds, those on PATH first.
func (s *search) all(ctx context.Context, a account, log *slog.Logger) binariesList {
	dirs := filepath.SplitList(s.path)
	patterns := s.folders
	if s.fetched != "" {
		patterns = append(slices.Clone(patterns), filepath.Join(s.fetched, fetchedPrefix+"*", "bin"))
	}
	for _, pattern := range patterns {
		matches, _ := filepath.Glob(pattern) // our own patterns are well formed
		dirs = append(dirs, matches...)
	}
	var found binariesList
	for _, dir := range dirs {
		if _, err := os.Stat(filepath.Join(dir, "postgres")); dir == "" || err != nil {
			continue
		}
		b, err := probe(ctx, dir, a)
		if err != nil {
			log.Debug(
				"skipping PostgreSQL programs", slog.String("dir", dir),
				slog.Any("reason", err),
			)
			continue
		}
		if !slices.Contains(found, b) {
			found = append(found, b)
		}
	}
	return found
}

// places describes the search for an error message.
func (s *search) places() []string {
	return append([]string{"PATH (" + s.path + ")"}, s.folders...)
}

// choose returns the first binaries of the wanted major version, or of the newest if major is 0.
func choose(found []binaries, major int) (binaries, bool) {
	var best binaries
	for _, b := range found {
		fits := b.major == major || major == 0 && b.major >= oldestMajor
		if fits && b.major > best.major {
			best = b
		}
	}
	return best, best.major != 0
}

var versionLine = regexp.MustCompile(`^postgres \(PostgreSQL\) ((\d+)\S*)`)

// probe asks the postgres in a folder for its version, as the account that is to run it. A postgres
// on PATH is often a link into the folder that holds the other programs.
func probe(ctx context.Context, dir string, a account) (binaries, error) {
	program, err := filepath.EvalSymlinks(filepath.Join(dir, "postgres"))
	if err != nil {
		return binaries{}, err
	}
	dir = filepath.Dir(program)
	if _, err := os.Stat(filepath.Join(dir, "initdb")); err != nil {
		return binaries{}, fmt.Errorf("no initdb next to postgres: %w", err)
	}
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, "-V") //nolint:gosec // the program that is to run as the server
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
