package main

import (
	"fmt"
	"log/slog"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"
)

// config is everything that can be set.
type config struct {
	databaseURL string
	migrateURL  string
	dataDir     string
	postgresBin string
	noDownload  bool
	listen      string
	logLevel    string
	cursorKey   string
}

// setting is one row of the table of settings. A flag that is given wins over
// the environment, which wins over the default.
type setting struct {
	flag, env, initial, help string
	text                     func(*config) *string // one of text and yes is set
	yes                      func(*config) *bool
}

// settings is the one table that the flags, --help and the README follow.
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
		help: "folder of the private PostgreSQL; empty: the system's folder for such data",
		text: func(c *config) *string { return &c.dataDir },
	},
	{
		flag: "postgres-bin", env: "BENTSIDE_POSTGRES_BIN",
		help: "folder with the programs postgres and initdb; empty: looked for",
		text: func(c *config) *string { return &c.postgresBin },
	},
	{
		flag: "no-download", env: "BENTSIDE_NO_DOWNLOAD",
		help: "never fetch PostgreSQL where the machine has none (1 in the environment)",
		yes:  func(c *config) *bool { return &c.noDownload },
	},
	{
		flag: "listen", env: "BENTSIDE_LISTEN", initial: "127.0.0.1:8080",
		help: "address to serve on; port 0 takes a free one",
		text: func(c *config) *string { return &c.listen },
	},
	{
		flag: "log-level", env: "BENTSIDE_LOG_LEVEL", initial: "info",
		help: "debug, info, warn or error",
		text: func(c *config) *string { return &c.logLevel },
	},
	{
		flag: "cursor-key", env: "BENTSIDE_CURSOR_KEY",
		help: "secret that signs page cursors, the same for all replicas; empty: a new one at each start",
		text: func(c *config) *string { return &c.cursorKey },
	},
}

// bindSettings gives a command the named settings as flags.
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

// dataFolder is the folder of the private PostgreSQL. Root's home is closed to
// the account that PostgreSQL must run as, so root gets a system folder.
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
	return "", fmt.Errorf("there is no home folder to keep data in: give --data-dir")
}

func (c config) logger(env environment) (*slog.Logger, error) {
	var level slog.Level
	if err := level.UnmarshalText([]byte(c.logLevel)); err != nil {
		return nil, fmt.Errorf("--log-level %q is none of debug, info, warn, error", c.logLevel)
	}
	return slog.New(slog.NewJSONHandler(env.stderr, &slog.HandlerOptions{Level: level})), nil
}
