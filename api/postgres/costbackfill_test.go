package postgres_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/api/postgres"
)

// What was approved, issued and bought before lines of cost were kept has cost what it says: an
// hour and a half of which half an hour was taken back, and 10 of 50 m of wire for 37.00.
func TestCostFromBeforeLinesWereKeptIsFilledIn(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	ups := upFiles(t)
	done := slices.Index(ups, "0040_costs.up.sql")
	if err := postgres.MigrateDown(t.Context(), db.Migrator, len(ups)-done); err != nil {
		t.Fatal(err)
	}
	owner := asOwner(t, db)
	for _, up := range ups[:done] {
		fill(t, owner, up)
	}
	for _, sql := range []string{
		`INSERT INTO time_entries (workshop_id, id, person_id, job_id, operation, duty, worked_on, minutes,
			rework, note, reason, ahead, correction, reverses, recorded_by, recorded_at)
			SELECT workshop_id, ID_91, person_id, job_id, operation, '', worked_on, -30, '', '', '', '{}',
			'wrong', id, recorded_by, recorded_at + interval '1 minute' FROM time_entries WHERE id = ID_71`,
		`INSERT INTO time_approved (workshop_id, entry_id, approval_id)
			SELECT workshop_id, ID_91, approval_id FROM time_approved WHERE entry_id = ID_71`,
		`INSERT INTO stock_moves (workshop_id, id, part_id, number, kind, quantity, value, unit, held,
			held_value, moved_on, posted_on, job_id, operation, reference, note, entries, recorded_by,
			recorded_at)
			SELECT workshop_id, ID_92, part_id, 2, 'issue', -10, -740, 'm', 40, 2960, moved_on, posted_on,
			ID_18, 'AC-10', '', '', 2, recorded_by, recorded_at FROM stock_moves WHERE id = ID_73`,
		`INSERT INTO stock_entries (workshop_id, move_id, line, layer_id, out_on, quantity, value)
			SELECT m.workshop_id, ID_92, e.line, m.id, e.out_on, e.q, e.v FROM stock_moves m
			CROSS JOIN (VALUES (1, NULL::uuid, -10, -740), (2, ID_92, 10, 740)) AS e (line, out_on, q, v)
			WHERE m.id = ID_73`,
	} {
		for _, n := range []int{18, 71, 73, 91, 92} {
			id := rowID(n).String()
			sql = strings.ReplaceAll(sql, "ID_"+id[len(id)-2:], "'"+id+"'::uuid")
		}
		mustExec(t, owner, sql)
	}
	if err := postgres.Migrate(t.Context(), db.Migrator); err != nil {
		t.Fatal(err)
	}
	got := list[string](t, owner, `
		SELECT concat_ws(' ', kind, purpose, sum(amount), sum(minutes), sum(quantity)::int, count(*))
		FROM cost_lines l WHERE workshop_id = '`+workshopA.String()+`'
		AND source_kind IN ('time_entry', 'stock_move') GROUP BY kind, purpose ORDER BY kind`)
	want := list[string](t, owner, `
		SELECT concat_ws(' ', 'labour work', (SELECT round(avg(value::numeric), 6) * 100
		FROM jsonb_each_text(labour_rates))::bigint, 60, 2)
		FROM workshops WHERE id = '`+workshopA.String()+`'
		UNION ALL SELECT concat_ws(' ', 'overhead work', (overhead_rate * 100)::bigint, 60, 2)
		FROM workshops WHERE id = '`+workshopA.String()+`'
		UNION ALL SELECT 'parts work 740 0 10 1'`)
	if !slices.Equal(got, want) {
		t.Errorf("filled in %q, want %q", got, want)
	}
	wrong := list[int](t, owner, `
		SELECT count(*)::int FROM cost_totals t JOIN (SELECT instrument_id, kind, sum(amount) AS amount
		FROM cost_lines GROUP BY 1, 2) l USING (instrument_id, kind) WHERE t.amount <> l.amount`)
	if wrong[0] != 0 {
		t.Errorf("%d totals aren't the sum of their lines", wrong[0])
	}
}
