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

// lists are the lists of instruments that a workshop asks for, each with the
// index that serves it. Few rows may be sorted after they were found; a long
// list is walked in its order.
var lists = []struct {
	what   string
	filter postgres.InstrumentFilter
	index  string
	few    bool
}{
	{"all in order of entry", postgres.InstrumentFilter{}, "instruments_recent_idx", false},
	{"the newest first", postgres.InstrumentFilter{Sort: postgres.Newest}, "instruments_recent_idx", false},
	{"what is offered", postgres.InstrumentFilter{Owner: domain.Offered}, "instruments_owner_idx", false},
	{"what is ready", postgres.InstrumentFilter{State: domain.Ready}, "instruments_state_idx", false},
	{"a client's", postgres.InstrumentFilter{Party: aParty}, "instruments_party_idx", true},
	{"all by maker", postgres.InstrumentFilter{Sort: postgres.ByMaker}, "instruments_maker_idx", false},
	{"all by serial number", postgres.InstrumentFilter{Sort: postgres.BySerial}, "instruments_serial_idx", false},
	{"all by stock number", postgres.InstrumentFilter{Sort: postgres.ByStock}, "instruments_stock_idx", false},
	{"a maker's, by maker", postgres.InstrumentFilter{Maker: "Wren", Sort: postgres.ByMaker}, "instruments_maker_idx", true},
	{"by what the serial number begins with", postgres.InstrumentFilter{Serial: "40 21", Sort: postgres.BySerial}, "instruments_serial_idx", true},
	{"by what the stock number begins with", postgres.InstrumentFilter{Stock: "s-4", Sort: postgres.ByStock}, "instruments_stock_idx", true},
}

var aParty = uuid.MustParse("a0000000-0000-7000-8000-00000000001a")

func TestEveryListOfInstrumentsWalksAnIndexUnderRowLevelSecurity(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fiveThousandInstruments(t, db)
	service := connect(t, db.Service)
	middle := &postgres.Place{CreatedAt: morning.Add(1000 * time.Minute), Key: "Wren 1", ID: uuid.Nil}
	for n, l := range lists {
		for _, after := range []*postgres.Place{nil, middle} {
			sql, args := postgres.InstrumentPage(workshopA, l.filter, postgres.Page{Limit: 50, After: after})
			for _, mode := range []string{"force_custom_plan", "force_generic_plan"} { // pgx prepares, so either may run
				forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
					mustExec(t, tx.Conn(), `SET LOCAL plan_cache_mode TO `+mode)
					mustExec(t, tx.Conn(), fmt.Sprintf(`PREPARE page_%d AS %s`, n, sql))
					plan := strings.Join(list[string](t, tx.Conn(), fmt.Sprintf(`EXPLAIN (COSTS OFF) EXECUTE page_%d (%s)`, n, literals(args))), "\n")
					mustExec(t, tx.Conn(), fmt.Sprintf(`DEALLOCATE page_%d`, n))
					walked := strings.Contains(plan, "using "+l.index) && !strings.Contains(plan, "Sort")
					found := l.few && strings.Contains(plan, " on "+l.index)
					if !strings.Contains(plan, "Index Cond:") || !walked && !found {
						t.Errorf("%s, from %v, %s:\n%s", l.what, after, mode, plan)
					}
				})
			}
		}
	}
}

// TestWhatIsTypedIntoTheOneBoxIsFoundByThreeIndexes: any of three beginnings
// may match, so the three indexes are asked and their rows put in order.
func TestWhatIsTypedIntoTheOneBoxIsFoundByThreeIndexes(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fiveThousandInstruments(t, db)
	sql, args := postgres.InstrumentPage(workshopA, postgres.InstrumentFilter{Find: "4021"}, postgres.Page{Limit: 50})
	forWorkshop(t, connect(t, db.Service), workshopA, func(tx pgx.Tx) {
		mustExec(t, tx.Conn(), `PREPARE box AS `+sql)
		plan := strings.Join(list[string](t, tx.Conn(), `EXPLAIN (COSTS OFF) EXECUTE box (`+literals(args)+`)`), "\n")
		for _, index := range []string{"instruments_maker_idx", "instruments_serial_idx", "instruments_stock_idx"} {
			if !strings.Contains(plan, "Bitmap Index Scan on "+index) {
				t.Errorf("%s is not asked:\n%s", index, plan)
			}
		}
	})
}

// literals writes arguments into a statement.
func literals(args []any) string {
	texts := make([]string, len(args))
	for i, a := range args {
		switch v := a.(type) {
		case int:
			texts[i] = fmt.Sprint(v)
		case time.Time:
			texts[i] = "'" + v.Format(time.RFC3339Nano) + "'"
		default:
			texts[i] = fmt.Sprintf("'%v'", v)
		}
	}
	return strings.Join(texts, ", ")
}

func TestInstrumentsAreFoundByWhatTheirNamesAndNumbersBeginWith(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	var ids [4]uuid.UUID
	write(t, s, a, func(tx *postgres.Tx) error {
		for n, x := range []struct{ maker, serial, stock string }{
			{"Østergren", "41 877", "S-12"}, {"Aldermere", "No. 9-11", "S-2"}, {"aldercote", "41900", ""}, {"Wren & Cole", "", "K-1"},
		} {
			i := someInstrument(newID(t))
			i.Maker, i.Serial, i.StockNumber, ids[n] = x.maker, x.serial, x.stock, i.ID
			if err := tx.AddInstrument(t.Context(), i); err != nil {
				return err
			}
		}
		return tx.MoveInstrument(t.Context(), ids[3], domain.Ready)
	})
	for _, c := range []struct {
		filter postgres.InstrumentFilter
		want   []int
	}{
		{postgres.InstrumentFilter{Maker: "ALDER"}, []int{1, 2}},
		{postgres.InstrumentFilter{Maker: "alder", Sort: postgres.ByMaker}, []int{2, 1}},
		{postgres.InstrumentFilter{Maker: "ø"}, []int{0}},
		{postgres.InstrumentFilter{Maker: "%"}, nil},
		{postgres.InstrumentFilter{Serial: "4187"}, []int{0}},
		{postgres.InstrumentFilter{Serial: "no 9 1"}, []int{1}},
		{postgres.InstrumentFilter{Stock: "s-"}, []int{0, 1}},
		{postgres.InstrumentFilter{Stock: "s-", Sort: postgres.ByStock}, []int{0, 1}},
		{postgres.InstrumentFilter{Find: "41"}, []int{0, 2}},
		{postgres.InstrumentFilter{Find: "k"}, []int{3}},
		{postgres.InstrumentFilter{State: domain.Ready}, []int{3}},
		{postgres.InstrumentFilter{Sort: postgres.Newest}, []int{3, 2, 1, 0}},
		{postgres.InstrumentFilter{Sort: postgres.BySerial}, []int{3, 0, 2, 1}},
	} {
		var want, got []uuid.UUID
		for _, n := range c.want {
			want = append(want, ids[n])
		}
		p := postgres.Page{Limit: 1} // one at a time, so that the keyset is walked too
		for len(got) < 5 {
			page := must(s.Read(a.Workshop).Instruments(t.Context(), c.filter, p))(t)
			if len(page) == 0 {
				break
			}
			i := page[0]
			got = append(got, i.Value.ID)
			p.After = &postgres.Place{CreatedAt: i.CreatedAt, Key: postgres.InstrumentKey(c.filter.Sort, i.Value), ID: i.Value.ID}
		}
		diff(t, fmt.Sprintf("%+v", c.filter), got, want)
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
		INSERT INTO instruments (workshop_id, id, kind, owner, state, maker, model, serial, stock_number, party_id, size_mm, notes,
		                         covering, finish, colour, decorated, action, created_at)
		SELECT CASE n % 2 WHEN 0 THEN $1 ELSE $2 END::uuid, gen_random_uuid(), 'grand',
		       (ARRAY['offered', 'stock', 'client'])[1 + n % 3], (ARRAY['considered', 'waiting', 'in_work', 'ready', 'gone'])[1 + n % 5],
		       'Wren ' || n % 40, '', (40000 + n)::text, 'S-9' || n, CASE WHEN n % 50 = 0 THEN $4::uuid END, 1830, 88,
		       '', '', '', false, '', $3::timestamptz + n * interval '1 minute'
		FROM generate_series(1, 5000) AS n`, workshopA, workshopB, morning, aParty)
	mustExec(tb, admin, `ANALYZE instruments`)
}
