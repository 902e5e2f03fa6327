package demo

import (
	"context"
	"time"

	"bentside/api/app"
	"bentside/domain"

	"github.com/shopspring/decimal"
)

// Today is the day on which the story is told.
var Today = domain.Date{Year: 2026, Month: time.March, Day: 2}

const zone = "Europe/Vienna"

var dec = decimal.RequireFromString

// pricesInEuro is what one unit of the shipped catalogue's currency is worth in euros in the story.
var pricesInEuro = dec("1.15")

func workshop() domain.Workshop {
	rates := map[string]decimal.Decimal{
		"survey": dec("27.00"), "general": dec("20.50"), "stringing": dec("24.00"), "belly": dec("27.50"),
		"action":  dec("25.50"),
		"cabinet": dec("24.50"), "finishing": dec("25.00"), "gilding": dec("24.00"),
		"tuning": dec("28.00"), "haulage": dec("21.00"),
		"specialist": dec("30.00"),
	}
	w := domain.Workshop{
		Name: "Kielbach & Anrath, piano workshop", Zone: zone, Country: "AT",
		Terms: domain.Terms{
			Currency: "EUR", LabourRates: rates, OverheadRate: dec("11.50"),
			TaxRegime: domain.MarginTax, TaxRate: dec("0.20"), TargetShare: dec("0.12"),
			SellingShare: dec("0.03"), SellingFixed: dec("420.00"), FinanceRate: dec("0.06"),
			StoragePerDay: dec("1.80"),
			DaysOnFloor:   110, BiddingStep: dec("50.00"), UnknownOdds: domain.OddsFromChance(dec("0.4")),
			WorkFinanced: dec("0.5"), LossLimit: dec("0.2"), Uncertainty: domain.DefaultUncertainty(),
		},
	}
	morning, afternoon := domain.Interval{From: 8 * 60, To: 12 * 60}, domain.Interval{
		From: 12*60 + 45, To: 16*60 + 45,
	}
	for day := time.Monday; day <= time.Thursday; day++ {
		w.Open.Week[day] = []domain.Interval{morning, afternoon}
	}
	w.Open.Week[time.Friday] = []domain.Interval{morning, {From: 12*60 + 45, To: 15*60 + 15}}
	for _, d := range []string{
		"2026-04-06", "2026-05-01", "2026-05-14", "2026-05-25", "2026-06-04", "2026-10-26",
		"2026-12-08", "2026-12-25",
	} {
		day, err := domain.ParseDate(d)
		if err != nil {
			panic(err)
		}
		w.Open.Holidays = append(w.Open.Holidays, day)
	}
	for day := 10; day <= 21; day++ { // closed in August
		w.Open.Holidays = append(w.Open.Holidays, domain.Date{Year: 2026, Month: time.August, Day: day})
	}
	return w
}

var crew = []domain.Person{
	{
		Name: "Mathilde Kielbach", Skills: []string{"survey", "belly", "general"},
		ProductiveShare: dec("0.60"), OffPayroll: true,
	},
	{
		Name: "Jorin Anrath", Skills: []string{"belly", "cabinet", "stringing"},
		ProductiveShare: dec("0.75"),
	},
	{Name: "Senta Vollbrecht", Skills: []string{"action", "tuning"}, ProductiveShare: dec("0.75")},
	{Name: "Ruben Ostrow", Skills: []string{"finishing", "gilding"}, ProductiveShare: dec("0.80")},
	{
		Name: "Paulien Tammes", Skills: []string{"stringing", "general", "action"},
		ProductiveShare: dec("0.75"),
	},
	{
		Name: "Ilko Drewes", Skills: []string{"general", "haulage", "finishing"},
		ProductiveShare: dec("0.70"),
	},
}

var stations = []domain.Station{
	{Name: "intake bay", Count: 2},
	{Name: "bench", Count: 4, Room: "workshop"},
	{Name: "action bench", Count: 2},
	{Name: "frame hoist", Count: 1, Room: "workshop"},
	{Name: "drying room", Count: 1},
	{Name: "strip bay", Count: 1, Room: "machine room"},
	{Name: "sanding bay", Count: 1, Room: "machine room"},
	{Name: "spray booth", Count: 1},
	{Name: "polishing room", Count: 2, Room: "finishing room"},
	{Name: "dust-free room", Count: 1, Room: "finishing room"},
	{Name: "buffing bench", Count: 1, Room: "machine room"},
	{Name: "quiet room", Count: 1},
	{Name: "showroom", Count: 6},
}

func equip(ctx context.Context, a *app.App, owner app.Actor) error {
	for _, p := range crew {
		if p.OffPayroll {
			p.User = owner.User // who owns the shop works in it
		}
		if _, err := a.AddPerson(ctx, owner, p); err != nil {
			return err
		}
	}
	for _, s := range stations {
		if _, err := a.AddStation(ctx, owner, s); err != nil {
			return err
		}
	}
	return nil
}
