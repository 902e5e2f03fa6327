package api_test

import (
	"context"
	"flag"
	"fmt"
	"net/http"
	"slices"
	"testing"
	"time"

	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

var million = flag.Bool("million", false, "measure costs among a million cost lines too")

// filled is a shop with so many lines of cost.
type filled struct {
	*shop
	owner *client
	db    *pgtest.DB
	lines int
}

// eachSize opens a shop for each number of lines of cost and has it filled.
func eachSize(b *testing.B, fill func(f filled)) []filled {
	b.Helper()
	var all []filled
	for _, n := range sizes() {
		db := pgtest.New(b)
		s := openShopOn(b, db.Service, time.Now)
		f := filled{shop: s, owner: s.as(domain.Owner), db: db, lines: n}
		fill(f)
		all = append(all, f)
	}
	return all
}

// inTurn reads something of each shop in turn, and reports how many times as long it takes as of
// the first, by the medians: it should stay near 1.
func inTurn(b *testing.B, what string, all []filled, read func(f filled)) {
	b.Helper()
	times := make([][]time.Duration, len(all))
	for range 10 { // plans and caches
		for _, f := range all {
			read(f)
		}
	}
	for b.Loop() {
		for i, f := range all {
			start := time.Now()
			read(f)
			times[i] = append(times[i], time.Since(start))
		}
	}
	for i, f := range all {
		p50 := medianOf(times[i])
		b.ReportMetric(p50/1000, fmt.Sprintf("µs/%s-of-%d", what, f.lines))
		if i > 0 {
			b.ReportMetric(p50/medianOf(times[0]), fmt.Sprintf("×first-of-%d", f.lines))
		}
	}
	b.ReportMetric(0, "ns/op") // the sum of all means nothing
}

// BenchmarkInstrumentCost reads what one piano has cost in shops that have ever more lines of cost
// of other pianos: the whole answer, and the kept totals alone.
func BenchmarkInstrumentCost(b *testing.B) {
	pianos := map[int]uuid.UUID{}
	all := eachSize(b, func(f filled) {
		j := jobUnderWay(b, f.owner)
		pianos[f.lines] = j.Instrument
		for range 100 {
			want[openapi.CostDocument](b, f.owner.do(http.MethodPost,
				"/v1/instruments/"+j.Instrument.String()+"/other-costs", map[string]any{
					"purpose": "work", "amount": amount("1.00"), "note": "felt", "job": j.ID,
				}), http.StatusCreated)
		}
		f.fill(b, nil, nil)
	})
	b.Run("answer", func(b *testing.B) {
		inTurn(b, "read", all, func(f filled) {
			timed(b, http.MethodGet, f.url+"/v1/instruments/"+pianos[f.lines].String()+"/cost",
				f.tokens[domain.Owner], "", http.StatusOK)
		})
	})
	b.Run("totals", func(b *testing.B) {
		inTurn(b, "read", all, func(f filled) {
			list, err := f.app.Read(b.Context(), f.shop.owner).CostTotals(b.Context(), pianos[f.lines])
			if err != nil || len(list) == 0 {
				b.Fatal(list, err)
			}
		})
	})
}

// BenchmarkWorkInProgress tells what twenty open jobs have cost so far, in shops where they have
// ever more lines of cost: today, and a month ago, for which the lines since are taken off.
func BenchmarkWorkInProgress(b *testing.B) {
	all := eachSize(b, func(f filled) {
		list := make([]any, 20)
		for i := range list {
			list[i] = map[string]any{
				"kind": "upright", "maker": "Tessmann", "size_mm": 1280, "notes": 88, "owner": "stock",
				"stock_number": fmt.Sprint("K-", i), "depth": "recondition", "accepted_on": "2025-01-12",
				"tasks": []any{
					map[string]any{"operation": "AC-01", "hours_done": "0", "hours_left": "9"},
				},
			}
		}
		var pianos, jobs []uuid.UUID
		for _, p := range want[openapi.JoinReport](b, f.owner.do(http.MethodPost, "/v1/joins",
			map[string]any{"pianos": list}), http.StatusCreated).Pianos {
			pianos, jobs = append(pianos, p.Instrument), append(jobs, p.Job)
		}
		f.fill(b, pianos, jobs)
	})
	ago := "?as_of=" + domain.DateOf(time.Now()).AddDays(-30).String()
	for name, query := range map[string]string{"today": "", "month-ago": ago} {
		b.Run(name, func(b *testing.B) {
			inTurn(b, "read", all, func(f filled) {
				timed(b, http.MethodGet, f.url+"/v1/work-in-progress"+query, f.tokens[domain.Owner], "",
					http.StatusOK)
			})
		})
	}
}

// sizes are how many lines of cost there are.
func sizes() []int {
	if *million {
		return []int{1_000, 100_000, 1_000_000}
	}
	return []int{1_000, 100_000}
}

func medianOf(d []time.Duration) float64 {
	slices.Sort(d)
	return float64(d[len(d)/2].Nanoseconds())
}

// fill fills the database up to its number of lines: on the jobs given and their pianos, or a
// hundred to a piano where none are given.
func (f filled) fill(b *testing.B, pianos, jobs []uuid.UUID) {
	b.Helper()
	s, lines := f.shop, f.lines
	c, err := pgx.Connect(b.Context(), s.database)
	if err != nil {
		b.Fatal(err)
	}
	defer c.Close(context.WithoutCancel(b.Context())) //nolint:errcheck // what was filled in is there
	for _, x := range []struct {
		sql  string
		args []any
	}{
		{`SELECT set_config('app.workshop', $1, false)`, []any{s.owner.Workshop.String()}},
		{`INSERT INTO instruments (workshop_id, id, kind, owner, state, maker, model, serial,
			size_mm, notes, covering, finish, colour, decorated, action, created_at)
			SELECT current_workshop(), md5('piano ' || n)::uuid, 'grand', 'stock', 'waiting', 'Wren', '',
			n::text, 1830, 88, '', '', '', false, '', now() FROM generate_series(1, $1) n
			ON CONFLICT DO NOTHING`, []any{lines / 100}},
		// With jobs, the lines are on their pianos; without, a hundred on each of the others.
		{`INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind,
			purpose, inventory, amount, minutes, unit, effective_on, posted_on, source_kind, source_id,
			number, origin_id, recorded_by, recorded_at)
			SELECT current_workshop(), md5('line ' || n)::uuid,
			coalesce(($1::uuid[])[1 + n % $3], md5('piano ' || 1 + n % $4)::uuid),
			($2::uuid[])[1 + n % $3], '', (ARRAY['labour', 'overhead', 'parts', 'other'])[1 + n / 7 % 4],
			'work', true, 100 + n % 7, 0, '', '2026-01-05', '2026-01-05', 'document',
			md5('line ' || n)::uuid, 1, md5('line ' || n)::uuid, $5, now()
			FROM generate_series(1, $6) n ON CONFLICT DO NOTHING`, []any{
			pianos, jobs, max(1, len(jobs)), lines / 100, s.owner.User, lines,
		}},
		{`INSERT INTO cost_totals (workshop_id, instrument_id, job_id, operation, kind, purpose,
			inventory, amount, minutes, lines)
			SELECT workshop_id, instrument_id, coalesce(job_id, '00000000-0000-0000-0000-000000000000'),
			operation, kind, purpose, inventory, sum(amount), sum(minutes), count(*)
			FROM cost_lines WHERE operation = '' GROUP BY 1, 2, 3, 4, 5, 6, 7
			ON CONFLICT ON CONSTRAINT cost_totals_pkey DO UPDATE
			SET amount = excluded.amount, lines = excluded.lines`, nil},
	} {
		if _, err := c.Exec(b.Context(), x.sql, x.args...); err != nil {
			b.Fatal(err)
		}
	}
	f.analyse(b, "cost_lines", "cost_totals")
}

// analyse has the server count what tables hold, as it does by itself within a minute.
func (f filled) analyse(b *testing.B, tables ...string) {
	b.Helper()
	c, err := pgx.Connect(b.Context(), f.db.Owner)
	if err != nil {
		b.Fatal(err)
	}
	defer c.Close(context.WithoutCancel(b.Context())) //nolint:errcheck // it has done its work
	for _, table := range tables {
		if _, err := c.Exec(b.Context(), "ANALYZE "+table); err != nil {
			b.Fatal(err)
		}
	}
}
