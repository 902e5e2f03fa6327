package domain_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
)

func drawing(t testing.TB, depth catalogue.Depth, edits ...domain.Edit) domain.Drawing {
	t.Helper()
	c := shipped(t)
	findings := []domain.Finding{number("SV-39", "1.6", "mm")}
	terms := terms(c)
	terms.UnknownOdds = odds
	return domain.Drawing{
		Catalogue: c, Instrument: grand(), Judgements: judged(t, c, grand(), findings), Terms: terms, Depth: depth, Edits: edits,
	}
}

func calendar(t *testing.T) domain.Calendar {
	t.Helper()
	where := shop(t)
	return domain.Calendar{Shop: where, At: time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)}
}

func TestMakeOrBuyShowsHoursAndCostBesideThePriceAndTheDays(t *testing.T) {
	t.Parallel()
	d := drawing(t, catalogue.Recondition)
	list, err := domain.MakeOrBuyOf(d, calendar(t))
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(list, func(m domain.MakeOrBuy) bool { return m.Line.Operation == "KY-02" })
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
	if !keys.InHouse.Hours.Likely.Equal(op.Hours[catalogue.Grand].Likely(dec("88"))) || keys.InHouse.Costs.Outside.Likely.Minor() != 0 {
		t.Errorf("in house %+v, want the catalogue's hours for 88 keys and no firm", keys.InHouse)
	}
	in, out := keys.InHouse.Costs.Total.Likely.Minor(), keys.Outside.Total.Likely.Minor()
	if (keys.Cheaper == catalogue.InHouse) != (in < out) || (keys.Cheaper == catalogue.Outside) != (out < in) {
		t.Errorf("%d in house and %d outside: %q is called cheaper", in, out, keys.Cheaper)
	}
}

// Both ways are worked out whichever the scope has taken, and the way taken
// gives the scope's own date.
func TestMakeOrBuyGivesTheDateOfTheWayThatTheScopeTakes(t *testing.T) {
	t.Parallel()
	cal := calendar(t)
	for _, making := range []catalogue.Making{catalogue.InHouse, catalogue.Outside} {
		d := drawing(t, catalogue.Recondition, domain.Edit{Kind: domain.SetMaking, Operation: "KY-02", Making: making})
		list, err := domain.MakeOrBuyOf(d, cal)
		if err != nil {
			t.Fatal(err)
		}
		s, err := d.With()
		if err != nil {
			t.Fatal(err)
		}
		own, err := domain.DatesOf(d.Catalogue, s, cal.Shop, cal.At, nil)
		if err != nil {
			t.Fatal(err)
		}
		keys := list[slices.IndexFunc(list, func(m domain.MakeOrBuy) bool { return m.Line.Operation == "KY-02" })]
		ready := keys.InHouse.Ready
		if making == catalogue.Outside {
			ready = keys.Outside.Ready
		}
		if !ready.Equal(own.Queued.Ready) || keys.Line.Making != making {
			t.Errorf("%s: ready %v, want the scope's own %v", making, ready, own.Queued.Ready)
		}
	}
}

// A firm that takes longer puts off the day on which the piano is ready, by at
// least what its turn-round grew beyond the float.
func TestTurnRoundEntersTheDates(t *testing.T) {
	t.Parallel()
	d := drawing(t, catalogue.Recondition)
	slow := *d.Catalogue
	slow.Operations = slices.Clone(d.Catalogue.Operations)
	at := d.Catalogue.Position("KY-02")
	buying := *slow.Operations[at].Buying
	buying.TurnRound = catalogue.ThreePoint{Low: dec("40"), Likely: dec("60"), High: dec("80")}
	slow.Operations[at].Buying = &buying
	ready := func(c *catalogue.Catalogue) time.Time {
		d.Catalogue = c
		list, err := domain.MakeOrBuyOf(d, calendar(t))
		if err != nil {
			t.Fatal(err)
		}
		return list[slices.IndexFunc(list, func(m domain.MakeOrBuy) bool { return m.Line.Operation == "KY-02" })].Outside.Ready
	}
	quick, late := ready(d.Catalogue), ready(&slow)
	if want := calendar(t).At.AddDate(0, 0, 7*60); late.Before(want) || !quick.Before(late) {
		t.Errorf("with 60 weeks at the firm it is ready %v, want after %v; as shipped %v", late, want, quick)
	}
}

func TestWhatOnlyAFirmDoesHasOneWay(t *testing.T) {
	t.Parallel()
	d := drawing(t, catalogue.Restore)
	list, err := domain.MakeOrBuyOf(d, calendar(t))
	if err != nil {
		t.Fatal(err)
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
