package postgres

import (
	"context"
	"errors"
	"fmt"

	"bentside/migrations"

	"github.com/golang-migrate/migrate/v4"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"
)

// The three roles. The owner owns every table and can't log in; the migrator may become the owner;
// the service owns nothing and is bound by row-level security.
const (
	OwnerRole    = "bentside_owner"
	MigratorRole = "bentside_migrator"
	ServiceRole  = "bentside_service"
)

// prepareLock serialises everybody who prepares or migrates a database.
const prepareLock = 0x62656e74 // "bent"

// Prepare creates missing roles, makes the owner role the owner of the public schema, and runs all
// migrations. It needs an administrator of the server. Running it again, or several times at once,
// is safe.
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
	if err := refuseEncoding(ctx, conn); err != nil {
		return err
	}
	if _, err := conn.Exec(ctx, prepareSQL); err != nil {
		return fmt.Errorf("create the roles %s, %s and %s: %w", OwnerRole, MigratorRole, ServiceRole, err)
	}
	return nil
}

// prepareSQL allows for roles being shared by all databases of a server, and for another process
// creating them at the same moment.
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
        EXECUTE format('CREATE ROLE %I %s NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS', r.name,
        r.login);
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
  EXECUTE format('GRANT CONNECT ON DATABASE %I TO bentside_migrator, bentside_service',
  current_database());
  ALTER SCHEMA public OWNER TO bentside_owner;
  GRANT USAGE ON SCHEMA public TO bentside_service;
END $$`

// Migrate brings the schema up to date as the owner role, of which the URL's role must be a member.
// If several run at once, one does the work and the others wait. It may be killed at any moment:
// run again, it goes on where it was. What an earlier program left half-way is mended.
func Migrate(ctx context.Context, url string) error {
	return withMigrate(ctx, url, func(m *migrate.Migrate) error {
		if err := m.Up(); err != nil && !errors.Is(err, migrate.ErrNoChange) {
			return fmt.Errorf("run the migrations: %w", err)
		}
		return nil
	})
}

// SchemaVersion returns the number of the last migration that ran, 0 if none did, and whether an
// earlier program was cut short in it, which the next Migrate mends.
func SchemaVersion(ctx context.Context, url string) (version uint, cutShort bool, err error) {
	err = onLockedConnection(ctx, url, func(conn *pgx.Conn) error {
		t, err := newTarget(ctx, conn)
		if err != nil {
			return err
		}
		recorded, underWay, err := t.Version()
		version, cutShort = uint(max(recorded, 0)), underWay //nolint:gosec // not negative
		return err
	})
	return version, cutShort, err
}

// ErrBooksPosted is returned when migrations would be reverted although a workshop has events.
var ErrBooksPosted = errors.New(
	"migrations can't be reverted here, because workshops have recorded events; restore a backup instead",
)

// MigrateDown reverts the last n migrations. It is for development, and returns ErrBooksPosted once
// any event is recorded.
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

// withMigrate mends the schema's mark if an earlier program left it half-way, and then calls do.
func withMigrate(ctx context.Context, url string, do func(*migrate.Migrate) error) error {
	return onLockedConnection(ctx, url, func(conn *pgx.Conn) error {
		t, err := newTarget(ctx, conn)
		if err != nil {
			return err
		}
		files, err := iofs.New(migrations.Files, ".")
		if err != nil {
			return fmt.Errorf("read the migration files: %w", err)
		}
		if err := t.mend(files); err != nil {
			return fmt.Errorf("find out how far a migration came that was cut short: %w", err)
		}
		m, err := migrate.NewWithInstance("iofs", files, "postgres", t)
		if err != nil {
			return fmt.Errorf("prepare the migrations: %w", err)
		}
		return do(m)
	})
}

// onLockedConnection calls do with the one connection that migrates. The lock is that connection's,
// so that nobody else migrates for as long as a killed process's last statement still runs.
func onLockedConnection(ctx context.Context, url string, do func(*pgx.Conn) error) error {
	cfg, err := ownerConfig(url)
	if err != nil {
		return err
	}
	conn, err := pgx.ConnectConfig(ctx, cfg)
	if err != nil {
		return fmt.Errorf("connect to migrate: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx)) //nolint:errcheck // releases the lock
	if err := refuseEncoding(ctx, conn); err != nil {
		return err
	}
	if _, err := conn.Exec(ctx, `SELECT pg_advisory_lock($1)`, prepareLock); err != nil {
		return fmt.Errorf("wait for another migration: %w", err)
	}
	if _, err := conn.Exec(ctx, `SET lock_timeout TO '30s'`); err != nil {
		return fmt.Errorf("limit the wait for locks: %w", err)
	}
	return do(conn)
}

// ownerConfig returns a configuration that connects as the URL's role and then becomes the owner
// role.
func ownerConfig(url string) (*pgx.ConnConfig, error) {
	cfg, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("read the database URL: %w", err)
	}
	cfg.RuntimeParams["role"] = OwnerRole
	return cfg, nil
}

// latestMigration returns the highest number among the embedded migrations.
func latestMigration() int {
	entries, err := migrations.Files.ReadDir(".")
	if err != nil {
		panic("read the embedded migrations: " + err.Error())
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
