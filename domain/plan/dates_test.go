package plan_test

import (
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// shop returns open from 8 to 12 and from 13 to 17, Monday to Friday, in a zone with summer time.
func shop(t *testing.T, stations ...domain.Station) plan.Shop {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	s := plan.Shop{Zone: zone, Stations: stations}
	for day := time.Monday; day <= time.Friday; day++ {
		s.Open.Week[day] = []domain.Interval{
			{From: 8 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60},
		}
	}
	return s
}

// asFound returns the shipped catalogue's work on a grand that is sold as it stands.
func asFound(t *testing.T) (*catalogue.Catalogue, scope.Scope) {
	t.Helper()
	c, err := catalogue.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	js, err := survey.Judge(c, catalogue.Grand, nil)
	if err != nil {
		t.Fatal(err)
	}
	in := instrument.Instrument{Kind: catalogue.Grand, SizeMM: 1850, Notes: 88, Year: 1911}
	s, err := scope.Draw(c, in, js, catalogue.AsFound, nil, domain.OddsFromChance(decimal.Zero))
	if err != nil {
		t.Fatal(err)
	}
	return c, s
}

func TestWorkAcceptedOffTheQuarterHourStartsOnTheNext(t *testing.T) {
	t.Parallel()
	c, s := asFound(t)
	where := shop(t)
	for _, accepted := range []time.Time{
		time.Date(2026, 3, 2, 8, 0, 0, 1, where.Zone),
		time.Date(2026, 3, 2, 8, 14, 59, 0, where.Zone),
		time.Date(2026, 3, 1, 22, 7, 3, 0, where.Zone), // Sunday night
	} {
		d, err := plan.Situation{Shop: where, At: accepted}.DatesOf(t.Context(), c, s)
		if err != nil {
			t.Fatalf("accepted %s: %v", accepted, err)
		}
		first := d.Alone.Steps[0].Start
		if first.Before(accepted) || first.Minute()%15 != 0 || first.Hour() != 8 {
			t.Errorf(
				"accepted %s: starts %s, want the next quarter hour that the shop is open",
				accepted, first,
			)
		}
	}
}

func TestAJobAheadInTheQueueDelaysAndNeverHastens(t *testing.T) {
	t.Parallel()
	c, s := asFound(t)
	where := shop(
		t, domain.Station{Name: "intake bay", Count: 1},
		domain.Station{Name: "quiet room", Count: 1},
	)
	accepted := time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
	ahead := plan.QueuedWork{Name: "the one ahead", Accepted: accepted, Scope: s}
	free, err := plan.Situation{Shop: where, At: accepted}.DatesOf(t.Context(), c, s)
	if err != nil {
		t.Fatal(err)
	}
	sit := plan.Situation{Shop: where, At: accepted, Queue: []plan.QueuedWork{ahead}}
	behind, err := sit.DatesOf(t.Context(), c, s)
	if err != nil {
		t.Fatal(err)
	}
	if !free.Queued.Ready.Equal(free.Alone.Ready) {
		t.Errorf(
			"with nothing ahead it is ready %s in the queue and %s alone", free.Queued.Ready,
			free.Alone.Ready,
		)
	}
	if !behind.Queued.Ready.After(free.Queued.Ready) {
		t.Errorf(
			"ready %s behind a job that needs the one intake bay first, not later than %s",
			behind.Queued.Ready, free.Queued.Ready,
		)
	}
	blamed := false
	for _, p := range behind.Queued.Path {
		blamed = blamed || p.Instrument == "the one ahead"
	}
	if !blamed {
		t.Errorf("the chain that drives the date does not name the job ahead: %+v", behind.Queued.Path)
	}
}

func TestAShopThatNeverOpensIsRefused(t *testing.T) {
	t.Parallel()
	c, s := asFound(t)
	where := shop(t)
	where.Open.Week = [7][]domain.Interval{}
	sit := plan.Situation{Shop: where, At: time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)}
	if _, err := sit.DatesOf(t.Context(), c, s); err == nil {
		t.Error("a shop without opening hours got dates")
	}
}
