package postgres_test

import (
	"flag"
	"os"
	"strings"
	"testing"

	"bentside/api/postgres/pgtest"

	"github.com/jackc/pgx/v5"
)

var update = flag.Bool("update", false, "write migrations/schema.txt anew")

const schemaFile = "../../migrations/schema.txt"

// The whole schema stands in one file, so that every change of it shows in review, even one made by
// a helper procedure.
func TestTheSchemaIsTheOneInReview(t *testing.T) {
	t.Parallel()
	got := schemaOf(t, connect(t, pgtest.New(t).Owner))
	if *update {
		if err := os.WriteFile(schemaFile, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	sameSchema(t, "beside migrations/schema.txt, which -update writes anew", got, string(want))
}

// sameSchema reports the first line in which two renderings differ.
func sameSchema(tb testing.TB, when, got, want string) {
	tb.Helper()
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			tb.Errorf("the schema differs %s, at line %d:\n got %s\nwant %s", when, i+1, g[i], w[i])
			return
		}
	}
	if len(g) != len(w) {
		tb.Errorf("the schema differs %s: %d lines, want %d", when, len(g), len(w))
	}
}

// schemaOf renders the public schema of a database from the system catalogue, in an order and
// wording that don't depend on the version of PostgreSQL. Not-null constraints, which PostgreSQL 18
// lists as constraints, are shown with their columns.
func schemaOf(tb testing.TB, c *pgx.Conn) string {
	tb.Helper()
	var b strings.Builder
	b.WriteString(
		"The schema that the migrations make, written by the tests of api/postgres (-update).\n",
	)
	for _, table := range list[string](tb, c, `
		SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind IN ('r', 'p',
		'v', 'm', 'S') ORDER BY relname COLLATE "C"`) {
		b.WriteString("\ntable " + table + ", of " + scan[string](tb, c, tableSQL, table) + "\n")
		for _, part := range []string{
			columnsSQL, constraintsSQL, indexesSQL, policiesSQL, triggersSQL, rightsSQL,
		} {
			for _, line := range list[string](tb, c, part, table) {
				b.WriteString("  " + line + "\n")
			}
		}
	}
	for _, line := range list[string](tb, c, functionsSQL) {
		b.WriteString("\n" + line + "\n")
	}
	b.WriteString("\nschema public\n")
	for _, line := range list[string](tb, c, schemaRightsSQL) {
		b.WriteString("  " + line + "\n")
	}
	return b.String()
}

const tableSQL = `
	SELECT pg_get_userbyid(relowner)
	       || CASE WHEN relrowsecurity THEN ', row-level security' ELSE '' END
	       || CASE WHEN relforcerowsecurity THEN ' forced' ELSE '' END
	       || coalesce(E'\n  -- ' || obj_description(oid, 'pg_class'), '')
	FROM pg_class
	WHERE oid = $1::text::regclass`

const columnsSQL = `
	SELECT format('%s %s', attname, format_type(atttypid, atttypmod))
	       || CASE WHEN attnotnull THEN ' not null' ELSE '' END
	       || coalesce(' default ' || pg_get_expr(adbin, adrelid), '')
	       || coalesce('  -- ' || col_description(attrelid, attnum), '')
	FROM pg_attribute
	LEFT JOIN pg_attrdef ON adrelid = attrelid AND adnum = attnum
	WHERE attrelid = $1::text::regclass AND attnum > 0 AND NOT attisdropped
	ORDER BY attnum`

const constraintsSQL = `
	SELECT format('constraint %s %s', conname, pg_get_constraintdef(oid))
	FROM pg_constraint
	WHERE conrelid = $1::text::regclass AND contype <> 'n'
	ORDER BY array_position('{p,u,c,f,x}'::"char"[], contype), conname COLLATE "C"`

const indexesSQL = `
	SELECT format('index %s %s', c.relname,
	substring(pg_get_indexdef(i.indexrelid) FROM ' USING (.*)$'))
	FROM pg_index i
	JOIN pg_class c ON c.oid = i.indexrelid
	WHERE i.indrelid = $1::text::regclass AND NOT EXISTS (SELECT 1 FROM pg_constraint
	WHERE conindid = i.indexrelid AND contype IN ('p', 'u', 'x'))
	ORDER BY c.relname COLLATE "C"`

const policiesSQL = `
	SELECT format('policy %s %s for %s to %s using %s check %s', policyname, lower(permissive),
	lower(cmd), array_to_string(roles, ', '),
	              coalesce(qual, '-'), coalesce(with_check, '-'))
	FROM pg_policies
	WHERE schemaname = 'public' AND tablename = $1
	ORDER BY policyname COLLATE "C"`

const triggersSQL = `
	SELECT 'trigger ' || substring(pg_get_triggerdef(oid) FROM 'TRIGGER (.*)$') || CASE tgenabled
	WHEN 'O' THEN '' ELSE ' (not enabled as usual)' END
	FROM pg_trigger
	WHERE tgrelid = $1::text::regclass AND NOT tgisinternal
	ORDER BY tgname COLLATE "C"`

// rightsSQL lists the rights of everybody but the owner, on the table and on some columns only.
const rightsSQL = `
	SELECT format('grant %s to %s', string_agg(lower(privilege_type), ', ' ORDER BY privilege_type),
	              CASE grantee WHEN 0 THEN 'public' ELSE pg_get_userbyid(grantee) END)
	FROM pg_class, aclexplode(relacl)
	WHERE oid = $1::text::regclass AND grantee <> relowner
	GROUP BY grantee
	UNION ALL
	SELECT format('grant %s (%s) to %s', lower(privilege_type),
	              string_agg(attname, ', ' ORDER BY attnum),
	              CASE grantee WHEN 0 THEN 'public' ELSE pg_get_userbyid(grantee) END)
	FROM pg_attribute, aclexplode(attacl)
	WHERE attrelid = $1::text::regclass
	GROUP BY privilege_type, grantee
	ORDER BY 1`

const functionsSQL = `
	SELECT format('%s %s(%s)%s, of %s%s%s%s%s',
	CASE prokind WHEN 'p' THEN 'procedure' ELSE 'function' END, proname,
	              pg_get_function_arguments(p.oid),
	              coalesce(' returns ' || pg_get_function_result(p.oid), ''),
	              pg_get_userbyid(proowner), ', ' || lanname,
	              CASE provolatile WHEN 's' THEN ', stable' WHEN 'i' THEN ', immutable' ELSE '' END,
	              CASE WHEN prosecdef THEN ', runs as its owner' ELSE '' END,
	              coalesce(', ' || array_to_string(proconfig, ', '), ''))
	       || coalesce(E'\n  -- ' || obj_description(p.oid, 'pg_proc'), '')
	       || E'\n  execute: ' || CASE WHEN proacl IS NULL THEN 'public' ELSE coalesce((
	            SELECT string_agg(CASE grantee WHEN 0 THEN 'public' ELSE pg_get_userbyid(grantee) END,
	            ', ' ORDER BY grantee::regrole::text)
	            FROM aclexplode(proacl)
	            WHERE grantee <> proowner), 'the owner') END
	FROM pg_proc p
	JOIN pg_language l ON l.oid = prolang
	WHERE pronamespace = 'public'::regnamespace
	ORDER BY proname COLLATE "C", pg_get_function_arguments(p.oid)`

const schemaRightsSQL = `
	SELECT format('grant %s to %s', string_agg(lower(privilege_type), ', ' ORDER BY privilege_type),
	              CASE grantee WHEN 0 THEN 'public' ELSE pg_get_userbyid(grantee) END)
	FROM pg_namespace, aclexplode(nspacl)
	WHERE nspname = 'public'
	GROUP BY grantee
	ORDER BY 1`
