package pricing_test

import (
	"sort"
	"testing"

	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// drawBid draws any input with at most a fifth of the sale in selling cost and a fifth in target,
// so that a dearer sale is worth having.
func drawBid(t *rapid.T) pricing.BidInput {
	amount := func(label string, most int64) money.Amount {
		return money.FromMinor(rapid.Int64Range(0, most).Draw(t, label), gbp)
	}
	share := func(label string, most int64) decimal.Decimal {
		return decimal.New(
			rapid.OneOf(rapid.Just(int64(0)), rapid.Int64Range(0, most)).Draw(t, label), -6,
		)
	}
	in := pricing.BidInput{
		Sale: amount("sale", 5_000_000),
		Target: pricing.Portion{
			Share: share("target share", 200_000), Fixed: amount("target", 100_000),
		},
		Tax: pricing.TaxRule{
			Regime: rapid.SampledFrom(
				[]pricing.Regime{pricing.NoTax, pricing.StandardTax, pricing.MarginScheme},
			).Draw(t, "regime"),
			Rate: share("tax rate", 1_000_000),
		},
		Transport: amount("transport", 50_000),
		Duty: pricing.Portion{
			Share: share("duty share", 300_000), Fixed: amount("duty", 10_000),
		},
		Selling: pricing.Portion{
			Share: share("selling share", 200_000), Fixed: amount("selling", 50_000),
		},
		Work: amount("work", 2_000_000),
		Holding: pricing.Holding{
			AnnualRate: share("annual rate", 1_000_000),
			WorkDays:   rapid.IntRange(0, 3655).Draw(t, "days of work"),
			FloorDays:  rapid.IntRange(0, 3655).Draw(t, "days on the floor"), StoredDays: 365,
			PerDay: amount("per day", 100), WorkShare: share("share of work", 1_000_000),
			PaidAtSale: rapid.IntRange(0, 3).Draw(t, "paid at the sale") == 0,
		},
		Harm: amount("harm", 10_000),
	}
	at := int64(0)
	for range rapid.IntRange(0, 3).Draw(t, "premium bands") {
		in.Premium = append(
			in.Premium,
			pricing.PremiumBand{From: money.FromMinor(at, gbp), Share: share("premium", 1_000_000)},
		)
		at += rapid.Int64Range(1, 1_000_000).Draw(t, "band width")
	}
	at = 0
	for range rapid.IntRange(0, 3).Draw(t, "steps") {
		step := rapid.Int64Range(1, 20_000).Draw(t, "step")
		in.Steps = append(
			in.Steps,
			pricing.BidStep{From: money.FromMinor(at, gbp), Step: money.FromMinor(step, gbp)},
		)
		at += rapid.Int64Range(1, 1_000_000).Draw(t, "step width")
	}
	return in
}

// grid returns all prices on bidding steps up to a limit, written out from the meaning of steps.
func grid(steps []pricing.BidStep, limit int64) []int64 {
	if len(steps) == 0 {
		steps = evenSteps(money.FromMinor(1, gbp))
	}
	var prices []int64
	for i, s := range steps {
		end := limit
		if i+1 < len(steps) {
			end = min(limit, steps[i+1].From.Minor()-1)
		}
		for p := s.From.Minor(); p <= end; p += s.Step.Minor() {
			prices = append(prices, p)
		}
	}
	return prices
}

// The price must be the one that a list of all prices on steps gives, made without the bid's own
// steps.
func TestMaxPriceIsTheLastOfAllPricesOnSteps(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawBid(t)
		if len(in.Steps) == 0 {
			// every penny is a step: keep the grid small
			in.Sale = money.FromMinor(in.Sale.Minor()%20_000, gbp)
		}
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		profit := func(price int64) int64 {
			sums, err := bid.ProfitAt(money.FromMinor(price, gbp))
			if err != nil {
				t.Fatal(err)
			}
			return sums.Profit.Minor()
		}
		prices := grid(in.Steps, in.Sale.Minor()+40_000)
		// Mostly a profit that some price leaves to the penny, so that rounding decides.
		wanted := profit(rapid.SampledFrom(prices).Draw(t, "at")) + rapid.Int64Range(-1, 1).Draw(t, "off")
		if rapid.IntRange(0, 4).Draw(t, "anywhere") == 0 {
			wanted = rapid.Int64Range(-20_000, 200_000).Draw(t, "wanted")
		}
		wanted = max(wanted, profit(in.Sale.Minor()+20_000)) // keeps the answer inside the grid
		keep := sort.Search(len(prices), func(i int) bool { return profit(prices[i]) < wanted })
		got, found := bid.MaxPrice(money.FromMinor(wanted, gbp))
		switch {
		case keep == 0 && found:
			t.Fatalf("found %v, but nothing leaves %d", got, wanted)
		case keep > 0 && (!found || got.Minor() != prices[keep-1]):
			t.Fatalf("found %v %v, want %d", got, found, prices[keep-1])
		}
	})
}

// The exact crossing is just under the start of a new step, where rounding still leaves enough: the
// duty on 1.00 is 0.49 of a penny and rounds to nothing, so 1.00 is affordable, and no multiple of
// the old step lands on it.
func TestANewStepIsReachedFromTheOldOne(t *testing.T) {
	t.Parallel()
	bid := mustBid(t, pricing.BidInput{
		Sale: pounds("1.00"), Tax: pricing.TaxRule{
			Regime: pricing.NoTax,
		}, Duty: pricing.Portion{Share: dec("0.0049")},
		Steps: []pricing.BidStep{
			{From: pounds("0.00"), Step: pounds("0.30")},
			{From: pounds("1.00"), Step: pounds("0.50")},
		},
	})
	if got, found := bid.MaxPrice(pounds("0.00")); !found || got != pounds("1.00") {
		t.Errorf("got %v, %v; want 1.00", got, found)
	}
}

func TestSumsAddUpToTheProfit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		bid, err := pricing.NewBid(drawBid(t))
		if err != nil {
			t.Fatal(err)
		}
		sums, err := bid.ProfitAt(money.FromMinor(rapid.Int64Range(0, 6_000_000).Draw(t, "price"), gbp))
		if err != nil {
			t.Fatal(err)
		}
		total := money.Zero(gbp)
		for i, line := range sums.Lines {
			if line.Item != pricing.ItemSale+pricing.Item(i) {
				t.Fatalf("line %d is %v", i, line.Item)
			}
			if line.Item != pricing.ItemProfit {
				total = total.Add(line.Amount)
			}
		}
		if total != sums.Profit || item(sums, pricing.ItemProfit) != total {
			t.Fatalf(
				"lines add up to %v, profit %v, line %v", total, sums.Profit,
				item(sums, pricing.ItemProfit),
			)
		}
		if due := item(sums, pricing.ItemTax).Neg(); due != sums.Tax.Due {
			t.Fatalf("tax line %v, tax %v", due, sums.Tax.Due)
		}
	})
}

func TestProfitNeverRisesWithThePrice(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		bid, err := pricing.NewBid(drawBid(t))
		if err != nil {
			t.Fatal(err)
		}
		price := rapid.Int64Range(0, 6_000_000).Draw(t, "price")
		before := pricing.Sums{}
		for p := price; p < price+50; p++ {
			sums, err := bid.ProfitAt(money.FromMinor(p, gbp))
			if err != nil {
				t.Fatal(err)
			}
			if p > price && sums.Profit.Cmp(before.Profit) > 0 {
				t.Fatalf("profit rises from %v to %v at %v", before.Profit, sums.Profit, sums.Price)
			}
			before = sums
		}
	})
}

// A dearer sale never lowers the price, more work or more days never raise it. The sale moves by
// whole pounds, because tax, selling cost and target are rounded each, and a penny more of sale can
// raise two of them by a penny.
func TestTargetFollowsSaleWorkAndDays(t *testing.T) {
	t.Parallel()
	target := func(t *rapid.T, in pricing.BidInput) int64 {
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		advice := bid.Advise()
		if advice.Target == nil {
			return -1
		}
		return advice.Target.Price.Minor()
	}
	rapid.Check(t, func(t *rapid.T) {
		in := drawBid(t)
		in.Tax.Rate = in.Tax.Rate.Div(dec("4")).Truncate(6)
		base := target(t, in)
		sale, work, days := in, in, in
		sale.Sale = in.Sale.Add(
			money.FromMinor(100*rapid.Int64Range(1, 10_000).Draw(t, "more sale"), gbp),
		)
		work.Work = in.Work.Add(money.FromMinor(rapid.Int64Range(1, 100_000).Draw(t, "more work"), gbp))
		days.Holding.WorkDays = rapid.IntRange(in.Holding.WorkDays, 3655).Draw(t, "more days")
		if got := target(t, sale); got < base {
			t.Fatalf("sale up, target from %d to %d", base, got)
		}
		if got := target(t, work); got > base {
			t.Fatalf("work up, target from %d to %d", base, got)
		}
		if got := target(t, days); got > base {
			t.Fatalf("days up, target from %d to %d", base, got)
		}
	})
}

// Without rounding 1.00 just breaks even: half a penny of premium and half a penny of duty. Each is
// rounded up to a penny, so the most is 0.99.
func TestRoundedChargesTakeThePriceDown(t *testing.T) {
	t.Parallel()
	bid := mustBid(t, pricing.BidInput{
		Sale: pounds("1.01"), Tax: pricing.TaxRule{Regime: pricing.NoTax},
		Premium: flatPremium(dec("0.005"), gbp), Duty: pricing.Portion{Share: dec("0.005")},
	})
	if got, found := bid.MaxPrice(pounds("0.00")); !found || got != pounds("0.99") {
		t.Errorf("got %v, %v; want 0.99", got, found)
	}
}

func TestMaxPriceAtTheLimits(t *testing.T) {
	t.Parallel()
	most := money.FromMinor(pricing.BidLimit, gbp)
	bid := mustBid(t, pricing.BidInput{
		Sale: most, Tax: margin20(),
		Premium: flatPremium(dec("1"), gbp), Duty: pricing.Portion{Share: dec("1")},
		Holding: pricing.Holding{AnnualRate: dec("1"), WorkDays: 7310}, Steps: evenSteps(most),
	})
	if got, found := bid.MaxPrice(money.FromMinor(-1<<63, gbp)); !found || got != most {
		t.Errorf("any loss accepted: %v, %v; want the limit", got, found)
	}
	if got, found := bid.MaxPrice(money.FromMinor(1<<63-1, gbp)); found {
		t.Errorf("an endless profit was found at %v", got)
	}
}

func BenchmarkMaxPrice(b *testing.B) {
	bid := mustBid(b, exampleInput())
	wanted := pounds("1500.00")
	b.ReportAllocs()
	for b.Loop() {
		if _, found := bid.MaxPrice(wanted); !found {
			b.Fatal("no price")
		}
	}
}

func BenchmarkNewBid(b *testing.B) {
	in := exampleInput()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pricing.NewBid(in); err != nil {
			b.Fatal(err)
		}
	}
}
