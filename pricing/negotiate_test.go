package pricing_test

import (
	"errors"
	"testing"

	"bentside/domain/money"
	"bentside/pricing"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// chances is an amount in doubt, written out: hundredths by amount in minor units.
type chances map[int64]int64

func drawChances(t *rapid.T, label string, most int64) chances {
	left, out := int64(100), chances{}
	for range rapid.IntRange(0, 3).Draw(t, label+" amounts") {
		share := rapid.Int64Range(0, left).Draw(t, label+" share")
		out[rapid.Int64Range(0, most).Draw(t, label)] += share
		left -= share
	}
	out[rapid.Int64Range(0, most).Draw(t, label+" last")] += left
	return out
}

func (c chances) distribution(t interface{ Fatal(...any) }) odds.Distribution {
	parts := make([]odds.Weighted, 0, len(c))
	for amount, share := range c {
		parts = append(parts, odds.Weighted{Weight: decimal.New(share, -2), Of: odds.Certain(money.FromMinor(amount, gbp))})
	}
	d, err := odds.Mixture(parts...)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// lossByHand makes a bid of its own for every pair of sale and work and asks it for its profit.
func lossByHand(t interface{ Fatal(...any) }, in pricing.BidInput, price money.Amount, sale, work chances) decimal.Decimal {
	parts := int64(0)
	for s, p := range sale {
		for w, q := range work {
			in.Sale, in.Work = money.FromMinor(s, gbp), money.FromMinor(w, gbp)
			bid, err := pricing.NewBid(in)
			if err != nil {
				t.Fatal(err)
			}
			sums, err := bid.ProfitAt(price)
			if err != nil {
				t.Fatal(err)
			}
			if sums.Profit.Sign() < 0 {
				parts += p * q
			}
		}
	}
	return decimal.New(parts, -4)
}

// drawSmallCosts draws a bid whose fixed costs leave something of a sale of a few pounds.
func drawSmallCosts(t *rapid.T) pricing.BidInput {
	in := drawBid(t)
	in.Transport, in.Selling.Fixed, in.Duty.Fixed, in.Harm = pounds("0.20"), pounds("0.10"), pounds("0.05"), pounds("0.01")
	in.Holding.PerDay = pounds("0.00")
	return in
}

func TestChanceOfLossEqualsEveryPairOfSaleAndWorkFollowedThrough(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawSmallCosts(t)
		sale, work := drawChances(t, "sale", 1500), drawChances(t, "work", 500) // small, so that each amount is on the grid
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		price := money.FromMinor(rapid.Int64Range(0, 1500).Draw(t, "price"), gbp)
		got, err := bid.ChanceOfLoss(price, pricing.Doubt{Sale: sale.distribution(t), Work: work.distribution(t)})
		if err != nil {
			t.Fatal(err)
		}
		if want := lossByHand(t, in, price, sale, work); !got.Equal(want) {
			t.Fatalf("got %v, by hand %v", got, want)
		}
	})
}

func TestWalkAwayIsTheLastStepWithinTheLimit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawSmallCosts(t)
		d := pricing.Doubt{Sale: drawChances(t, "sale", 2000).distribution(t), Work: drawChances(t, "work", 400).distribution(t)}
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		limit := decimal.New(rapid.Int64Range(0, 9999).Draw(t, "limit"), -4)
		want := int64(-1)
		for _, p := range grid(in.Steps, 2100) { // step by step, from nothing upwards
			chance, err := bid.ChanceOfLoss(money.FromMinor(p, gbp), d)
			if err != nil {
				t.Fatal(err)
			}
			if chance.GreaterThan(limit) {
				break
			}
			want = p
		}
		got, found, err := bid.WalkAway(d, limit)
		if err != nil {
			t.Fatal(err)
		}
		if found != (want >= 0) || found && got.Minor() != want {
			t.Fatalf("got %v %v, step by step %d", got, found, want)
		}
	})
}

// The closed form of the break-even sale must be where a bisection of the profit ends, give or take the pennies by which
// rounding lets the profit go back.
func TestBreakEvenSaleEqualsBisection(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawBid(t)
		in.Tax.Rate = in.Tax.Rate.Div(dec("4")).Truncate(6) // with a fifth for selling, a sale still leaves 0.6 of itself
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		price := money.FromMinor(rapid.Int64Range(0, 6_000_000).Draw(t, "price"), gbp)
		wanted := money.FromMinor(rapid.Int64Range(-10_000, 500_000).Draw(t, "wanted"), gbp)
		got, found, err := bid.MinSale(price, wanted)
		if err != nil || !found {
			t.Fatalf("found nothing: %v", err)
		}
		profit := func(sale int64) money.Amount {
			other := in
			other.Sale = money.FromMinor(sale, gbp)
			bid, err := pricing.NewBid(other)
			if err != nil {
				t.Fatal(err)
			}
			sums, err := bid.ProfitAt(price)
			if err != nil {
				t.Fatal(err)
			}
			return sums.Profit
		}
		if profit(got.Minor()).Cmp(wanted) < 0 {
			t.Fatalf("at %v the profit is %v, wanted %v", got, profit(got.Minor()), wanted)
		}
		low, high := int64(-1), int64(1_000_000_000_000)
		for high-low > 1 {
			if middle := (low + high) / 2; profit(middle).Cmp(wanted) >= 0 {
				high = middle
			} else {
				low = middle
			}
		}
		if off := got.Minor() - high; off > 4 || off < -4 {
			t.Fatalf("got %v, bisected %d", got, high)
		}
	})
}

func TestNoSaleBreaksEvenWhereTaxAndSellingTakeAllOfIt(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	in.Tax, in.Selling = pricing.TaxRule{Regime: pricing.StandardTax, Rate: dec("1")}, pricing.Portion{Share: dec("0.5")}
	if got, found, err := mustBid(t, in).MinSale(pounds("100.00"), pounds("0.00")); found || err != nil {
		t.Errorf("found %v, %v, though half goes to tax and half to selling", got, err)
	}
}

func exampleDoubt(t testing.TB, in pricing.BidInput) pricing.Doubt {
	t.Helper()
	estimate, err := pricing.EstimateScope(exampleScope(), exampleRates())
	if err != nil {
		t.Fatal(err)
	}
	work, err := estimate.Doubt()
	if err != nil {
		t.Fatal(err)
	}
	sale, err := odds.PERT(pounds("7800.00"), in.Sale, pounds("10800.00"))
	if err != nil {
		t.Fatal(err)
	}
	return pricing.Doubt{Sale: sale, Work: work}
}

func TestPricesOfANegotiationStandInOrderAndOnSteps(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	asked := pounds("3975.00")
	bid := mustBid(t, in)
	n, err := bid.Negotiate(exampleDoubt(t, in), dec("0.2"), &asked)
	if err != nil {
		t.Fatal(err)
	}
	if n.Target == nil || n.WalkAway == nil || n.Opening == nil || n.Asked == nil {
		t.Fatalf("a price is missing: %+v", n)
	}
	if n.Opening.Price.Cmp(n.Target.Price) > 0 || n.Opening.Price.Cmp(n.WalkAway.Price) > 0 {
		t.Errorf("opening at %v, above the target %v or the walk-away %v", n.Opening.Price, n.Target.Price, n.WalkAway.Price)
	}
	if n.WalkAway.ChanceOfLoss.GreaterThan(dec("0.2")) || n.Asked.ChanceOfLoss.LessThan(dec("0.2")) {
		t.Errorf("chances of %v at the walk-away and %v at what is asked, with a limit of 0.2", n.WalkAway.ChanceOfLoss, n.Asked.ChanceOfLoss)
	}
	// By hand: 3975 and a quarter for premium, 350 of transport, half of 2418.50: 6528.00 is out for 210 days.
	if n.Asked.TiedUp != pounds("6528.00") {
		t.Errorf("%v is tied up, want 6528.00", n.Asked.TiedUp)
	}
	profit := n.Asked.Profit.Decimal()
	if want := profit.Div(dec("6528")).Div(dec("210").Mul(dec("12")).Div(dec("365"))).Round(4); !n.Asked.PerMonth.Equal(want) {
		t.Errorf("%v a month, want %v", n.Asked.PerMonth, want)
	}
	for _, p := range []*pricing.Prospect{n.Opening, n.Target, n.WalkAway, n.Asked} {
		at := in
		at.Sale = *p.BreakEvenSale
		if sums, err := mustBid(t, at).ProfitAt(p.Price); err != nil || sums.Profit.Sign() < 0 || sums.Profit.Cmp(pounds("0.02")) > 0 {
			t.Errorf("sold at the break-even of %v it leaves %v, %v", p.BreakEvenSale, sums.Profit, err)
		}
		at = in
		at.Work = p.BreakEvenWork
		if sums, err := mustBid(t, at).ProfitAt(p.Price); err != nil || sums.Profit.Sign() < 0 || sums.Profit.Cmp(pounds("0.02")) > 0 {
			t.Errorf("with work at the break-even of %v it leaves %v, %v", p.BreakEvenWork, sums.Profit, err)
		}
	}
}

func TestNegotiatingWithoutDoubtGivesAChanceOfNothingOrOne(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	bid := mustBid(t, in)
	certain := pricing.Doubt{Sale: odds.Certain(in.Sale), Work: odds.Certain(in.Work)}
	n, err := bid.Negotiate(certain, dec("0.2"), nil)
	if err != nil {
		t.Fatal(err)
	}
	even, _ := bid.MaxPrice(pounds("0.00"))
	if n.WalkAway == nil || n.WalkAway.Price != even || n.Asked != nil {
		t.Errorf("without doubt the walk-away is %v, want the break-even %v", n.WalkAway, even)
	}
	if !n.Target.ChanceOfLoss.IsZero() {
		t.Errorf("the target loses with a chance of %v", n.Target.ChanceOfLoss)
	}
}

// A gamble that no price makes good has no walk-away and no opening, whatever the likely figures say.
func TestAGambleHasNoWalkAway(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	bid := mustBid(t, in)
	work, err := odds.Mixture(
		odds.Weighted{Weight: dec("0.7"), Of: odds.Certain(in.Work)}, odds.Weighted{Weight: dec("0.3"), Of: odds.Certain(pounds("30000.00"))})
	if err != nil {
		t.Fatal(err)
	}
	n, err := bid.Negotiate(pricing.Doubt{Sale: odds.Certain(in.Sale), Work: work}, dec("0.2"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if n.Target == nil || n.WalkAway != nil || n.Opening != nil {
		t.Errorf("got target %v, walk-away %v, opening %v; want a target only", n.Target, n.WalkAway, n.Opening)
	}
}

// The scope of the example by hand: the mean is that of each line's three points, and the plank of 0.35 at its whole cost.
func TestTheDoubtOfAnEstimateTakesChanceLinesWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	estimate, err := pricing.EstimateScope(exampleScope(), exampleRates())
	if err != nil {
		t.Fatal(err)
	}
	work, err := estimate.Doubt()
	if err != nil {
		t.Fatal(err)
	}
	hour, bench := dec("24.5").Add(dec("12.333333")), dec("22.75").Add(dec("12.333333"))
	mean := func(low, likely, high decimal.Decimal) decimal.Decimal {
		return decimal.Sum(low, likely.Mul(dec("4")), high).Div(dec("6"))
	}
	restring := mean(hour.Mul(dec("18")).Add(dec("320")), hour.Mul(dec("24")).Add(dec("480")), hour.Mul(dec("36")).Add(dec("750")))
	plank := mean(bench.Mul(dec("24")).Add(dec("120")), bench.Mul(dec("34")).Add(dec("220")), bench.Mul(dec("60")).Add(dec("400")))
	plating := mean(dec("340"), dec("560"), dec("940"))
	want := restring.Add(plank.Mul(dec("0.35"))).Add(plating)
	if off := work.Mean().Decimal().Sub(want).Abs(); off.GreaterThan(dec("0.02")) {
		t.Errorf("mean %v, by hand %v", work.Mean(), want)
	}
	if hours, ok := estimate.HoursAt(estimate.Costs.Total.Likely); !ok || !hours.Equal(estimate.Hours.Likely) {
		t.Errorf("at its likely cost it takes %v hours, want %v", hours, estimate.Hours.Likely)
	}
	// An hour costs (588 + 296 + 270.73 + 146.77)/35.9 on average.
	if hours, ok := estimate.HoursAt(estimate.Costs.Total.Likely.Add(pounds("100.00"))); !ok || !hours.Equal(dec("38.65")) {
		t.Errorf("for 100.00 more it may take %v hours, want 38.65", hours)
	}
}

func TestNegotiationRefusesWhatItCannotReckonWith(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	bid, d := mustBid(t, in), exampleDoubt(t, in)
	var bound *pricing.BoundError
	for _, limit := range []string{"1", "-0.1"} {
		if _, err := bid.Negotiate(d, dec(limit), nil); !errors.As(err, &bound) {
			t.Errorf("limit %s: got %v, want a bound error", limit, err)
		}
	}
	foreign := d
	foreign.Work = odds.Certain(money.FromMinor(1, money.MustCurrency("EUR")))
	var currency *pricing.CurrencyError
	if _, err := bid.Negotiate(foreign, dec("0.2"), nil); !errors.As(err, &currency) {
		t.Errorf("work in another currency: got %v", err)
	}
	below := pounds("-1.00")
	var negative *pricing.NegativeError
	if _, err := bid.Negotiate(d, dec("0.2"), &below); !errors.As(err, &negative) {
		t.Errorf("asked below nothing: got %v", err)
	}
}

func BenchmarkNegotiate(b *testing.B) {
	in := exampleInput()
	bid, d := mustBid(b, in), exampleDoubt(b, in)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := bid.Negotiate(d, dec("0.2"), nil); err != nil {
			b.Fatal(err)
		}
	}
}
