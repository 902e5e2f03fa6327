package pricing_test

import (
	"errors"
	"testing"

	"bentside/pricing"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func negotiated(t *testing.T, in pricing.BidInput, table pricing.Table) pricing.Negotiation {
	t.Helper()
	n, err := mustBid(t, in).Negotiate(table)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// By hand. Without tax a sale of the costs themselves leaves nothing. With 20 % in the sale and
// 3.5 % for selling it, 1.03 of work needs 1.28: 0.21 of tax and 0.04 for selling, both rounded
// down, where the unrounded sums ask for 1.29.
func TestTheSaleThatBreaksEvenIsTheLeast(t *testing.T) {
	t.Parallel()
	gift := pounds("0.00")
	for _, c := range []struct {
		name       string
		tax        pricing.TaxRule
		selling    pricing.Portion
		work, want string
	}{
		{"no tax", pricing.TaxRule{Regime: pricing.NoTax}, pricing.Portion{}, "100.00", "100.00"},
		{
			"no tax, delivery",
			pricing.TaxRule{Regime: pricing.NoTax},
			pricing.Portion{Fixed: pounds("20.00")},
			"100.00", "120.00",
		},
		{"nothing to pay", pricing.TaxRule{Regime: pricing.NoTax}, pricing.Portion{}, "0.00", "0.00"},
		{
			"both rounded down",
			pricing.TaxRule{Regime: pricing.StandardTax, Rate: dec("0.2")},
			pricing.Portion{Share: dec("0.035")},
			"1.03", "1.28",
		},
		{"the margin", margin20(), pricing.Portion{}, "100.00", "120.00"},
	} {
		n := negotiated(t, pricing.BidInput{
			Sale: pounds("500.00"), Work: pounds(c.work), Tax: c.tax, Selling: c.selling,
		}, pricing.Table{Asked: &gift})
		if got := n.Asked.BreakEvenSale; got == nil || *got != pounds(c.want) {
			t.Errorf("%s: got %v, want %s", c.name, got, c.want)
		}
	}
}

// The dearest work that leaves nothing, with its interest rounded as it is charged: what is left
// pays for it, and not for a penny more.
func TestTheDearestWorkIsPaidForAndNotAPennyMore(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rate := decimal.New(rapid.Int64Range(0, 300_000).Draw(t, "rate"), -6)
		in := pricing.BidInput{
			Sale: money.FromMinor(rapid.Int64Range(0, 2000).Draw(t, "sale"), gbp),
			Tax:  pricing.TaxRule{Regime: pricing.NoTax},
			Holding: pricing.Holding{
				AnnualRate: rate, WorkDays: rapid.IntRange(0, 900).Draw(t, "days"), WorkShare: dec("1"),
			},
		}
		profit := func(work int64) int64 {
			in := in
			in.Work = money.FromMinor(work, gbp)
			bid, err := pricing.NewBid(in)
			if err != nil {
				t.Fatal(err)
			}
			sums, err := bid.ProfitAt(pounds("0.00"))
			if err != nil {
				t.Fatal(err)
			}
			return sums.Profit.Minor()
		}
		gift := pounds("0.00")
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		n, err := bid.Negotiate(pricing.Table{Asked: &gift})
		if err != nil {
			t.Fatal(err)
		}
		work := n.Asked.BreakEvenWork.Minor()
		if profit(work) < 0 || profit(work+1) >= 0 {
			t.Fatalf("work of %d leaves %d, a penny more %d", work, profit(work), profit(work+1))
		}
	})
}

// No model makes anything certain, and what is told in between is told as it is.
func TestNoChanceIsToldAsNothingOrAsCertain(t *testing.T) {
	t.Parallel()
	for p, want := range map[string]string{
		"0": "0.005", "0.0049": "0.005", "0.005": "0.005", "0.2": "0.2", "0.995": "0.995",
		"0.9951": "0.995", "1": "0.995",
	} {
		if got := pricing.ReportedChance(dec(p)); !got.Equal(dec(want)) {
			t.Errorf("%s is told as %s, want %s", p, got, want)
		}
	}
}

// Ten sales of equal chance: five cases of ten bring the fifth or less, eight the eighth or less.
func TestASpreadTellsTheCasesOfTen(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	sales := chances{}
	for tens := int64(1); tens <= 10; tens++ {
		sales[tens*100_000] = 10
	}
	in.Doubt = sales.doubt(t, chances{241_850: 100})
	n := negotiated(t, in, pricing.Table{LossLimit: dec("0.2")})
	for _, c := range []struct {
		name string
		got  money.Amount
		want string
	}{
		{"P10", *n.Sale.P10, "1000.00"},
		{"P50", *n.Sale.P50, "5000.00"},
		{"P80", n.Sale.P80, "8000.00"},
		{"P90", *n.Sale.P90, "9000.00"},
		{"mean", n.Sale.Mean, "5500.00"},
		{"work", *n.Work.P50, "2418.50"},
	} {
		// the odds compute on a grid of a thousandth of the range
		if off := c.got.Sub(pounds(c.want)).Minor(); off < -1000 || off > 1000 {
			t.Errorf("%s: got %v, want %s", c.name, c.got, c.want)
		}
	}
}

// In one case of four the piano proves a donor: it takes no work and brings what is paid for it as
// it stands.
func TestADonorTakesNoWorkAndBringsItsSalvage(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	in.Doubt = chances{800_000: 100}.doubt(t, chances{200_000: 100})
	in.Doubt.Unfit, in.Doubt.Salvage = odds.Otherwise([]float64{0.25}, 0), pounds("400.00")
	gift := pounds("0.00")
	n := negotiated(t, in, pricing.Table{LossLimit: dec("0.2"), Asked: &gift})
	if n.Unfit == nil || !n.Unfit.Equal(dec("0.25")) {
		t.Errorf("unfit at %v", n.Unfit)
	}
	if sale := item(n.Asked.Sums, pricing.ItemSale); sale != pounds("6100.00") {
		t.Errorf("it sells for %v, want 3/4 of 8000 and 1/4 of 400", sale)
	}
	if work := item(n.Asked.Sums, pricing.ItemWork); work != pounds("-1500.00") {
		t.Errorf("it takes work of %v, want 3/4 of 2000", work)
	}
	in.Doubt.Salvage = money.FromMinor(40_000, money.MustCurrency("EUR"))
	var currency *pricing.CurrencyError
	if _, err := pricing.NewBid(in); !errors.As(err, &currency) || currency.What != "salvage" {
		t.Errorf("salvage in euros: %v", err)
	}
}

// What is known for sure needs no lower price to be surer.
func TestAConfidenceThatIsThereAnywayBindsNothing(t *testing.T) {
	t.Parallel()
	n := negotiated(t, exampleInput(), pricing.Table{LossLimit: dec("0.2"), Confidence: dec("0.9")})
	if n.Bound != pricing.Unbound || n.UnboundAim != nil || n.Aim == nil {
		t.Errorf("bound by %q, unbound %v", n.Bound, n.UnboundAim)
	}
}

func TestAnAskThatLeavesJustWhatIsWantedLeavesNothingAbove(t *testing.T) {
	t.Parallel()
	in := pricing.BidInput{
		Sale: pounds("1000.00"), Tax: pricing.TaxRule{Regime: pricing.NoTax},
		Target: pricing.Portion{Fixed: pounds("100.00")},
	}
	for asked, above := range map[string]string{"900.00": "", "899.99": "0.01", "900.01": ""} {
		price := pounds(asked)
		got := negotiated(t, in, pricing.Table{LossLimit: dec("0.2"), Asked: &price}).AboveWanted
		if (got != nil) != (above != "") || got != nil && *got != pounds(above) {
			t.Errorf("asked %s: %v above what is wanted, want %q", asked, got, above)
		}
	}
}

// A return by the month is of money and of time: without either there is none.
func TestNothingTiedUpEarnsNoRate(t *testing.T) {
	t.Parallel()
	gift, price := pounds("0.00"), pounds("400.00")
	for name, c := range map[string]struct {
		asked money.Amount
		days  int
		rate  string
	}{
		"a gift that needs nothing": {gift, 30, ""},
		"sold on the spot":          {price, 0, ""},
		"a year":                    {price, 365, "0.125"},
	} {
		n := negotiated(t, pricing.BidInput{
			Sale: pounds("1000.00"), Tax: pricing.TaxRule{Regime: pricing.NoTax},
			Holding: pricing.Holding{FloorDays: c.days},
		}, pricing.Table{LossLimit: dec("0.2"), Asked: &c.asked})
		got := n.Asked.PerMonth
		if (got != nil) != (c.rate != "") || got != nil && !got.Equal(dec(c.rate)) {
			t.Errorf("%s: %v a month, want %q", name, got, c.rate)
		}
	}
}

// Where hours cost nothing, no sum of money says how many there are.
func TestHoursAreReckonedFromMoneyOnlyWhereTheyCostSome(t *testing.T) {
	t.Parallel()
	line := certain("regulate")
	line.Skill, line.Hours = "bench", hours("10", "10", "10")
	of := func(r pricing.Rates) pricing.Estimate {
		e, err := pricing.EstimateScope([]pricing.Line{line}, r, odds.Together{})
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	free := rates()
	free.Labour["bench"], free.Overhead = decimal.Zero, decimal.Zero
	if got, some := of(free).HoursAt(pounds("420.00")); some {
		t.Errorf("at no cost %s hours", got)
	}
	// 24 and 18 an hour
	for work, want := range map[string]string{"420.00": "10", "462.00": "11", "0.00": "0"} {
		if got, some := of(rates()).HoursAt(pounds(work)); !some || !got.Equal(dec(want)) {
			t.Errorf("%s buys %s hours, want %s", work, got, want)
		}
	}
}

// Once somebody has looked, the worlds have other chances: that is the estimate with those chances
// from the start.
func TestAnEstimateReweighedIsTheEstimateOfTheNewChances(t *testing.T) {
	t.Parallel()
	before, err := pricing.EstimateWorlds(
		pins(), []decimal.Decimal{dec("0.7"), dec("0.3")}, rates(), whateverTheWear(0.7, 0.3))
	if err != nil {
		t.Fatal(err)
	}
	for _, plank := range []string{"0", "0.3", "1"} {
		chance := dec(plank)
		overall := []decimal.Decimal{dec("1").Sub(chance), chance}
		together := whateverTheWear(overall[0].InexactFloat64(), overall[1].InexactFloat64())
		lines := pins()
		lines[0].Chance, lines[1].Chance = overall[1], overall[0]
		want, err := pricing.EstimateWorlds(lines, overall, rates(), together)
		if err != nil {
			t.Fatal(err)
		}
		got, err := before.Reweighed(pricing.Weights{Overall: overall, ByWear: together.Worlds})
		if err != nil {
			t.Fatal(err)
		}
		if got.Costs != want.Costs {
			t.Errorf("plank at %s: got %+v\nwant %+v", plank, got.Costs, want.Costs)
		}
		if !got.Hours.Expected.Equal(want.Hours.Expected) ||
			!got.Hours.Low.Equal(want.Hours.Low) || !got.Hours.High.Equal(want.Hours.High) {
			t.Errorf("plank at %s: got %+v hours, want %+v", plank, got.Hours, want.Hours)
		}
		if g, w := got.Work().Overall(), want.Work().Overall(); g.Mean() != w.Mean() || g.SD() != w.SD() {
			t.Errorf("plank at %s: work of %v ± %v, want %v ± %v", plank, g.Mean(), g.SD(), w.Mean(), w.SD())
		}
	}
	sure, err := pricing.EstimateScope([]pricing.Line{certain("x")}, rates(), odds.Together{})
	if err != nil {
		t.Fatal(err)
	}
	same, err := sure.Reweighed(pricing.Weights{})
	if err != nil || same.Costs != sure.Costs {
		t.Errorf("what is certain changes to %+v, %v", same.Costs, err)
	}
}

// By hand: at 24 and 18 an hour the first world takes 4 h and 12 h and wire of 20.00, the second
// 30 h and 12 h and wire of 10.00.
func TestEachWorldIsCostedInFull(t *testing.T) {
	t.Parallel()
	got, err := pricing.WorldTotals(pins(), 2, rates())
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ hours, costs string }{{"16", "692.00"}, {"42", "1774.00"}} {
		if !got[i].Hours.Likely.Equal(dec(want.hours)) || got[i].Costs.Likely != pounds(want.costs) {
			t.Errorf("world %d: %s h, %v; want %s, %s", i, got[i].Hours.Likely, got[i].Costs.Likely,
				want.hours, want.costs)
		}
	}
	everywhere := certain("tuning")
	everywhere.Skill, everywhere.Hours = "bench", hours("2", "2", "2")
	if got, err = pricing.WorldTotals([]pricing.Line{everywhere}, 2, rates()); err != nil ||
		got[0].Costs != got[1].Costs || got[0].Costs.Likely != pounds("84.00") {
		t.Errorf("a line of all worlds: %+v, %v", got, err)
	}
	var bound *pricing.BoundError
	if _, err := pricing.WorldTotals(pins(), 3, rates()); !errors.As(err, &bound) {
		t.Errorf("lines of two worlds among three: %v", err)
	}
}

func TestTheSumsSayHowTheSaleAndTheInterestCameAbout(t *testing.T) {
	t.Parallel()
	basis := func(in pricing.BidInput, i pricing.Item) string {
		sums, err := mustBid(t, in).ProfitAt(pounds("0.00"))
		if err != nil {
			t.Fatal(err)
		}
		return sums.Lines[i-pricing.ItemSale].Basis
	}
	in := exampleInput()
	in.SaleBasis = "likely"
	if got := basis(in, pricing.ItemSale); got != "likely" {
		t.Errorf("a sale that is sure: %q", got)
	}
	donor := in
	donor.Doubt = chances{800_000: 100}.doubt(t, chances{200_000: 100})
	donor.Doubt.Unfit, donor.Doubt.Salvage = odds.Otherwise([]float64{0.25}, 0), pounds("400.00")
	weighed := "0.75 × 8000.00 GBP, and 0.25 × 400.00 GBP if it proves unfit"
	if got := basis(donor, pricing.ItemSale); got != "likely; "+weighed {
		t.Errorf("a donor: %q", got)
	}
	donor.SaleBasis = ""
	if got := basis(donor, pricing.ItemSale); got != weighed {
		t.Errorf("a donor without a basis: %q", got)
	}
	if got := basis(in, pricing.ItemWorkFinance); got != "2418.50 GBP × 0.08 × (0.5 × 150 + 60)/365" {
		t.Errorf("interest on the work: %q", got)
	}
	in.Holding.WorkDays = 0
	if got := basis(in, pricing.ItemWorkFinance); got != "2418.50 GBP × 0.08 × 60/365" {
		t.Errorf("interest on work that takes no day: %q", got)
	}
}

// Hours keep six decimals, and overhead runs for as long as the hours do: what is needed on worn
// pianos alone takes longer, and its overhead with it.
func TestOverheadRunsAsLongAsTheHours(t *testing.T) {
	t.Parallel()
	line := certain("shape")
	line.Skill, line.Hours = "bench", hours("10", "10", "11")
	e, err := pricing.EstimateScope([]pricing.Line{line}, rates(), odds.Together{})
	if err != nil || !e.Hours.Expected.Equal(dec("10.166667")) {
		t.Errorf("%s h, %v; want 61/6", e.Hours.Expected, err)
	}
	var worlds [odds.Strata][]float64
	for s := range worlds {
		worn := float64(s) / float64(odds.Strata-1)
		worlds[s] = []float64{1 - worn, worn}
	}
	line.In, line.Chance = []bool{false, true}, dec("0.5")
	e, err = pricing.EstimateWorlds([]pricing.Line{line}, []decimal.Decimal{dec("0.5"), dec("0.5")},
		rates(), odds.Together{JobSD: 0.3, Worlds: &worlds})
	if err != nil {
		t.Fatal(err)
	}
	longer := e.Lines[0].Lengthened
	if longer == nil || longer.LessThanOrEqual(dec("1")) {
		t.Fatalf("work on worn pianos takes %v times as long", longer)
	}
	labour, overhead := e.Costs.Labour.Expected.Decimal(), e.Costs.Overhead.Expected.Decimal()
	if off := labour.Mul(dec("0.75")).Sub(overhead).Abs(); off.GreaterThan(dec("0.01")) {
		t.Errorf("labour of %s at 24 and overhead of %s at 18 an hour", labour, overhead)
	}
}

func TestSumsOfRangesReachTheLimitAndNoFurther(t *testing.T) {
	t.Parallel()
	all := func(minor int64) pricing.Range {
		a := money.FromMinor(minor, gbp)
		return pricing.Range{Low: a, Likely: a, High: a, Expected: a}
	}
	var tooLarge *money.RangeError
	for _, sign := range []int64{1, -1} {
		most := all(sign * money.Limit)
		if got, err := pricing.SumRanges(gbp, most); err != nil || got != most {
			t.Errorf("the limit itself: %v, %v", got, err)
		}
		if _, err := pricing.SumRanges(gbp, most, all(sign)); !errors.As(err, &tooLarge) {
			t.Errorf("a minor unit more: %v", err)
		}
	}
}
