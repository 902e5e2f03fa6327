package postgres_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// withoutWorkshop lists the tables that belong to no workshop, each with the reason. All others are
// under row-level security.
var withoutWorkshop = map[string]string{
	"users":             "a person may belong to several workshops; rights_test.go tells who sees whom",
	"schema_migrations": "the schema is everybody's",
}

// tables returns the tables that belong to workshops.
func tables(tb testing.TB, c *pgx.Conn) []string {
	tb.Helper()
	all := list[string](tb, c, `SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY tablename`)
	kept := slices.DeleteFunc(all, func(t string) bool { return withoutWorkshop[t] != "" })
	if len(kept) < 8 {
		tb.Fatalf("only %d tables found: %v", len(kept), kept)
	}
	return kept
}

// byFunction is the table whose rows the service may add by a function only.
const byFunction = "memberships"

// refusalOfRows is what refuses another workshop's rows.
func refusalOfRows(table string) string {
	if table == byFunction {
		return "permission denied"
	}
	return "row-level security"
}

// keyOf returns the column that holds a table's workshop.
func keyOf(table string) string {
	if table == "workshops" {
		return "id"
	}
	return "workshop_id"
}

func TestEveryTableOfAWorkshopIsUnderForcedRowLevelSecurity(t *testing.T) {
	t.Parallel()
	c := connect(t, pgtest.New(t).Owner)
	for _, table := range tables(t, c) {
		if !scan[bool](t, c, `SELECT relrowsecurity AND relforcerowsecurity FROM pg_class WHERE oid = $1::text::regclass`, table) {
			t.Errorf("%s: row-level security is not enabled and forced", table)
		}
		key := "(" + keyOf(table) + " = current_workshop())"
		got := list[string](t, c, `
			SELECT format('%s to %s: %s, %s; %s', policyname, array_to_string(roles, ','), qual, with_check,
			permissive)
			FROM pg_policies
			WHERE schemaname = 'public' AND tablename = $1
			  AND permissive = 'PERMISSIVE' -- the others only narrow
			ORDER BY policyname`, table)
		diff(t, table, got, []string{
			"own_workshop to bentside_service: " + key + ", " + key + "; PERMISSIVE",
			"owner_sees_all to bentside_owner: true, true; PERMISSIVE",
		})
	}
}

func TestWithoutAWorkshopNoTableShowsOrTakesARow(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner, service := asOwner(t, db), connect(t, db.Service)
	fillAll(t, owner)
	for _, table := range tables(t, owner) {
		if n := countRows(t, owner, table); n == 0 {
			t.Errorf("%s has no fixture row, so this proves nothing", table)
		}
		if n := countRows(t, service, table); n != 0 {
			t.Errorf("%s: without a workshop the service sees %d rows", table, n)
		}
		if err := copyRow(
			t, service, table, rowOf(t, owner, table, workshopA),
		); !refusedWith(err, "42501", refusalOfRows(table)) {
			t.Errorf(
				"%s: without a workshop an insert ended in %v, want a refusal: %s",
				table, err, refusalOfRows(table),
			)
		}
	}
}

func TestAWorkshopSeesAndWritesItsOwnRowsOnly(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner, service := asOwner(t, db), connect(t, db.Service)
	fillAll(t, owner)
	for _, table := range tables(t, owner) {
		own, other := rowOf(t, owner, table, workshopA), rowOf(t, owner, table, workshopB)
		forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
			got := list[uuid.UUID](t, tx.Conn(), `SELECT `+keyOf(table)+` FROM `+table)
			diff(t, table+" as workshop A", got, []uuid.UUID{workshopA})
			if err := copyRow(t, tx, table, other); !refusedWith(err, "42501", refusalOfRows(table)) {
				t.Errorf("%s: an insert for another workshop ended in %v, want a refusal: %s",
					table, err, refusalOfRows(table))
			}
		})
		if table == byFunction {
			continue
		}
		// The same insert for our own workshop passes the policy and fails on the primary key, so it was
		// the policy that refused above.
		forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
			if err := copyRow(t, tx, table, own); !refusedWith(err, "23505", "") {
				t.Errorf("%s: inserting our own row again: got %v, want a duplicate key", table, err)
			}
		})
	}
}

func TestNoRowCanBeMovedToAnotherWorkshop(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner, service := asOwner(t, db), connect(t, db.Service)
	fillAll(t, owner)
	changeable := list[string](t, owner, `
		SELECT tablename
		FROM pg_tables
		WHERE schemaname = 'public' AND has_table_privilege('bentside_service', format('%I.%I',
		schemaname, tablename), 'UPDATE')
		ORDER BY tablename`)
	if len(changeable) < 8 {
		t.Fatalf("only %v can be updated", changeable)
	}
	for _, table := range changeable {
		forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
			_, err := tx.Exec(t.Context(), `UPDATE `+table+` SET `+keyOf(table)+` = $1`, workshopB)
			if !refusedWith(err, "42501", "row-level security") {
				t.Errorf(
					"%s: moving a row ended in %v, want a refusal by row-level security", table,
					err,
				)
			}
		})
	}
}

func TestAReusedConnectionSeesNothingAndDoesNotFail(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner, service := asOwner(t, db), connect(t, db.Service)
	fillAll(t, owner)
	forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
		if n := countRows(t, tx.Conn(), "instruments"); n != 1 {
			t.Fatalf("the workshop sees %d instruments, want 1", n)
		}
	})
	if got := scan[*string](t, service, `SELECT current_setting('app.workshop', true)`); got == nil || *got != "" {
		t.Fatalf(
			"app.workshop is %v after a transaction; this test is about the empty string that PostgreSQL leaves behind",
			got,
		)
	}
	for _, table := range tables(t, owner) {
		if n := countRows(t, service, table); n != 0 {
			t.Errorf("%s: the next user of the connection sees %d rows", table, n)
		}
	}
}

func TestABackFillByTheOwnerReachesEveryWorkshop(t *testing.T) {
	t.Parallel()
	owner := asOwner(t, pgtest.New(t))
	fillAll(t, owner)
	for _, table := range tables(t, owner) {
		if n := countRows(t, owner, table); n != 2 {
			t.Errorf("%s: the owner sees %d rows, want one for each workshop", table, n)
		}
		if slices.Contains(keptForEver, table) {
			continue
		}
		if n := mustExec(t, owner, `UPDATE `+table+` SET `+keyOf(table)+` = `+keyOf(table)); n != 2 {
			t.Errorf("%s: a back-fill changed %d rows, want one for each workshop", table, n)
		}
	}
}

func TestEveryKeyStartsWithTheWorkshop(t *testing.T) {
	t.Parallel()
	c := connect(t, pgtest.New(t).Owner)
	for _, table := range tables(t, c) {
		for _, def := range list[string](t, c, `
			SELECT contype::text || ' ' || conname || ' ' || pg_get_constraintdef(oid)
			FROM pg_constraint
			WHERE conrelid = $1::text::regclass AND contype IN ('p', 'f', 'u')`, table) {
			key := "(" + keyOf(table)
			global := strings.HasSuffix(def, "REFERENCES users(id)") || // people are global
				// a token is found before its workshop is known
				strings.HasPrefix(def, "u tokens_hash_key ")
			if !strings.Contains(def, key+",") && !strings.Contains(def, key+")") && !global {
				t.Errorf("%s: %s does not start with the workshop", table, def)
			}
		}
	}
}

func TestAReaderAndATxAreBoundToTheirWorkshop(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 2)
	b := s.Read(workshopB)
	if _, err := b.Instrument(t.Context(), rowID(13)); faultKind(err) != "not-found" {
		t.Errorf("another workshop's instrument: got %v, want not found", err)
	}
	if _, err := b.Person(t.Context(), rowID(11)); faultKind(err) != "not-found" {
		t.Errorf(
			"another workshop's person, by a query that names no workshop: got %v, want not found",
			err,
		)
	}
	if _, err := s.Read(workshopA).Instrument(t.Context(), rowID(13)); err != nil {
		t.Errorf("our own instrument: %v", err)
	}
	err := s.Write(t.Context(), actorOf(workshopB), morning, func(tx *postgres.Tx) error {
		return tx.SaveInstrument(t.Context(), someInstrument(rowID(13)), 1)
	})
	if faultKind(err) != "stale-version" {
		t.Errorf("changing another workshop's instrument: got %v, want stale", err)
	}
}

// The store's single connection is observed through the one query that names no workshop: in this
// database the function bearer returns the workshop that it finds set.
func TestNoReadOrWriteLeavesItsWorkshopOnTheConnection(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	owner := asOwner(t, db)
	fillAll(t, owner)
	mustExec(t, owner, `
		CREATE OR REPLACE FUNCTION bearer(secret_hash bytea, at timestamptz)
		RETURNS TABLE (workshop_id uuid, user_id uuid, token_id uuid, role text)
		LANGUAGE sql STABLE SECURITY DEFINER
		AS $$ SELECT coalesce(current_workshop(), '00000000-0000-0000-0000-000000000000'),
		gen_random_uuid(), gen_random_uuid(), 'owner' $$`)
	s := openStore(t, db, 1)
	left := func() uuid.UUID { return must(s.Bearer(t.Context(), [32]byte{}, morning))(t).Workshop }
	wrong := errors.New("something went wrong")
	read := func(id uuid.UUID) func() error {
		return func() error { _, err := s.Read(workshopA).Instrument(t.Context(), id); return err }
	}
	end := func(err error) func() error {
		return func() error {
			return s.Write(t.Context(), actorOf(workshopA), morning, func(*postgres.Tx) error { return err })
		}
	}
	for what, do := range map[string]func() error{
		"a read": read(rowID(13)), "a read of nothing": read(uuid.Max), "a write": end(nil),
		"a write rolled back": end(wrong),
		"a list with a bad limit": func() error {
			_, err := s.Read(workshopA).Events(t.Context(), 0, -1)
			return err
		},
	} {
		if err := do(); (err == nil) != (what == "a read" || what == "a write") {
			t.Errorf("%s: %v", what, err)
		}
		if got := left(); got != uuid.Nil {
			t.Errorf("%s leaves workshop %v set for whoever uses the connection next", what, got)
		}
	}
	// Inside a transaction that sets a workshop the function does see it, so it would also see one
	// that was left behind.
	forWorkshop(t, connect(t, db.Service), workshopA, func(tx pgx.Tx) {
		diff(t, "within a transaction", scan[uuid.UUID](t, tx.Conn(), `SELECT workshop_id FROM bearer('', now())`), workshopA)
	})
}

func countRows(tb testing.TB, c *pgx.Conn, table string) int {
	tb.Helper()
	return scan[int](tb, c, `SELECT count(*) FROM `+table)
}

// rowOf returns a workshop's row of a table as JSON.
func rowOf(tb testing.TB, owner *pgx.Conn, table string, workshop uuid.UUID) string {
	tb.Helper()
	return scan[string](tb, owner, `SELECT to_jsonb(t)::text FROM `+table+` AS t WHERE `+keyOf(table)+` = $1`, workshop)
}

// copyRow inserts a row given as JSON. Row-level security is checked before any constraint.
func copyRow(tb testing.TB, c querier, table, row string) error {
	tb.Helper()
	var columns string // without generated ones
	err := c.QueryRow(tb.Context(), `
		SELECT string_agg(quote_ident(attname), ', ' ORDER BY attnum)
		FROM pg_attribute
		WHERE attrelid = $1::text::regclass AND attnum > 0 AND NOT attisdropped AND attgenerated = ''`,
		table).Scan(&columns)
	if err != nil {
		tb.Fatal(err)
	}
	_, err = c.Exec(tb.Context(), `INSERT INTO `+table+` (`+columns+`) SELECT `+columns+
		` FROM jsonb_populate_record(NULL::`+table+`, $1::text::jsonb)`, row)
	return err
}
