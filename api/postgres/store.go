package postgres

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	pgxdecimal "github.com/jackc/pgx-shopspring-decimal"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Store is a pool of connections as the service role.
type Store struct {
	pool    *pgxpool.Pool
	failure atomic.Pointer[failure] // nil: none yet
}

// Limits so that nothing waits for ever. PostgreSQL has none by default.
const (
	statementTimeout = "10s"
	lockTimeout      = "3s"
	idleInTxTimeout  = "15s"
)

// Open connects as the service role. It refuses a database that isn't in UTF-8, and a role that
// row-level security doesn't bind: a superuser, one with BYPASSRLS, or an owner of the tables.
func Open(ctx context.Context, url string, maxConns int32) (*Store, error) {
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("read the database URL: %w", err)
	}
	if maxConns > 0 {
		cfg.MaxConns = maxConns
	}
	cfg.MaxConnLifetime = time.Hour
	cfg.PingTimeout = pingTimeout
	cfg.ConnConfig.ConnectTimeout = connectTimeout
	params := cfg.ConnConfig.RuntimeParams
	params["application_name"] = "bentside"
	params["statement_timeout"] = statementTimeout
	params["lock_timeout"] = lockTimeout
	params["idle_in_transaction_session_timeout"] = idleInTxTimeout
	cfg.AfterConnect = func(_ context.Context, c *pgx.Conn) error {
		registerTypes(c)
		return nil
	}
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("open the database: %w", err)
	}
	s := &Store{pool: pool}
	err = refuseEncoding(ctx, pool)
	if err == nil {
		err = s.refuseUnboundRole(ctx)
	}
	if err != nil {
		pool.Close()
		return nil, err
	}
	return s, nil
}

// registerTypes makes a connection read decimals exactly, and instants in UTC whatever the
// machine's zone.
func registerTypes(c *pgx.Conn) {
	pgxdecimal.Register(c.TypeMap())
	c.TypeMap().RegisterType(&pgtype.Type{
		Name: "timestamptz", OID: pgtype.TimestamptzOID, Codec: &pgtype.TimestamptzCodec{
			ScanLocation: time.UTC,
		},
	})
}

// Close closes all connections.
func (s *Store) Close() { s.pool.Close() }

// UnboundRoleError says that row-level security doesn't bind the role given to the service, so that
// workshops wouldn't be kept apart.
type UnboundRoleError struct {
	Role   string
	Reason string
}

func (e *UnboundRoleError) Error() string {
	return fmt.Sprintf(
		"the service must not run as %q: this role %s, so row-level security would not keep workshops apart; use the role %s",
		e.Role, e.Reason, ServiceRole,
	)
}

func (s *Store) refuseUnboundRole(ctx context.Context) error {
	var role string
	var super, bypass, owns bool
	err := s.pool.QueryRow(ctx, `
		SELECT current_user, r.rolsuper, r.rolbypassrls,
		       EXISTS (SELECT 1 FROM pg_tables t
		               WHERE t.schemaname = 'public' AND pg_has_role(current_user, t.tableowner,
		               'MEMBER'))
		       OR EXISTS (SELECT 1 FROM pg_roles o
		                  WHERE o.rolname = $1 AND pg_has_role(current_user, o.oid, 'MEMBER'))
		FROM pg_roles r
		WHERE r.rolname = current_user`, OwnerRole).Scan(&role, &super, &bypass, &owns)
	switch {
	case err != nil:
		return fmt.Errorf("check the database role: %w", err)
	case super:
		return &UnboundRoleError{role, "is a superuser"}
	case bypass:
		return &UnboundRoleError{role, "has BYPASSRLS"}
	case owns:
		return &UnboundRoleError{role, "owns the tables or is a member of their owner"}
	}
	return nil
}

// Weakened names the settings of the server with which it may lose what it said it has kept, each
// with what that means. They are the operator's choice, so that the service runs all the same.
func (s *Store) Weakened(ctx context.Context) ([]string, error) {
	conn, err := s.acquire(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Release()
	rows, err := conn.Query(ctx, `
		SELECT name || ' is off: ' || meaning
		FROM (VALUES
		  (1, 'fsync', 'a crash of the machine may destroy the whole database'),
		  (2, 'full_page_writes', 'a crash of the machine may leave pages half written'),
		  (3, 'synchronous_commit', 'a crash of the server may lose the last acknowledged writes')
		) AS v (place, name, meaning)
		WHERE current_setting(name) = 'off'
		ORDER BY place`)
	if err != nil {
		return nil, translate(err)
	}
	weak, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return weak, translate(err)
}

// ErrSchemaBehind says that the schema lacks migrations.
var ErrSchemaBehind = errors.New("the schema is behind this program: run `bentside migrate`")

// Ready returns nil if the database answers and its schema is the one that this program was built
// with, or later.
func (s *Store) Ready(ctx context.Context) error {
	conn, err := s.acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	var version int
	var dirty bool
	err = conn.QueryRow(ctx, `SELECT version, dirty FROM schema_migrations`).Scan(&version, &dirty)
	var pg *pgconn.PgError
	switch {
	case errors.Is(err, pgx.ErrNoRows), errors.As(err, &pg) && pg.Code == "42P01": // undefined_table
		return ErrSchemaBehind
	case err != nil:
		return fmt.Errorf("read the schema version: %w", err)
	}
	if dirty || version < latestMigration() {
		return ErrSchemaBehind
	}
	return nil
}
