package cost_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/domaintest"
	"bentside/domain/hours"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var (
	dec   = decimal.RequireFromString
	eur   = money.MustCurrency("EUR")
	today = domaintest.JobDay
)

func euros(text string) money.Amount { return money.MustParse(text + " EUR") }

// Three products by hours of labour (OpenStax, Principles of Accounting, vol. 2, section 6.1):
// overhead 2,500,000 on 1,250,000 h is 2.00 an hour; units of 2.5, 4 and 2 h carry 5, 8 and 4.
func TestOverheadFollowsTheHours(t *testing.T) {
	t.Parallel()
	rate := dec("2500000").Div(dec("1250000"))
	for minutes, want := range map[int]string{
		350_000 * 60 / 140_000: "5.00", 400_000 * 60 / 100_000: "8.00", 500_000 * 60 / 250_000: "4.00",
	} {
		if got, err := cost.OfMinutes(minutes, rate, eur); err != nil || got != euros(want) {
			t.Errorf("%d min carry %v, %v; want %s", minutes, got, err, want)
		}
	}
}

// Rounding once, half up: a third of a cent down, half a cent up, whatever the sign.
func TestMinutesAreRoundedOnce(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		minutes    int
		rate, want string
	}{
		{1, "0.2", "0.00"},
		{1, "0.3", "0.01"},
		{-1, "0.3", "-0.01"},
		{1, "0.2999", "0.00"},
		{20, "0.01", "0.00"},
		{30, "0.01", "0.01"},
		{3750, "24", "1500.00"},
	} {
		if got, err := cost.OfMinutes(c.minutes, dec(c.rate), eur); err != nil || got != euros(c.want) {
			t.Errorf("%d min at %s cost %v, %v; want %s", c.minutes, c.rate, got, err, c.want)
		}
	}
}

// Labour variances (OpenStax, Principles of Accounting, vol. 2, section 8.3): standard 0.10 h at
// 8.00, actual 0.20 h at 9.50; rate 0.30, time 0.80, in all 1.10.
func TestTheVarianceOfLabourIsSplitIntoHoursAndRate(t *testing.T) {
	t.Parallel()
	rates := pricing.Rates{Currency: eur, Labour: map[string]decimal.Decimal{"stringing": dec("8")}}
	estimated := func(hours string) pricing.Estimate {
		h := dec(hours)
		var lines []pricing.Line
		if !h.IsZero() {
			lines = []pricing.Line{{
				Ref: "ST-01", Chance: domain.One, Skill: "stringing",
				Hours: pricing.Hours{Low: h, Likely: h, High: h},
			}}
		}
		e, err := pricing.EstimateScope(lines, rates, domaintest.Terms(domaintest.Shipped(t)).Together())
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	planned := estimated("0.1")
	f, err := cost.Progress{
		Currency: eur, Committed: euros("0.00"), ToGo: estimated("0"), Planned: planned,
		Tasks:    []job.Task{{Operation: "ST-01", Line: &scope.Line{Skill: "stringing"}}},
		Standard: cost.Rates{Labour: dec("8")}, Baseline: &planned.Costs,
		Totals: []cost.Total{
			{
				Operation: "ST-01", Kind: cost.Labour, Purpose: cost.Work, Amount: euros("1.90"), Minutes: 12,
				Inventory: true,
			},
			{Operation: "ST-01", Kind: cost.Overhead, Purpose: cost.Work, Amount: euros("0.00"), Minutes: 12},
		},
	}.Forecast()
	if err != nil {
		t.Fatal(err)
	}
	v := f.Variance
	if v.Rate != euros("0.30") || v.Hours != euros("0.80") || v.Total != euros("1.10") {
		t.Errorf("got %+v, want rate 0.30, hours 0.80, in all 1.10", v)
	}
}

func worked(off bool, r cost.Rates) cost.Worked {
	return cost.Worked{
		Instrument: uuid.UUID{1}, Skill: "stringing", OffPayroll: off, Rates: r, Currency: eur,
	}
}

// What is left of an entry costs what so many minutes cost, whatever the steps in which it was
// taken back and whatever the rates have become.
func TestWhatIsLeftOfAnEntryCostsWhatItsMinutesDo(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		rates := cost.Rates{
			Labour:   decimal.New(rapid.Int64Range(0, 1_000_000).Draw(r, "labour"), -4),
			Overhead: decimal.New(rapid.Int64Range(0, 1_000_000).Draw(r, "overhead"), -4),
		}
		e := hours.Entry{
			ID: uuid.UUID{2}, Job: uuid.UUID{3}, Operation: "ST-01", On: today,
			Minutes: rapid.IntRange(1, 1440).Draw(r, "minutes"),
		}
		off := rapid.Bool().Draw(r, "off payroll")
		lines, err := cost.OfHours(e, worked(off, rates), today.AddDays(3))
		if err != nil {
			r.Fatal(err)
		}
		left := e.Minutes
		for n := byte(0); left > 0; n++ {
			back := rapid.IntRange(1, left).Draw(r, "back")
			left -= back
			more, err := cost.TakenBack(hours.Entry{
				ID: uuid.UUID{4, n}, Reverses: e.ID, On: e.On, Minutes: -back,
			}, lines, today.AddDays(9))
			if err != nil {
				r.Fatal(err)
			}
			lines = append(lines, more...)
			sum := euros("0.00")
			for _, l := range lines {
				sum = sum.Add(l.Amount)
			}
			labour, _ := cost.OfMinutes(left, rates.Labour, eur)
			overhead, _ := cost.OfMinutes(left, rates.Overhead, eur)
			if sum != labour.Add(overhead) {
				r.Fatalf("%d min cost %s, want %s and %s", left, sum, labour, overhead)
			}
		}
	})
}

// Which view counts what: the table of the design, whose rules are those of IAS 2, paragraphs 10 to
// 16.
func TestWhichViewCountsWhat(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind    cost.Kind
		purpose cost.Purpose
		want    bool
	}{
		{cost.PurchasePrice, cost.Acquisition, true},
		{cost.TransportIn, cost.Acquisition, true},
		{cost.Labour, cost.Work, true},
		{cost.NotionalLabour, cost.Work, false},
		{cost.Overhead, cost.Work, true},
		{cost.Labour, cost.Rework, true},
		{cost.Overhead, cost.AbnormalRework, false},
		{cost.Labour, cost.Delivery, false},
		{cost.Labour, cost.Survey, false},
		{cost.Other, cost.Seasoning, true},
		{cost.Other, cost.Storage, false},
		{cost.Other, cost.Finance, false},
		{cost.Other, cost.Commission, false},
		{cost.Other, cost.Warranty, false},
	} {
		if got := cost.InInventory(c.kind, c.purpose); got != c.want {
			t.Errorf("%s for %s in stock: %v", c.kind, c.purpose, got)
		}
	}
}

// Work that belongs to the sale doesn't count as a cost of stock, nor does the survey before the
// purchase.
func TestHoursForTheSaleAreDelivery(t *testing.T) {
	t.Parallel()
	w := worked(false, cost.Rates{Labour: dec("24"), Overhead: dec("18")})
	for in, want := range map[scope.CountedIn]cost.Purpose{
		"": cost.Work, scope.InSelling: cost.Delivery, scope.BeforePurchase: cost.Survey,
	} {
		w.CountedIn = in
		lines, err := cost.OfHours(hours.Entry{ID: uuid.UUID{2}, On: today, Minutes: 60}, w, today)
		if err != nil || len(lines) != 2 || lines[0].Purpose != want {
			t.Errorf("counted in %q: %+v, %v; want %s", in, lines, err, want)
		}
	}
}
