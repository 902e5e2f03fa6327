package postgres

import (
	"context"
	"errors"
	"fmt"

	"bentside/migrations"

	"github.com/golang-migrate/migrate/v4"
	migratepgx "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
)

// The three roles. The owner owns every table and cannot log in; the migrator
// may become the owner; the service owns nothing and row-level security binds
// it.
const (
	OwnerRole    = "bentside_owner"
	MigratorRole = "bentside_migrator"
	ServiceRole  = "bentside_service"
)

// prepareLock serialises everybody who prepares or migrates one database.
const prepareLock = 0x62656e74 // "bent"

// Prepare makes the roles where they are missing, gives the database's public
// schema to the owner role, and runs all migrations. It needs an administrator
// of the server; it may be run again, and by several at once.
func Prepare(ctx context.Context, adminURL string) error {
	if err := makeRoles(ctx, adminURL); err != nil {
		return err
	}
	return Migrate(ctx, adminURL)
}

func makeRoles(ctx context.Context, adminURL string) error {
	conn, err := pgx.Connect(ctx, adminURL)
	if err != nil {
		return fmt.Errorf("connect to prepare the database: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx)) //nolint:errcheck // nothing is left to lose
	if _, err := conn.Exec(ctx, prepareSQL); err != nil {
		return fmt.Errorf("make the roles %s, %s and %s: %w", OwnerRole, MigratorRole, ServiceRole, err)
	}
	return nil
}

// prepareSQL tolerates that roles are shared by all databases of a server and
// that another process makes them at the same moment.
const prepareSQL = `
DO $$
DECLARE r record;
BEGIN
  PERFORM pg_advisory_xact_lock(1650814580);
  FOR r IN SELECT * FROM (VALUES
      ('bentside_owner',    'NOLOGIN'),
      ('bentside_migrator', 'LOGIN'),
      ('bentside_service',  'LOGIN')) AS v(name, login) LOOP
    BEGIN
      IF NOT EXISTS (SELECT 1 FROM pg_roles WHERE rolname = r.name) THEN
        EXECUTE format('CREATE ROLE %I %s NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS', r.name, r.login);
      END IF;
    EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL;
    END;
  END LOOP;
  IF NOT pg_has_role('bentside_migrator', 'bentside_owner', 'MEMBER') THEN
    GRANT bentside_owner TO bentside_migrator;
  END IF;
  IF NOT pg_has_role(current_user, 'bentside_owner', 'MEMBER') THEN
    EXECUTE format('GRANT bentside_owner TO %I', current_user);
  END IF;
  EXECUTE format('GRANT CONNECT ON DATABASE %I TO bentside_migrator, bentside_service', current_database());
  ALTER SCHEMA public OWNER TO bentside_owner;
  GRANT USAGE ON SCHEMA public TO bentside_service;
END $$`

// Migrate brings the schema up to date as the owner role; the URL's role must
// be a member of it. Nothing happens where it is up to date; several may run at
// once and one does the work.
func Migrate(ctx context.Context, url string) error {
	return withMigrate(ctx, url, func(m *migrate.Migrate) error {
		if err := m.Up(); err != nil && !errors.Is(err, migrate.ErrNoChange) {
			return fmt.Errorf("run the migrations: %w", err)
		}
		return nil
	})
}

// SchemaVersion is the number of the last migration that was run, 0 where none
// was, and whether it stopped half-way.
func SchemaVersion(ctx context.Context, url string) (version uint, dirty bool, err error) {
	err = withMigrate(ctx, url, func(m *migrate.Migrate) error {
		version, dirty, err = m.Version()
		if errors.Is(err, migrate.ErrNilVersion) {
			return nil
		}
		return err
	})
	return version, dirty, err
}

// ForceSchemaVersion marks a migration as done after a failed one was mended
// by hand; it runs nothing.
func ForceSchemaVersion(ctx context.Context, url string, version int) error {
	return withMigrate(ctx, url, func(m *migrate.Migrate) error { return m.Force(version) })
}

// ErrBooksPosted refuses to take the schema back where a workshop has events.
var ErrBooksPosted = errors.New("the schema goes forward only here: workshops have recorded events; restore a backup instead")

// MigrateDown takes the last n migrations back. It is for development: where
// any event is recorded it refuses.
func MigrateDown(ctx context.Context, url string, n int) error {
	cfg, err := ownerConfig(url)
	if err != nil {
		return err
	}
	conn, err := pgx.ConnectConfig(ctx, cfg)
	if err != nil {
		return fmt.Errorf("connect to migrate: %w", err)
	}
	var posted bool
	err = conn.QueryRow(ctx, `SELECT to_regclass('events') IS NOT NULL`).Scan(&posted)
	if err == nil && posted {
		err = conn.QueryRow(ctx, `SELECT EXISTS (SELECT 1 FROM events)`).Scan(&posted)
	}
	_ = conn.Close(ctx)
	switch {
	case err != nil:
		return fmt.Errorf("look for recorded events: %w", err)
	case posted:
		return ErrBooksPosted
	}
	return withMigrate(ctx, url, func(m *migrate.Migrate) error { return m.Steps(-n) })
}

func withMigrate(ctx context.Context, url string, do func(*migrate.Migrate) error) error {
	cfg, err := ownerConfig(url)
	if err != nil {
		return err
	}
	db := stdlib.OpenDB(*cfg)
	defer db.Close() //nolint:errcheck // closed for its connections only
	guard, err := db.Conn(ctx)
	if err != nil {
		return fmt.Errorf("connect to migrate: %w", err)
	}
	defer guard.Close() //nolint:errcheck // its lock ends with it
	if _, err := guard.ExecContext(ctx, `SELECT pg_advisory_lock($1)`, prepareLock); err != nil {
		return fmt.Errorf("wait for another migration: %w", err)
	}
	target, err := migratepgx.WithInstance(db, &migratepgx.Config{})
	if err != nil {
		return fmt.Errorf("open the migrations table: %w", err)
	}
	defer target.Close() //nolint:errcheck // it holds a connection of its own, which db.Close would leave open
	files, err := iofs.New(migrations.Files, ".")
	if err != nil {
		return fmt.Errorf("read the migration files: %w", err)
	}
	m, err := migrate.NewWithInstance("iofs", files, "pgx5", target)
	if err != nil {
		return fmt.Errorf("prepare the migrations: %w", err)
	}
	return do(m)
}

// ownerConfig connects as the URL's role and goes on as the owner role.
func ownerConfig(url string) (*pgx.ConnConfig, error) {
	cfg, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("read the database URL: %w", err)
	}
	cfg.RuntimeParams["role"] = OwnerRole
	cfg.RuntimeParams["lock_timeout"] = "30s"
	return cfg, nil
}

// latestMigration is the highest number among the embedded files.
func latestMigration() int {
	entries, err := migrations.Files.ReadDir(".")
	if err != nil {
		panic("embedded migrations cannot be read: " + err.Error())
	}
	latest := 0
	for _, e := range entries {
		var n int
		if _, err := fmt.Sscanf(e.Name(), "%d_", &n); err == nil && n > latest {
			latest = n
		}
	}
	return latest
}
