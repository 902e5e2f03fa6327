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
	"bentside/domain/catalogue"
	"bentside/domain/instrument"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

func TestPagingWhileInstrumentsComeInSkipsNoneAndShowsNoneTwice(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	var want, got []uuid.UUID
	add := func(at time.Time, n int) { // in one transaction, so at one instant: ids break ties
		t.Helper()
		err := s.Write(t.Context(), a, at, func(tx *postgres.Tx) error {
			for range n {
				id := uuid.New() // not in order of time, as a client may choose ids
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
	p := postgres.Page{Limit: 2} // ends a page between ties
	for n := 0; ; n++ {
		page := must(s.Read(a.Workshop).Instruments(t.Context(), postgres.InstrumentFilter{}, p))(t)
		if len(page) == 0 {
			break
		}
		if n == 100 {
			t.Fatal("paging does not end")
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
		made := func(id uuid.UUID, kind catalogue.Kind, owner instrument.Ownership) error {
			i := someInstrument(id)
			i.Kind, i.Owner = kind, owner
			return tx.AddInstrument(t.Context(), i)
		}
		return errors.Join(made(offeredGrand, catalogue.Grand, instrument.Offered),
			made(stockGrand, catalogue.Grand, instrument.Stock),
			made(stockUpright, catalogue.Upright, instrument.Stock))
	})
	for _, c := range []struct {
		filter postgres.InstrumentFilter
		want   []uuid.UUID
	}{
		{postgres.InstrumentFilter{}, []uuid.UUID{offeredGrand, stockGrand, stockUpright}},
		{postgres.InstrumentFilter{Owner: instrument.Stock}, []uuid.UUID{stockGrand, stockUpright}},
		{postgres.InstrumentFilter{Kind: catalogue.Grand}, []uuid.UUID{offeredGrand, stockGrand}},
		{
			postgres.InstrumentFilter{Owner: instrument.Stock, Kind: catalogue.Grand},
			[]uuid.UUID{stockGrand},
		},
		{postgres.InstrumentFilter{Owner: instrument.Client}, nil},
	} {
		var got []uuid.UUID
		for _, i := range must(
			s.Read(a.Workshop).Instruments(t.Context(), c.filter, postgres.Page{Limit: 10}),
		)(t) {
			got = append(got, i.Value.ID)
		}
		diff(t, strings.TrimSpace(string(c.filter.Owner)+" "+string(c.filter.Kind)), got, c.want)
	}
}

func TestInstrumentsAreFoundByWhatTheirNamesAndNumbersBeginWith(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	var ids [4]uuid.UUID
	write(t, s, a, func(tx *postgres.Tx) error {
		for n, x := range []struct{ maker, serial, stock string }{
			{
				"Østergren", "41 877", "S-12",
			}, {
				"Aldermere", "No. 9-11", "S-2",
			}, {"aldercote", "41900", ""}, {"Wren & Cole", "", "K-1"},
		} {
			i := someInstrument(newID(t))
			i.Maker, i.Serial, i.StockNumber, ids[n] = x.maker, x.serial, x.stock, i.ID
			if err := tx.AddInstrument(t.Context(), i); err != nil {
				return err
			}
		}
		return tx.MoveInstrument(t.Context(), ids[3], instrument.Ready)
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
		{postgres.InstrumentFilter{State: instrument.Ready}, []int{3}},
		{postgres.InstrumentFilter{Sort: postgres.Newest}, []int{3, 2, 1, 0}},
		{postgres.InstrumentFilter{Sort: postgres.BySerial}, []int{3, 0, 2, 1}},
	} {
		var want, got []uuid.UUID
		for _, n := range c.want {
			want = append(want, ids[n])
		}
		p := postgres.Page{Limit: 1} // one at a time, to exercise the keyset too
		for len(got) < 5 {
			page := must(s.Read(a.Workshop).Instruments(t.Context(), c.filter, p))(t)
			if len(page) == 0 {
				break
			}
			i := page[0]
			got = append(got, i.Value.ID)
			p.After = &postgres.Place{
				CreatedAt: i.CreatedAt, Key: postgres.InstrumentKey(c.filter.Sort, i.Value),
				ID: i.Value.ID,
			}
		}
		diff(t, fmt.Sprintf("%+v", c.filter), got, want)
	}
}

// Many queries leave the workshop to the row-level security policy, which must not cost them the
// index.
func TestTheConditionOfRowLevelSecurityEntersTheIndex(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	manyYears(t, db)
	forWorkshop(t, connect(t, db.Service), workshopA, func(tx pgx.Tx) {
		plan := strings.Join(list[string](t, tx.Conn(), `EXPLAIN (COSTS OFF) SELECT maker FROM instruments WHERE id = '`+uuid.Max.String()+`'`), "\n")
		if !strings.Contains(plan, "Index Scan using instruments_pkey") ||
			!strings.Contains(plan, "Index Cond: ((workshop_id = ") {
			t.Errorf("an instrument by its id alone:\n%s", plan)
		}
	})
}
