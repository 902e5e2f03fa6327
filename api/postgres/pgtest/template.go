package pgtest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"sync"

	"bentside/api/postgres"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// blueprint says how a template is made: prepare brings an empty database, given by an
// administrator's URL, to the state that the files describe, and creates the roles. Equal files
// must give equal databases.
type blueprint struct {
	files   fs.FS
	prepare func(ctx context.Context, adminURL string) error
}

// name returns the name of the template, which contains a hash of all files and their names.
func (b blueprint) name() (string, error) {
	sum := sha256.New()
	err := fs.WalkDir(b.files, ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := fs.ReadFile(b.files, path)
		if err != nil {
			return err
		}
		fmt.Fprintf(sum, "%s %d\n%s", path, len(content), content)
		return nil
	})
	if err != nil {
		return "", fmt.Errorf("read the migrations: %w", err)
	}
	return "bentside_template_" + hex.EncodeToString(sum.Sum(nil)[:8]), nil
}

// templateLock is held, in the administrator's database, by whoever makes a template.
const templateLock = 0x62656e7473696465 // "bentside"

// template returns the name of the blueprint's template, making it if the server has none. If
// several test programs need it at once, one makes it and the others wait.
func (s *server) template(b blueprint) (string, error) {
	name, err := b.name()
	if err != nil {
		return "", err
	}
	once, _ := s.templates.LoadOrStore(name, sync.OnceValue(func() error {
		ctx, cancel := context.WithTimeout(context.Background(), stepTimeout)
		defer cancel()
		return s.makeTemplate(ctx, b, name)
	}))
	if err := once.(func() error)(); err != nil {
		return "", fmt.Errorf("make template %s: %w", name, err)
	}
	return name, nil
}

func (s *server) makeTemplate(ctx context.Context, b blueprint, name string) error {
	// The lock belongs to the connection, so if this program is killed, the next one makes the
	// template.
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", templateLock); err != nil {
		return err
	}
	err = s.underLock(ctx, conn, b, name)
	_, unlockErr := conn.Exec(
		context.WithoutCancel(ctx), "SELECT pg_advisory_unlock($1)", templateLock,
	)
	return errors.Join(err, unlockErr)
}

func (s *server) underLock(
	ctx context.Context, conn *pgxpool.Conn, b blueprint, name string,
) error {
	var complete bool
	err := conn.QueryRow(
		ctx, "SELECT datistemplate FROM pg_database WHERE datname = $1", name,
	).Scan(&complete)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return err
	}
	if complete {
		return nil
	}
	quoted := pgx.Identifier{name}.Sanitize()
	for _, sql := range []string{
		// left unfinished by a program that was killed
		"DROP DATABASE IF EXISTS " + quoted + " WITH (FORCE)",
		"CREATE DATABASE " + quoted + " TEMPLATE template0",
	} {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return err
		}
	}
	if err := b.prepare(ctx, s.url(name, "")); err != nil {
		return err
	}
	if !s.Trusted {
		if err := s.setPasswords(ctx, conn); err != nil {
			return err
		}
	}
	// A database with a session can't be copied: a connection that prepare left open would fail every
	// test, after five seconds and without a hint.
	for _, sql := range []string{
		"ALTER DATABASE " + quoted + " WITH ALLOW_CONNECTIONS false",
		"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '" + name + "'",
		"ALTER DATABASE " + quoted + " WITH IS_TEMPLATE true",
	} {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return err
		}
	}
	return nil
}

// setPasswords gives the login roles passwords on a server that asks for them.
func (s *server) setPasswords(ctx context.Context, conn *pgxpool.Conn) error {
	for _, role := range []string{postgres.MigratorRole, postgres.ServiceRole} {
		// A password can't be a parameter here; this one consists of hexadecimal digits.
		_, err := conn.Exec(
			ctx,
			"ALTER ROLE "+pgx.Identifier{role}.Sanitize()+" LOGIN PASSWORD '"+s.password(role)+"'",
		)
		var refused *pgconn.PgError
		// undefined_object: the blueprint creates no roles
		if errors.As(err, &refused) && refused.Code == "42704" {
			continue
		}
		if err != nil {
			return fmt.Errorf("set the password of role %s: %w", role, err)
		}
	}
	return nil
}
