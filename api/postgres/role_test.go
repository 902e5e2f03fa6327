package postgres_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"net/url"
	"strings"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

func TestTheServiceRunsAsNoRoleThatRowLevelSecurityDoesNotBind(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	bypassing := loginRole(t, db, "BYPASSRLS", "")
	twiceRemoved := loginRole(t, db, "NOINHERIT", postgres.MigratorRole)
	for _, c := range []struct{ url, reason string }{
		{db.Owner, "is a superuser"},
		{bypassing, "has BYPASSRLS"},
		{db.Migrator, "owns the tables or is a member of their owner"},
		{twiceRemoved, "owns the tables or is a member of their owner"},
	} {
		s, err := postgres.Open(t.Context(), c.url, 1)
		if err == nil {
			s.Close()
		}
		var unbound *postgres.UnboundRoleError
		if !errors.As(err, &unbound) || unbound.Reason != c.reason ||
			unbound.Role != userOf(t, c.url) {
			t.Errorf(
				"Open as %s: got %v, want an UnboundRoleError since it %s", userOf(t, c.url), err,
				c.reason,
			)
		}
	}
}

func TestAMemberOfTheOwnerIsRefusedBeforeThereAreTables(t *testing.T) {
	t.Parallel()
	pgtest.New(t) // makes the roles, which belong to the server
	s, err := postgres.Open(t.Context(), pgtest.Empty(t).Migrator, 1)
	if err == nil {
		s.Close()
	}
	var unbound *postgres.UnboundRoleError
	if !errors.As(err, &unbound) {
		t.Errorf(
			"Open as a member of the owner on an empty database: got %v, want an UnboundRoleError",
			err,
		)
	}
}

func TestTheServiceIsReadyOnlyWithItsSchema(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	s := openStore(t, db, 1)
	if err := s.Ready(t.Context()); err != nil {
		t.Errorf("with the newest schema: %v", err)
	}
	if err := openStore(t, pgtest.Empty(t), 1).Ready(t.Context()); !errors.Is(
		err, postgres.ErrSchemaBehind,
	) {
		t.Errorf("with no schema at all: got %v, want ErrSchemaBehind", err)
	}
	owner := asOwner(t, db)
	mustExec(t, owner, `UPDATE schema_migrations SET version = version - 1`)
	if err := s.Ready(t.Context()); !errors.Is(err, postgres.ErrSchemaBehind) {
		t.Errorf("one migration behind: got %v, want ErrSchemaBehind", err)
	}
	mustExec(t, owner, `UPDATE schema_migrations SET version = version + 2`)
	if err := s.Ready(t.Context()); err != nil {
		t.Errorf("with a later schema: %v", err)
	}
	mustExec(t, owner, `UPDATE schema_migrations SET dirty = true`)
	if err := s.Ready(t.Context()); !errors.Is(err, postgres.ErrSchemaBehind) {
		t.Errorf("with a migration that stopped half-way: got %v, want ErrSchemaBehind", err)
	}
}

func TestSettingsThatMayLoseAcknowledgedWritesAreNamed(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	// Test servers are scratch ones, without fsync; of a database only the commits can be set.
	admin := connect(t, db.Owner)
	for setting, named := range map[string]bool{"off": true, "on": false, "local": false} {
		mustExec(t, admin, `ALTER DATABASE `+pgx.Identifier{db.Name}.Sanitize()+
			` SET synchronous_commit TO `+setting)
		weak, err := openStore(t, db, 1).Weakened(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		said := strings.Join(weak, "\n")
		if got := strings.Contains(said, "synchronous_commit is off: "); got != named {
			t.Errorf("synchronous_commit is %s: named %v, want %v", setting, got, named)
		}
		for _, name := range []string{"fsync", "full_page_writes"} {
			off := scan[string](t, admin, `SELECT current_setting($1)`, name) == "off"
			if got := strings.Contains(said, name+" is off: "); got != off {
				t.Errorf("%s: named %v, want %v", name, got, off)
			}
		}
	}
}

func TestATokenIsFoundBeforeItsWorkshopIsKnown(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	s := openStore(t, db, 2)
	owner := found(t, s)
	hour := morning.Add(time.Hour)
	lasting, expiring, revoked := newID(t), newID(t), newID(t)
	hash := func(id uuid.UUID) [32]byte { return sha256.Sum256(id[:]) }
	write(t, s, owner, func(tx *postgres.Tx) error {
		return errors.Join(
			tx.AddToken(t.Context(), lasting, owner.User, hash(lasting), "lasting", nil),
			tx.AddToken(t.Context(), expiring, owner.User, hash(expiring), "expiring", &hour),
			tx.AddToken(t.Context(), revoked, owner.User, hash(revoked), "revoked", nil),
			tx.RevokeToken(t.Context(), revoked))
	})
	want := func(id uuid.UUID) domain.Actor {
		return domain.Actor{
			Workshop: owner.Workshop, User: owner.User, Token: id, Role: domain.Owner,
		}
	}
	for _, c := range []struct {
		what string
		id   uuid.UUID
		at   time.Time
		want domain.Actor
		kind domain.FaultKind
	}{
		{"a token without an end", lasting, hour.AddDate(50, 0, 0), want(lasting), ""},
		{"a microsecond before the end", expiring, hour.Add(-time.Microsecond), want(expiring), ""},
		{"at the end", expiring, hour, domain.Actor{}, domain.Unauthenticated},
		{"a revoked token", revoked, morning, domain.Actor{}, domain.Unauthenticated},
		{"a token that nobody made", uuid.Max, morning, domain.Actor{}, domain.Unauthenticated},
	} {
		got, err := s.Bearer(t.Context(), hash(c.id), c.at)
		if got != c.want || faultKind(err) != c.kind || c.kind == "" && err != nil {
			t.Errorf("%s: got %+v, %v; want %+v and %q", c.what, got, err, c.want, c.kind)
		}
	}
}

func TestTokensOfOtherWorkshopsAreOutOfReach(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	service := connect(t, db.Service)
	if n := countRows(t, service, "tokens"); n != 0 {
		t.Errorf("without a workshop the service reads %d tokens", n)
	}
	forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
		diff(t, "the tokens that workshop A reads", list[uuid.UUID](t, tx.Conn(), `SELECT id FROM tokens`), []uuid.UUID{rowID(3)})
	})
	if _, err := connect(t, loginRole(t, db, "NOINHERIT", "")).Exec(t.Context(), `SELECT bearer(sha256('x'), now())`); !refusedWith(err, "42501", "bearer") {
		t.Errorf("a role that is not the service called bearer: %v", err)
	}
}

// loginRole creates a role for the duration of the test, as a member of another if one is given,
// and returns the database's URL for it.
func loginRole(tb testing.TB, db *pgtest.DB, attribute, memberOf string) string {
	tb.Helper()
	admin := connect(tb, db.Owner)
	name := "visitor_" + strings.ReplaceAll(uuid.NewString(), "-", "")
	mustExec(tb, admin, `CREATE ROLE `+name+` LOGIN PASSWORD 'open sesame' `+attribute)
	tb.Cleanup(func() { _, _ = admin.Exec(context.WithoutCancel(tb.Context()), `DROP ROLE `+name) })
	if memberOf != "" {
		mustExec(tb, admin, `GRANT `+memberOf+` TO `+name)
	}
	u, err := url.Parse(db.Owner)
	if err != nil {
		tb.Fatal(err)
	}
	u.User = url.UserPassword(name, "open sesame")
	return u.String()
}

func userOf(tb testing.TB, dbURL string) string {
	tb.Helper()
	u, err := url.Parse(dbURL)
	if err != nil {
		tb.Fatal(err)
	}
	return u.User.Username()
}
