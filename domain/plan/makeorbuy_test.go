package plan_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
	"bentside/domain/scope"

	"github.com/shopspring/decimal"
)

func calendar(t *testing.T) plan.Situation {
	t.Helper()
	where := shop(t)
	return plan.Situation{Shop: where, At: time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)}
}

// ofKeys reports whether a line is the bushing of the keys.
func ofKeys(m plan.MakeOrBuy) bool { return m.Line.Operation == "KY-02" }

func TestMakeOrBuyShowsHoursAndCostBesideThePriceAndTheDays(t *testing.T) {
	t.Parallel()
	d := domaintest.Inputs(t, catalogue.Recondition)
	list, err := plan.MakeOrBuyLines(t.Context(), d, calendar(t))
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(list, func(m plan.MakeOrBuy) bool { return m.Line.Operation == "KY-02" })
	if at < 0 {
		t.Fatalf("key bushing, which a firm can do, is not among %d lines", len(list))
	}
	keys, op := list[at], d.Catalogue.Operation("KY-02")
	if keys.InHouse == nil || keys.Outside == nil {
		t.Fatalf("got %+v, want both ways", keys)
	}
	price, carriage := op.Buying.Price[catalogue.Grand].Likely, op.Buying.Carriage.Likely
	if got := keys.Outside.Total.Likely.Decimal(); !got.Equal(price.Add(carriage)) {
		t.Errorf("outside %s, want the price %s and the carriage %s", got, price, carriage)
	}
	if !keys.InHouse.Hours.Likely.Equal(op.Hours[catalogue.Grand].Likely(domaintest.Dec("88"))) ||
		keys.InHouse.Costs.Outside.Likely.Minor() != 0 {
		t.Errorf("in house %+v, want the catalogue's hours for 88 keys and no firm", keys.InHouse)
	}
	in, out := keys.InHouse.Costs.Total.Likely.Minor(), keys.Outside.Total.Likely.Minor()
	if (keys.Cheaper == catalogue.InHouse) != (in < out) ||
		(keys.Cheaper == catalogue.Outside) != (out < in) {
		t.Errorf("%d in house and %d outside: %q is called cheaper", in, out, keys.Cheaper)
	}
}

// Both ways are worked out whichever the scope has taken, and the way taken gives the scope's own
// date.
func TestMakeOrBuyGivesTheDateOfTheWayThatTheScopeTakes(t *testing.T) {
	t.Parallel()
	cal := calendar(t)
	for _, making := range []catalogue.Making{catalogue.InHouse, catalogue.Outside} {
		d := domaintest.Inputs(
			t, catalogue.Recondition,
			scope.Edit{Kind: scope.SetMaking, Operation: "KY-02", Making: making},
		)
		list, err := plan.MakeOrBuyLines(t.Context(), d, cal)
		if err != nil {
			t.Fatal(err)
		}
		s, err := d.DrawAdding()
		if err != nil {
			t.Fatal(err)
		}
		own, err := plan.Situation{Shop: cal.Shop, At: cal.At}.DatesOf(t.Context(), d.Catalogue, s)
		if err != nil {
			t.Fatal(err)
		}
		keys := list[slices.IndexFunc(list, ofKeys)]
		ready := keys.InHouse.Ready
		if making == catalogue.Outside {
			ready = keys.Outside.Ready
		}
		if !ready.Equal(own.Queued.Ready) || keys.Line.Making != making {
			t.Errorf("%s: ready %v, want the scope's own %v", making, ready, own.Queued.Ready)
		}
	}
}

// A firm that takes longer puts off the day on which the piano is ready, by at least what its
// turn-round grew beyond the float.
func TestTurnRoundEntersTheDates(t *testing.T) {
	t.Parallel()
	d := domaintest.Inputs(t, catalogue.Recondition)
	slow := *d.Catalogue
	slow.Operations = slices.Clone(d.Catalogue.Operations)
	at := d.Catalogue.Position("KY-02")
	buying := *slow.Operations[at].Buying
	buying.TurnRound = catalogue.ThreePoint{
		Low: domaintest.Dec("40"), Likely: domaintest.Dec("60"), High: domaintest.Dec("80"),
	}
	slow.Operations[at].Buying = &buying
	ready := func(c *catalogue.Catalogue) time.Time {
		d.Catalogue = c
		list, err := plan.MakeOrBuyLines(t.Context(), d, calendar(t))
		if err != nil {
			t.Fatal(err)
		}
		return list[slices.IndexFunc(list, ofKeys)].Outside.Ready
	}
	quick, late := ready(d.Catalogue), ready(&slow)
	if want := calendar(t).At.AddDate(0, 0, 7*60); late.Before(want) || !quick.Before(late) {
		t.Errorf(
			"with 60 weeks at the firm it is ready %v, want after %v; as shipped %v", late, want,
			quick,
		)
	}
}

func TestWhatOnlyAFirmDoesHasOneWay(t *testing.T) {
	t.Parallel()
	d := domaintest.Inputs(t, catalogue.Recondition, domaintest.Add("CS-11"))
	unpriced := *d.Catalogue
	unpriced.Operations = slices.Clone(d.Catalogue.Operations)
	at := d.Catalogue.Position("KY-02")
	buying := *unpriced.Operations[at].Buying
	buying.Price = nil
	unpriced.Operations[at].Buying = &buying
	d.Catalogue = &unpriced
	list, err := plan.MakeOrBuyLines(t.Context(), d, calendar(t))
	if err != nil {
		t.Fatal(err)
	}
	for code, want := range map[catalogue.Code][2]bool{
		"CS-11": {false, true}, "KY-02": {true, false},
	} {
		i := slices.IndexFunc(list, func(m plan.MakeOrBuy) bool { return m.Line.Operation == code })
		if i < 0 || (list[i].InHouse != nil) != want[0] || (list[i].Outside != nil) != want[1] {
			t.Errorf("%s isn't shown done in house %t and by a firm %t", code, want[0], want[1])
		}
	}
	for _, m := range list {
		op := d.Catalogue.Operation(m.Line.Operation)
		if (m.InHouse != nil) != (op.Making == catalogue.Either) {
			t.Errorf("%s is done %s, yet in house it shows %v", op.Code, op.Making, m.InHouse)
		}
		if one := m.InHouse == nil || m.Outside == nil; one && m.Cheaper != "" {
			t.Errorf("%s has one way, and %s is called cheaper", op.Code, m.Cheaper)
		}
	}
}

// To the cent alike, neither way is called cheaper.
func TestAFirmAtOurOwnCostIsNeitherCheaperNorDearer(t *testing.T) {
	t.Parallel()
	d := domaintest.Inputs(t, catalogue.Recondition)
	keysAt := func(price decimal.Decimal) plan.MakeOrBuy {
		priced := *d.Catalogue
		priced.Operations = slices.Clone(d.Catalogue.Operations)
		at := d.Catalogue.Position("KY-02")
		buying := *priced.Operations[at].Buying
		buying.Carriage = catalogue.ThreePoint{}
		buying.Price = map[catalogue.Kind]catalogue.ThreePoint{
			catalogue.Grand: {Low: price, Likely: price, High: price},
		}
		priced.Operations[at].Buying = &buying
		in := d
		in.Catalogue = &priced
		list, err := plan.MakeOrBuyLines(t.Context(), in, calendar(t))
		if err != nil {
			t.Fatal(err)
		}
		return list[slices.IndexFunc(list, ofKeys)]
	}
	own := keysAt(decimal.Zero).InHouse.Costs.Total.Likely.Decimal()
	cent := domaintest.Dec("0.01")
	for price, want := range map[decimal.Decimal]catalogue.Making{
		own.Sub(cent): catalogue.Outside, own: "", own.Add(cent): catalogue.InHouse,
	} {
		if got := keysAt(price).Cheaper; got != want {
			t.Errorf("at %s outside and %s in house %q is called cheaper, want %q", price, own, got, want)
		}
	}
}
