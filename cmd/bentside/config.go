package main

import (
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"
)

// config holds every setting.
type config struct {
	databaseURL string
	migrateURL  string
	dataDir     string
	postgresBin string
	noDownload  bool
	listen      string
	metrics     string
	logLevel    string
	cursorKey   string
	stopPause   string
	poolSize    string
	workers     string
	queueLength string
	quota       string
}

// setting is one row of the table of settings. A flag overrides the environment, which overrides
// the default.
type setting struct {
	flag, env, initial, help string
	text                     func(*config) *string // either text or yes is set
	yes                      func(*config) *bool
}

// settings is the table behind the flags, their help and the README.
var settings = []setting{
	{
		flag: "database-url", env: "DATABASE_URL",
		help: "PostgreSQL 15 or later, as the role bentside_service; empty: a private server in the data folder",
		text: func(c *config) *string { return &c.databaseURL },
	},
	{
		flag: "migrate-url", env: "MIGRATE_URL",
		help: "direct connection for migrations, as bentside_migrator or an administrator",
		text: func(c *config) *string { return &c.migrateURL },
	},
	{
		flag: "data-dir", env: "BENTSIDE_DATA",
		help: "folder of the private PostgreSQL; empty: the system's usual folder",
		text: func(c *config) *string { return &c.dataDir },
	},
	{
		flag: "postgres-bin", env: "BENTSIDE_POSTGRES_BIN",
		help: "folder of the programs postgres and initdb; empty: search for them",
		text: func(c *config) *string { return &c.postgresBin },
	},
	{
		flag: "no-download", env: "BENTSIDE_NO_DOWNLOAD",
		help: "never download PostgreSQL, even if the machine has none (environment: 1)",
		yes:  func(c *config) *bool { return &c.noDownload },
	},
	{
		flag: "listen", env: "BENTSIDE_LISTEN", initial: "127.0.0.1:8080",
		help: "address to listen on; port 0 picks a free one",
		text: func(c *config) *string { return &c.listen },
	},
	{
		flag: "metrics-listen", env: "BENTSIDE_METRICS_LISTEN",
		help: "address at which anybody who reaches it is shown the metrics, for Prometheus; empty: nobody is",
		text: func(c *config) *string { return &c.metrics },
	},
	{
		flag: "log-level", env: "BENTSIDE_LOG_LEVEL", initial: "info",
		help: "debug, info, warn or error",
		text: func(c *config) *string { return &c.logLevel },
	},
	{
		flag: "cursor-key", env: "BENTSIDE_CURSOR_KEY",
		help: "secret of at least 32 characters for signing page cursors, the same on all replicas; empty: a new one at each start",
		text: func(c *config) *string { return &c.cursorKey },
	},
	{
		flag: "stop-pause", env: "BENTSIDE_STOP_PAUSE", initial: "0s",
		help: "how long requests are still taken when told to stop, after readiness has failed; behind a balancer, longer than it asks for that",
		text: func(c *config) *string { return &c.stopPause },
	},
	{
		flag: "workers", env: "BENTSIDE_WORKERS",
		help: "how many dates, drawings, prices and plans are worked out at once; empty: one for each core, and 2 at least",
		text: func(c *config) *string { return &c.workers },
	},
	{
		flag: "queue-length", env: "BENTSIDE_QUEUE_LENGTH",
		help: "how many of them may wait, of all workshops together; more are refused (503); empty: 32",
		text: func(c *config) *string { return &c.queueLength },
	},
	{
		flag: "quota", env: "BENTSIDE_QUOTA",
		help: "how many of them one workshop may have under way or waiting; more are refused (429); empty: 16",
		text: func(c *config) *string { return &c.quota },
	},
	{
		flag: "pool-size", env: "BENTSIDE_POOL_SIZE",
		help: "connections to the database, more than workers; empty: 8 more",
		text: func(c *config) *string { return &c.poolSize },
	},
}

// bindSettings adds the named settings to a command as flags.
func bindSettings(cmd *cobra.Command, env environment, c *config, flags ...string) {
	for _, s := range settings {
		if !slices.Contains(flags, s.flag) {
			continue
		}
		help := fmt.Sprintf("%s [%s]", s.help, s.env)
		given := env.getenv(s.env)
		if s.yes != nil {
			cmd.Flags().BoolVar(s.yes(c), s.flag, given == "1", help)
			continue
		}
		if given == "" {
			given = s.initial
		}
		cmd.Flags().StringVar(s.text(c), s.flag, given, help)
	}
}

// dataFolder returns the folder of the private PostgreSQL. Root gets a system folder, because
// root's home is closed to the account that PostgreSQL must run as.
func (c config) dataFolder(env environment) (string, error) {
	switch {
	case c.dataDir != "":
		return filepath.Abs(c.dataDir)
	case env.uid == 0:
		return "/var/lib/bentside", nil
	case env.getenv("XDG_DATA_HOME") != "":
		return filepath.Join(env.getenv("XDG_DATA_HOME"), "bentside"), nil
	case env.getenv("HOME") != "":
		return filepath.Join(env.getenv("HOME"), ".local", "share", "bentside"), nil
	}
	return "", errors.New(
		"there is no home folder to keep a private PostgreSQL in; set DATABASE_URL to an existing " +
			"server, or give --data-dir a folder",
	)
}

func (c config) logger(env environment) (*slog.Logger, error) {
	var level slog.Level
	if err := level.UnmarshalText([]byte(c.logLevel)); err != nil {
		return nil, fmt.Errorf("--log-level must be debug, info, warn or error, not %q", c.logLevel)
	}
	return slog.New(slog.NewJSONHandler(env.stderr, &slog.HandlerOptions{Level: level})), nil
}

// check refuses settings that would only be refused once everything has been started.
func (c config) check() error {
	_, keyErr := c.cursorSecret()
	_, pauseErr := c.pause()
	_, limitsErr := c.limits()
	return errors.Join(keyErr, pauseErr, limitsErr)
}

// cursorSecret returns the key that signs page cursors: nil for one drawn at random.
func (c config) cursorSecret() ([]byte, error) {
	if n := len(c.cursorKey); n > 0 && n < minCursorKey {
		return nil, fmt.Errorf(
			"--cursor-key has %d characters and must have at least %d, or cursors can be forged; "+
				"openssl rand -base64 32 makes one", n, minCursorKey,
		)
	}
	return []byte(c.cursorKey), nil
}

const minCursorKey = 32

// pause returns how long requests are still taken after readiness has failed.
func (c config) pause() (time.Duration, error) {
	if c.stopPause == "" { // a command without the setting
		return 0, nil
	}
	d, err := time.ParseDuration(c.stopPause)
	if err != nil || d < 0 || d > maxPause {
		return 0, fmt.Errorf(
			"--stop-pause must be a duration from 0s to %v such as 5s, not %q", maxPause, c.stopPause,
		)
	}
	return d, nil
}

const maxPause = 5 * time.Minute
