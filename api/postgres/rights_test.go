package postgres_test

import (
	"testing"

	"bentside/api/postgres/pgtest"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// TestTheServiceMayDoNoMoreToPeopleAndTokensThanItMust runs, as the service in workshop A, what a
// statement smuggled into it might try.
func TestTheServiceMayDoNoMoreToPeopleAndTokensThanItMust(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	service := connect(t, db.Service)
	const denied, policy = "permission denied", "row-level security"
	for _, c := range []struct{ statement, refusal string }{
		{`INSERT INTO users (id, name, created_at) VALUES (gen_random_uuid(), 'x', now())`, denied},
		{`UPDATE users SET name = 'x'`, denied},
		{`DELETE FROM users`, denied},
		{`TRUNCATE users CASCADE`, denied},
		{`INSERT INTO memberships (workshop_id, user_id, role, created_at)
			VALUES (current_workshop(), 'b0000000-0000-7000-8000-000000000002', 'viewer', now())`, denied},
		{`UPDATE memberships SET role = 'owner'`, denied},
		{`UPDATE memberships SET user_id = 'b0000000-0000-7000-8000-000000000002'`, denied},
		{`DELETE FROM memberships`, denied},
		{`SELECT hash FROM tokens`, denied},
		{`SELECT * FROM tokens`, denied},
		{`SELECT 1 FROM tokens WHERE hash > '\x00'`, denied},
		{`UPDATE tokens SET hash = sha256('known')`, denied},
		{`UPDATE tokens SET user_id = gen_random_uuid()`, denied},
		{`UPDATE tokens SET expires_at = NULL`, denied},
		{`UPDATE tokens SET note = ''`, denied},
		{`DELETE FROM tokens`, denied},
		{`UPDATE tokens SET revoked_at = NULL`, policy},
		{`UPDATE schema_migrations SET version = 1`, denied},
		{`SET LOCAL ROLE bentside_owner`, denied},
		{`CREATE TABLE loot (x text)`, denied},
	} {
		forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
			if _, err := tx.Exec(t.Context(), c.statement); !refusedWith(err, "42501", c.refusal) {
				t.Errorf("%s: got %v, want %s", c.statement, err, c.refusal)
			}
		})
	}
}

func TestAWorkshopReadsTheNamesOfItsOwnMembersOnly(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner, service := asOwner(t, db), connect(t, db.Service)
	fillAll(t, owner)
	if n := countRows(t, owner, "users"); n != 2 {
		t.Fatalf("there are %d users, want one for each workshop", n)
	}
	if n := countRows(t, service, "users"); n != 0 {
		t.Errorf("without a workshop the service reads %d names", n)
	}
	forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
		diff(t, "the users that workshop A reads",
			list[uuid.UUID](t, tx.Conn(), `SELECT id FROM users`), []uuid.UUID{rowID(2)})
	})
	// A membership for somebody who exists elsewhere would show the name.
	forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
		_, err := tx.Exec(t.Context(),
			`SELECT add_member('b0000000-0000-7000-8000-000000000002', 'x', 'viewer', now())`)
		if !refusedWith(err, "23505", "users_pkey") {
			t.Errorf("adding another workshop's member: got %v, want a duplicate key", err)
		}
	})
	if _, err := service.Exec(t.Context(),
		`SELECT add_member(gen_random_uuid(), 'x', 'viewer', now())`); !refusedWith(err, "23502", "workshop_id") {
		t.Errorf("adding a member without a workshop: got %v", err)
	}
}

// A token that is revoked stays so: the row isn't there to be changed any more.
func TestARevokedTokenCantBeRevived(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner, service := asOwner(t, db), connect(t, db.Service)
	fillAll(t, owner)
	mustExec(t, owner, `UPDATE tokens SET revoked_at = now()`)
	for _, to := range []string{`NULL`, `now() + interval '1 year'`} {
		forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
			if n := mustExec(t, tx.Conn(), `UPDATE tokens SET revoked_at = `+to); n != 0 {
				t.Errorf("revoked_at = %s reached %d revoked tokens", to, n)
			}
		})
	}
}
