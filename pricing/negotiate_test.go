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
		parts = append(
			parts,
			odds.Weighted{
				Weight: decimal.New(share, -2), Of: odds.Certain(money.FromMinor(amount, gbp)),
			},
		)
	}
	d, err := odds.Mixture(parts...)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// lossByHand makes a bid of its own for every pair of sale and work and asks it for its profit.
func lossByHand(
	t interface{ Fatal(...any) }, in pricing.BidInput, price money.Amount, sale, work chances,
) decimal.Decimal {
	parts := int64(0)
	for s, p := range sale {
		for w, q := range work {
			in.Sale, in.Work, in.Doubt = money.FromMinor(s, gbp), money.FromMinor(w, gbp), nil
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
	in.Transport, in.Selling.Fixed, in.Duty.Fixed, in.Harm = pounds("0.20"), pounds("0.10"),
		pounds("0.05"), pounds("0.01")
	in.Holding.PerDay = pounds("0.00")
	return in
}

func (c chances) doubt(t interface{ Fatal(...any) }, work chances) *pricing.Doubt {
	return &pricing.Doubt{
		Sale: odds.Untied(c.distribution(t)), Work: odds.Untied(work.distribution(t)),
	}
}

func TestChanceOfLossEqualsEveryPairOfSaleAndWorkFollowedThrough(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawSmallCosts(t)
		// small, so that each amount is on the grid
		sale, work := drawChances(t, "sale", 1500), drawChances(t, "work", 500)
		price := money.FromMinor(rapid.Int64Range(0, 1500).Draw(t, "price"), gbp)
		want := lossByHand(t, in, price, sale, work)
		in.Doubt = sale.doubt(t, work)
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		got, err := bid.ChanceBelow(price, pounds("0.00"))
		if err != nil {
			t.Fatal(err)
		}
		if !got.Equal(want) {
			t.Fatalf("got %v, by hand %v", got, want)
		}
	})
}

func TestWalkAwayIsTheLastStepWithinTheLimit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawSmallCosts(t)
		in.Doubt = drawChances(t, "sale", 2000).doubt(t, drawChances(t, "work", 400))
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		limit := decimal.New(rapid.Int64Range(0, 9999).Draw(t, "limit"), -4)
		want := int64(-1)
		for _, p := range grid(in.Steps, 2100) { // step by step, from nothing upwards
			chance, err := bid.ChanceBelow(money.FromMinor(p, gbp), pounds("0.00"))
			if err != nil {
				t.Fatal(err)
			}
			if chance.GreaterThan(limit) {
				break
			}
			want = p
		}
		got, found, err := bid.LastWithin(limit, pounds("0.00"))
		if err != nil {
			t.Fatal(err)
		}
		if found != (want >= 0) || found && got.Minor() != want && want < 2000 {
			t.Fatalf("got %v %v, step by step %d", got, found, want)
		}
	})
}

// The break-even sale must be where a bisection of the profit ends, give or take the pennies by
// which rounding lets the profit go back.
func TestBreakEvenSaleEqualsBisection(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawBid(t)
		// with a fifth for selling, a sale still leaves 0.6 of itself
		in.Tax.Rate = in.Tax.Rate.Div(dec("4")).Truncate(6)
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		price := money.FromMinor(rapid.Int64Range(0, 6_000_000).Draw(t, "price"), gbp)
		n, err := bid.Negotiate(pricing.Table{Asked: &price})
		if err != nil || n.Asked.BreakEvenSale == nil {
			t.Fatalf("found nothing: %v", err)
		}
		got := *n.Asked.BreakEvenSale
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
		if left := profit(got.Minor()); left.Sign() < 0 {
			t.Fatalf("at %v the profit is %v", got, left)
		}
		low, high := int64(-1), int64(1_000_000_000_000)
		for high-low > 1 {
			if middle := (low + high) / 2; profit(middle).Sign() >= 0 {
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
	in, price := exampleInput(), pounds("100.00")
	in.Tax, in.Selling = pricing.TaxRule{
		Regime: pricing.StandardTax, Rate: dec("1"),
	}, pricing.Portion{Share: dec("0.5")}
	n, err := mustBid(t, in).Negotiate(pricing.Table{Asked: &price})
	if err != nil || n.Asked.BreakEvenSale != nil {
		t.Errorf("found %v, %v, though half goes to tax and half to selling",
			n.Asked.BreakEvenSale, err)
	}
}

// exampleDoubt gives the example a sale from 7,800 to 10,800 and its own work, with everything that
// goes together.
func exampleDoubt(t testing.TB) pricing.BidInput {
	t.Helper()
	estimate, err := pricing.EstimateScope(
		exampleScope(), exampleRates(), odds.Together{JobSD: 0.15, GroupSD: 0.15},
	)
	if err != nil {
		t.Fatal(err)
	}
	sale, err := odds.PERT(pounds("7800.00"), pounds("9600.00"), pounds("10800.00"))
	if err != nil {
		t.Fatal(err)
	}
	in := exampleInput()
	in.Sale, in.Work = sale.Mean(), estimate.Costs.Total.Expected
	in.Doubt = &pricing.Doubt{Sale: odds.Tie(sale, 0.3), Work: estimate.Work()}
	return in
}

// By hand, 3975 being asked: a quarter more for premium, 350 of transport, and of the work of
// 2,418.50 a half for 150 days and all of it for 60 are out on average for 210 days.
func TestAskedPriceIsFollowedThroughToWhatItTiesUpAndEarns(t *testing.T) {
	t.Parallel()
	in, asked := exampleInput(), pounds("3975.00")
	n, err := mustBid(t, in).Negotiate(pricing.Table{LossLimit: dec("0.2"), Asked: &asked})
	if err != nil {
		t.Fatal(err)
	}
	if n.Asked.TiedUp != pounds("6873.50") {
		t.Errorf("%v is tied up, want 6873.50", n.Asked.TiedUp)
	}
	profit := n.Asked.Profit.Decimal()
	if want := profit.Div(dec("6873.5")).Div(
		dec("210").Mul(dec("12")).Div(dec("365")),
	).Round(4); !n.Asked.PerMonth.Equal(want) {
		t.Errorf("%v a month, want %v", n.Asked.PerMonth, want)
	}
	for _, p := range []*pricing.Prospect{n.Opening, n.Aim, n.WalkAway, n.Asked} {
		at := in
		at.Sale = *p.BreakEvenSale
		if sums, err := mustBid(t, at).ProfitAt(p.Price); err != nil || sums.Profit.Sign() < 0 ||
			sums.Profit.Cmp(pounds("0.02")) > 0 {
			t.Errorf("sold at the break-even of %v it leaves %v, %v", p.BreakEvenSale, sums.Profit, err)
		}
		at = in
		at.Work = p.BreakEvenWork
		if sums, err := mustBid(t, at).ProfitAt(p.Price); err != nil || sums.Profit.Sign() < 0 ||
			sums.Profit.Cmp(pounds("0.02")) > 0 {
			t.Errorf(
				"with work at the break-even of %v it leaves %v, %v", p.BreakEvenWork, sums.Profit,
				err,
			)
		}
	}
}

// drawDoubtfulBid draws a bid with a sale and a work that go along with the wear.
func drawDoubtfulBid(t *rapid.T) pricing.BidInput {
	in := drawBid(t)
	low := rapid.Int64Range(0, 2_500_000).Draw(t, "sale low")
	likely := low + rapid.Int64Range(0, 500_000).Draw(t, "sale likely")
	high := likely + rapid.Int64Range(0, 500_000).Draw(t, "sale high")
	sale, err := odds.PERT(
		money.FromMinor(low, gbp), money.FromMinor(likely, gbp), money.FromMinor(high, gbp),
	)
	if err != nil {
		t.Fatal(err)
	}
	e, err := pricing.EstimateScope(drawLines(t), rates(), odds.Together{
		JobSD:   rapid.Float64Range(0, 0.4).Draw(t, "job"),
		GroupSD: rapid.Float64Range(0, 0.4).Draw(t, "group"),
	})
	if err != nil {
		t.Fatal(err)
	}
	in.Sale, in.Work = sale.Mean(), e.Costs.Total.Expected
	in.Doubt = &pricing.Doubt{
		Sale: odds.Tie(sale, rapid.Float64Range(0, 0.9).Draw(t, "loading")), Work: e.Work(),
	}
	return in
}

func TestPricesOfANegotiationStandInOrderForAnyPiano(t *testing.T) {
	t.Parallel()
	seen := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		in := drawDoubtfulBid(t)
		bid, err := pricing.NewBid(in)
		if err != nil {
			t.Fatal(err)
		}
		table := pricing.Table{
			LossLimit:  decimal.New(rapid.Int64Range(0, 60).Draw(t, "limit"), -2),
			Confidence: decimal.New(rapid.Int64Range(0, 80).Draw(t, "confidence"), -2),
			Room:       decimal.New(rapid.Int64Range(0, 40).Draw(t, "room"), -2),
			Sealed:     rapid.IntRange(0, 3).Draw(t, "sealed") == 0,
		}
		if rapid.Bool().Draw(t, "asked") {
			asked := money.FromMinor(rapid.Int64Range(0, 1_500_000).Draw(t, "ask"), gbp)
			table.Asked = &asked
		}
		n, err := bid.Negotiate(table)
		if err != nil {
			t.Fatal(err)
		}
		if n.WalkAway == nil && n.Aim != nil {
			t.Fatalf("an aim of %v without a walk-away price", n.Aim.Price)
		}
		if n.Aim == nil {
			if n.Opening != nil || n.PayAtMost != nil {
				t.Fatalf("an opening or a most without an aim: %+v", n)
			}
			seen["leave it"]++
			return
		}
		seen[string(n.Bound)]++
		wanted := bid.Advise().TargetProfit
		switch {
		case n.Aim.Price.Cmp(n.WalkAway.Price) > 0:
			t.Fatalf("aim %v above walk-away %v", n.Aim.Price, n.WalkAway.Price)
		case n.Aim.Profit.Cmp(wanted) < 0:
			t.Fatalf("the aim leaves %v on average, wanted %v", n.Aim.Profit, wanted)
		case n.WalkAway.ChanceOfLoss.GreaterThan(table.LossLimit):
			t.Fatalf("at the walk-away a loss has %v", n.WalkAway.ChanceOfLoss)
		case n.Aim.ChanceOfWanted.LessThan(table.Confidence):
			t.Fatalf("the aim leaves what is wanted with %v only", n.Aim.ChanceOfWanted)
		case (n.UnboundAim != nil) != (n.Bound != pricing.Unbound) ||
			n.UnboundAim != nil && n.UnboundAim.Cmp(n.Aim.Price) <= 0:
			t.Fatalf("bound by %q: %v, unbound %v", n.Bound, n.Aim.Price, n.UnboundAim)
		case table.Sealed:
			if n.Opening != nil || n.PayAtMost != nil {
				t.Fatalf("haggling at an auction: %+v", n)
			}
			return
		case n.PayAtMost.Cmp(n.Aim.Price) > 0 ||
			table.Asked != nil && n.PayAtMost.Cmp(*table.Asked) > 0:
			t.Fatalf("pay %v at most, aim %v, asked %v", n.PayAtMost, n.Aim.Price, table.Asked)
		}
		if n.Opening == nil {
			return
		}
		off := n.PayAtMost.Decimal().Mul(table.Room).Sub(dec("0.01"))
		if n.Opening.Price.Cmp(*n.PayAtMost) >= 0 ||
			n.PayAtMost.Decimal().Sub(n.Opening.Price.Decimal()).LessThan(off) {
			t.Fatalf("opens at %v, pays %v at most, room %v", n.Opening.Price, n.PayAtMost, table.Room)
		}
	})
	t.Logf("%v", seen)
	if left := seen["leave it"]; !testing.Short() && (left == 0 || len(seen) == 1) {
		t.Errorf("every negotiation ends alike: %v", seen)
	}
}

// The aim is the highest step whose profit, averaged over draws of sale and work, is the wanted
// one. The tax on an expected margin differs from the expected tax on it, since a loss gives no
// credit: 300 draws of sale that straddle the price, followed through one by one, agree to the
// pound.
func TestAimRestsOnTheAverageOfWhatMayHappen(t *testing.T) {
	t.Parallel()
	sale, work := chances{800_000: 25, 200_000: 25, 500_000: 50}, chances{30_000: 60, 90_000: 40}
	in := exampleInput()
	in.Target, in.Steps = pricing.Portion{Fixed: pounds("500.00")}, evenSteps(pounds("10.00"))
	in.Sale, in.Work = pounds("5000.00"), pounds("540.00")
	in.Doubt = sale.doubt(t, work)
	bid := mustBid(t, in)
	n, err := bid.Negotiate(pricing.Table{LossLimit: dec("0.9")})
	if err != nil {
		t.Fatal(err)
	}
	average := func(price money.Amount) decimal.Decimal {
		sum := decimal.Zero
		for s, p := range sale {
			for w, q := range work {
				one := in
				one.Sale, one.Work, one.Doubt = money.FromMinor(s, gbp), money.FromMinor(w, gbp), nil
				sums, err := mustBid(t, one).ProfitAt(price)
				if err != nil {
					t.Fatal(err)
				}
				sum = sum.Add(sums.Profit.Decimal().Mul(decimal.New(p*q, -4)))
			}
		}
		return sum
	}
	at, above := average(n.Aim.Price), average(n.Aim.Price.Add(pounds("10.00")))
	if at.LessThan(dec("499")) || above.GreaterThan(dec("501")) {
		t.Errorf("the aim of %v leaves %v on average, a step more %v; wanted 500",
			n.Aim.Price, at, above)
	}
	if off := n.Aim.Profit.Decimal().Sub(at).Abs(); off.GreaterThan(dec("1")) {
		t.Errorf("its sums say %v, the average is %v", n.Aim.Profit, at)
	}
}

func TestNegotiatingWithoutDoubtGivesAChanceOfNothingOrOne(t *testing.T) {
	t.Parallel()
	bid := mustBid(t, exampleInput())
	n, err := bid.Negotiate(pricing.Table{LossLimit: dec("0.2")})
	if err != nil {
		t.Fatal(err)
	}
	even, _ := bid.MaxPrice(pounds("0.00"))
	if n.WalkAway == nil || n.WalkAway.Price != even || n.Asked != nil {
		t.Errorf("without doubt the walk-away is %v, want the break-even %v", n.WalkAway, even)
	}
	if !n.Aim.ChanceOfLoss.IsZero() || !n.Aim.ChanceOfWanted.Equal(dec("1")) {
		t.Errorf("the aim loses with a chance of %v", n.Aim.ChanceOfLoss)
	}
}

// A gamble that no price makes good has no walk-away, no aim and no opening, whatever it leaves on
// average.
func TestAGambleHasNoPriceToAimFor(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	in.Doubt = chances{960_000: 100}.doubt(t, chances{100_000: 70, 1_200_000: 30})
	in.Work = pounds("4300.00")
	n, err := mustBid(t, in).Negotiate(pricing.Table{LossLimit: dec("0.2")})
	if err != nil {
		t.Fatal(err)
	}
	if n.Aim != nil || n.WalkAway != nil || n.Opening != nil || n.PayAtMost != nil {
		t.Errorf("got %+v, want no price", n)
	}
}

// A piano that pays on average and loses often is worth less than it pays: the aim comes down to
// the walk-away price and says so.
func TestARiskyPianoIsBoundByItsRisk(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	in.Doubt = chances{600_000: 30, 1_114_300: 70}.doubt(t, chances{241_850: 100})
	n, err := mustBid(t, in).Negotiate(pricing.Table{LossLimit: dec("0.2"), Room: dec("0.1")})
	if err != nil {
		t.Fatal(err)
	}
	if n.Bound != pricing.BoundByRisk || n.Aim.Price != n.WalkAway.Price ||
		n.UnboundAim.Cmp(n.Aim.Price) <= 0 {
		t.Errorf("bound by %q at %v, unbound %v", n.Bound, n.Aim.Price, n.UnboundAim)
	}
	// Steps of 50: a tenth below the aim, and down to the next step.
	want := n.Aim.Price.Decimal().Mul(dec("0.9")).Div(dec("50")).Floor().Mul(dec("50"))
	if !n.Opening.Price.Decimal().Equal(want) {
		t.Errorf("opens at %v, want %v", n.Opening.Price, want)
	}
}

// Who asks to be surer of what is wanted than the average makes him pays less than the average
// allows.
func TestAWantedConfidenceLowersTheAim(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	in.Doubt = chances{1_000_000: 50, 1_114_300: 50}.doubt(t, chances{241_850: 100})
	n, err := mustBid(t, in).Negotiate(
		pricing.Table{LossLimit: dec("0.2"), Confidence: dec("0.8")},
	)
	if err != nil {
		t.Fatal(err)
	}
	if n.Bound != pricing.BoundByConfidence || n.UnboundAim.Cmp(n.Aim.Price) <= 0 ||
		n.Aim.ChanceOfWanted.LessThan(dec("0.8")) {
		t.Errorf("bound by %q at %v, unbound %v", n.Bound, n.Aim.Price, n.UnboundAim)
	}
}

func TestAnAskBelowTheWorthIsNotOverbid(t *testing.T) {
	t.Parallel()
	asked := pounds("1000.00")
	n, err := mustBid(t, exampleDoubt(t)).Negotiate(
		pricing.Table{LossLimit: dec("0.2"), Asked: &asked, Room: dec("0.1")},
	)
	if err != nil {
		t.Fatal(err)
	}
	if *n.PayAtMost != asked || n.Opening.Price != pounds("900.00") ||
		n.AboveWanted == nil || n.Aim.Price.Cmp(asked) <= 0 {
		t.Errorf("pays %v at most, opens at %v, aims at %v", n.PayAtMost, n.Opening.Price, n.Aim.Price)
	}
	want := n.Asked.Profit.Sub(pounds("1500.00"))
	if *n.AboveWanted != want {
		t.Errorf("leaves %v above what is wanted, want %v", n.AboveWanted, want)
	}
	lowest := pounds("50.00")
	n, err = mustBid(t, exampleDoubt(t)).Negotiate(
		pricing.Table{LossLimit: dec("0.2"), Asked: &lowest, Room: dec("0.1")},
	)
	if err != nil || n.Opening != nil {
		t.Errorf("below the lowest step it opens at %v, %v", n.Opening, err)
	}
}

// The scope of the example by hand: the mean is that of each line's three points, and the plank of
// 0.35 at its whole cost.
func TestExpectedWorkIsTheMeanOfEachLinesThreePoints(t *testing.T) {
	t.Parallel()
	estimate, err := pricing.EstimateScope(
		exampleScope(), exampleRates(), odds.Together{JobSD: 0.15, GroupSD: 0.15},
	)
	if err != nil {
		t.Fatal(err)
	}
	hour, bench := dec("24.5").Add(dec("12.333333")), dec("22.75").Add(dec("12.333333"))
	mean := func(low, likely, high decimal.Decimal) decimal.Decimal {
		return decimal.Sum(low, likely.Mul(dec("4")), high).Div(dec("6"))
	}
	restring := mean(
		hour.Mul(dec("18")).Add(dec("320")), hour.Mul(dec("24")).Add(dec("480")),
		hour.Mul(dec("36")).Add(dec("750")),
	)
	plank := mean(
		bench.Mul(dec("24")).Add(dec("120")), bench.Mul(dec("34")).Add(dec("220")),
		bench.Mul(dec("60")).Add(dec("400")),
	)
	plating := mean(dec("340"), dec("560"), dec("940"))
	want := restring.Add(plank.Mul(dec("0.35"))).Add(plating)
	for name, got := range map[string]money.Amount{
		"lines": estimate.Costs.Total.Expected, "distribution": estimate.Work().Overall().Mean(),
	} {
		if off := got.Decimal().Sub(want).Abs(); off.GreaterThan(dec("0.5")) {
			t.Errorf("%s: mean %v, by hand %v", name, got, want)
		}
	}
	if hours, ok := estimate.HoursAt(estimate.Costs.Total.Expected); !ok ||
		!hours.Equal(estimate.Hours.Expected.RoundFloor(2)) {
		t.Errorf("at its expected cost it takes %v hours, want %v", hours, estimate.Hours.Expected)
	}
	low, high := estimate.Costs.Total.Low, estimate.Costs.Total.High
	d := estimate.Work().Overall()
	if d.Exceeds(high).GreaterThan(dec("0.1")) || d.Exceeds(low).GreaterThan(dec("0.9")) {
		t.Errorf("beyond %v in %v of cases, beyond %v in %v", low, d.Exceeds(low), high,
			d.Exceeds(high))
	}
}

func TestNegotiationRefusesWhatItCannotReckonWith(t *testing.T) {
	t.Parallel()
	in := exampleDoubt(t)
	bid := mustBid(t, in)
	var bound *pricing.BoundError
	for _, limit := range []string{"1", "-0.1"} {
		if _, err := bid.Negotiate(pricing.Table{LossLimit: dec(limit)}); !errors.As(err, &bound) {
			t.Errorf("limit %s: got %v, want a bound error", limit, err)
		}
	}
	if _, err := bid.Negotiate(pricing.Table{Room: dec("1.1")}); !errors.As(err, &bound) {
		t.Errorf("a room above all of it: got %v, want a bound error", err)
	}
	foreign := *in.Doubt
	foreign.Work = odds.Untied(odds.Certain(money.FromMinor(1, money.MustCurrency("EUR"))))
	in.Doubt = &foreign
	var currency *pricing.CurrencyError
	if _, err := pricing.NewBid(in); !errors.As(err, &currency) {
		t.Errorf("work in another currency: got %v", err)
	}
	below := pounds("-1.00")
	var negative *pricing.NegativeError
	if _, err := bid.Negotiate(pricing.Table{Asked: &below}); !errors.As(err, &negative) {
		t.Errorf("asked below nothing: got %v", err)
	}
}

func BenchmarkNegotiate(b *testing.B) {
	bid := mustBid(b, exampleDoubt(b))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := bid.Negotiate(pricing.Table{LossLimit: dec("0.2")}); err != nil {
			b.Fatal(err)
		}
	}
}
