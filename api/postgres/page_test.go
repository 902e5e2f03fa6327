package postgres_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

func TestPagingWhileInstrumentsComeInSkipsNoneAndShowsNoneTwice(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	var want, got []uuid.UUID
	add := func(at time.Time, n int) { // n of one transaction have one instant: ties go by id
		t.Helper()
		err := s.Write(t.Context(), a, at, func(tx *postgres.Tx) error {
			for range n {
				id := uuid.New() // in no order of time, as from a client's own scheme
				if err := tx.AddInstrument(t.Context(), someInstrument(id)); err != nil {
					return err
				}
				want = append(want, id)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		slices.SortFunc(want[len(want)-n:], compareIDs)
	}
	for hour := range 4 {
		add(morning.Add(time.Duration(hour)*time.Hour), 3)
	}
	p := postgres.Page{Limit: 2} // so that a page ends between ties
	for n := 0; ; n++ {
		page := must(s.Read(a.Workshop).Instruments(t.Context(), postgres.InstrumentFilter{}, p))(t)
		if len(page) == 0 {
			break
		}
		if n == 100 {
			t.Fatal("paging does not come to an end")
		}
		for _, i := range page {
			got = append(got, i.Value.ID)
			p.After = &postgres.Place{CreatedAt: i.CreatedAt, ID: i.Value.ID}
		}
		if n < 4 {
			add(morning.Add(time.Duration(10+n)*time.Hour), 1)
		}
	}
	if len(want) != 16 {
		t.Fatalf("%d instruments were added, want 16", len(want))
	}
	diff(t, "the instruments that paging showed", got, want)
}

func compareIDs(a, b uuid.UUID) int { return strings.Compare(string(a[:]), string(b[:])) }

func TestAFilterNarrowsAListAndAnEmptyOneDoesNot(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	offeredGrand, stockGrand, stockUpright := newID(t), newID(t), newID(t)
	write(t, s, a, func(tx *postgres.Tx) error {
		made := func(id uuid.UUID, kind catalogue.Kind, owner domain.Ownership) error {
			i := someInstrument(id)
			i.Kind, i.Owner = kind, owner
			return tx.AddInstrument(t.Context(), i)
		}
		return errors.Join(made(offeredGrand, catalogue.Grand, domain.Offered),
			made(stockGrand, catalogue.Grand, domain.Stock), made(stockUpright, catalogue.Upright, domain.Stock))
	})
	for _, c := range []struct {
		filter postgres.InstrumentFilter
		want   []uuid.UUID
	}{
		{postgres.InstrumentFilter{}, []uuid.UUID{offeredGrand, stockGrand, stockUpright}},
		{postgres.InstrumentFilter{Owner: domain.Stock}, []uuid.UUID{stockGrand, stockUpright}},
		{postgres.InstrumentFilter{Kind: catalogue.Grand}, []uuid.UUID{offeredGrand, stockGrand}},
		{postgres.InstrumentFilter{Owner: domain.Stock, Kind: catalogue.Grand}, []uuid.UUID{stockGrand}},
		{postgres.InstrumentFilter{Owner: domain.Client}, nil},
	} {
		var got []uuid.UUID
		for _, i := range must(s.Read(a.Workshop).Instruments(t.Context(), c.filter, postgres.Page{Limit: 10}))(t) {
			got = append(got, i.Value.ID)
		}
		diff(t, strings.TrimSpace(string(c.filter.Owner)+" "+string(c.filter.Kind)), got, c.want)
	}
}

func TestAListOfInstrumentsIsReadFromItsIndex(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fiveThousandInstruments(t, db)
	service := connect(t, db.Service)
	mustExec(t, service, `PREPARE page (uuid, timestamptz, uuid, text, text, int) AS `+postgres.InstrumentPage)
	for _, mode := range []string{"force_custom_plan", "force_generic_plan"} { // pgx prepares, so either may run
		for _, after := range []struct{ what, place string }{
			{"the first page", "0001-01-01Z"},
			{"a page in the middle", "2026-10-27 01:00Z"},
		} {
			for _, owner := range []domain.Ownership{"", domain.Stock} {
				forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
					mustExec(t, tx.Conn(), `SET LOCAL plan_cache_mode TO `+mode)
					plan := strings.Join(list[string](t, tx.Conn(), fmt.Sprintf(
						`EXPLAIN (COSTS OFF) EXECUTE page ('%s', '%s', '%s', '%s', '', 50)`, workshopA, after.place, uuid.Nil, owner)), "\n")
					if !walksTheIndex(plan) {
						t.Errorf("%s, owner %q, %s:\n%s", after.what, owner, mode, plan)
					}
				})
			}
		}
	}
}

// TestTheConditionOfRowLevelSecurityEntersTheIndex: many queries name no
// workshop and leave that to the policy, which must not cost them the key.
func TestTheConditionOfRowLevelSecurityEntersTheIndex(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fiveThousandInstruments(t, db)
	forWorkshop(t, connect(t, db.Service), workshopA, func(tx pgx.Tx) {
		plan := strings.Join(list[string](t, tx.Conn(), `EXPLAIN (COSTS OFF) SELECT maker FROM instruments WHERE id = '`+uuid.Max.String()+`'`), "\n")
		if !strings.Contains(plan, "Index Scan using instruments_pkey") || !strings.Contains(plan, "Index Cond: ((workshop_id = ") {
			t.Errorf("an instrument by its id alone:\n%s", plan)
		}
	})
}

// fiveThousandInstruments fills two workshops, and tells the planner of it.
func fiveThousandInstruments(tb testing.TB, db *pgtest.DB) {
	tb.Helper()
	fillAll(tb, asOwner(tb, db))
	admin := connect(tb, db.Owner)
	mustExec(tb, admin, `
		INSERT INTO instruments (workshop_id, id, kind, owner, maker, model, serial, size_mm, notes, covering, finish, colour, decorated, action, created_at)
		SELECT CASE n % 2 WHEN 0 THEN $1 ELSE $2 END::uuid, gen_random_uuid(), 'grand', 'stock', 'Hartvig & Sohn', '', '', 1830, 88, '', '', '', false, '',
		       $3::timestamptz + n * interval '1 minute'
		FROM generate_series(1, 5000) AS n`, workshopA, workshopB, morning)
	mustExec(tb, admin, `ANALYZE instruments`)
}

// walksTheIndex reports whether a plan enters the index at the page's place and
// walks along it: without a sort, and reading no row before that place.
func walksTheIndex(plan string) bool {
	if !strings.Contains(plan, "using instruments_recent_idx") || strings.Contains(plan, "Sort") {
		return false
	}
	for line := range strings.Lines(plan) {
		if strings.Contains(line, "Index Cond:") && strings.Contains(line, "ROW(created_at, id) > ") {
			return true
		}
	}
	return false
}
