package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	pgxdecimal "github.com/jackc/pgx-shopspring-decimal"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Store is a pool of connections as the service role.
type Store struct {
	pool *pgxpool.Pool
}

// Limits of one statement, so that nothing waits for ever. A zero default of
// PostgreSQL means no limit.
const (
	statementTimeout = "10s"
	lockTimeout      = "3s"
	idleInTxTimeout  = "15s"
)

// Open connects as the service role and refuses a role that row-level security
// does not bind: a superuser, one with BYPASSRLS, or an owner of the tables.
func Open(ctx context.Context, url string, maxConns int32) (*Store, error) {
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("read the database URL: %w", err)
	}
	if maxConns > 0 {
		cfg.MaxConns = maxConns
	}
	cfg.MaxConnLifetime = time.Hour
	params := cfg.ConnConfig.RuntimeParams
	params["application_name"] = "bentside"
	params["statement_timeout"] = statementTimeout
	params["lock_timeout"] = lockTimeout
	params["idle_in_transaction_session_timeout"] = idleInTxTimeout
	cfg.AfterConnect = func(_ context.Context, c *pgx.Conn) error {
		pgxdecimal.Register(c.TypeMap())
		c.TypeMap().RegisterType(&pgtype.Type{ // instants read back as they were written, whatever the machine's zone
			Name: "timestamptz", OID: pgtype.TimestamptzOID, Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC},
		})
		return nil
	}
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("open the database: %w", err)
	}
	s := &Store{pool: pool}
	if err := s.refuseUnboundRole(ctx); err != nil {
		pool.Close()
		return nil, err
	}
	return s, nil
}

// Close gives all connections back.
func (s *Store) Close() { s.pool.Close() }

// UnboundRoleError says that the service was given a role which row-level
// security does not bind, so that workshops would not be kept apart.
type UnboundRoleError struct {
	Role   string
	Reason string
}

func (e *UnboundRoleError) Error() string {
	return fmt.Sprintf("the service must not run as %q: that role %s, so row-level security would not keep workshops apart; use the role %s", e.Role, e.Reason, ServiceRole)
}

func (s *Store) refuseUnboundRole(ctx context.Context) error {
	var role string
	var super, bypass, owns bool
	err := s.pool.QueryRow(ctx, `
		SELECT current_user, r.rolsuper, r.rolbypassrls,
		       EXISTS (SELECT 1 FROM pg_tables t
		               WHERE t.schemaname = 'public' AND pg_has_role(current_user, t.tableowner, 'MEMBER'))
		       OR EXISTS (SELECT 1 FROM pg_roles o
		                  WHERE o.rolname = $1 AND pg_has_role(current_user, o.oid, 'MEMBER'))
		FROM pg_roles r
		WHERE r.rolname = current_user`, OwnerRole).Scan(&role, &super, &bypass, &owns)
	switch {
	case err != nil:
		return fmt.Errorf("look at the database role: %w", err)
	case super:
		return &UnboundRoleError{role, "is a superuser"}
	case bypass:
		return &UnboundRoleError{role, "has BYPASSRLS"}
	case owns:
		return &UnboundRoleError{role, "owns the tables or is a member of their owner"}
	}
	return nil
}

// ErrSchemaBehind says that migrations are still to be run.
var ErrSchemaBehind = errors.New("the schema is behind this program: run `bentside migrate`")

// Ready reports whether the database answers and has the schema that this
// program was built with, or a later one.
func (s *Store) Ready(ctx context.Context) error {
	var version int
	var dirty bool
	err := s.pool.QueryRow(ctx, `SELECT version, dirty FROM schema_migrations`).Scan(&version, &dirty)
	var pg *pgconn.PgError
	switch {
	case errors.Is(err, pgx.ErrNoRows), errors.As(err, &pg) && pg.Code == "42P01": // undefined_table
		return ErrSchemaBehind
	case err != nil:
		return fmt.Errorf("ask for the schema version: %w", err)
	}
	if dirty || version < latestMigration() {
		return ErrSchemaBehind
	}
	return nil
}
