package pricing_test

import (
	"errors"
	"testing"

	"bentside/pricing"
	"bentside/pricing/money"
)

func mustBid(t testing.TB, in pricing.BidInput) pricing.Bid {
	t.Helper()
	bid, err := pricing.NewBid(in)
	if err != nil {
		t.Fatal(err)
	}
	return bid
}

// The maximum bid for a stock piano, derived and worked out by hand from a residual formula; the
// second row has interest at 8 % for a year and a half, which is 12 % for 365 days. In the last the
// purchase has an invoice with tax that is reclaimed, so the price is net.
func TestMaximumBid(t *testing.T) {
	t.Parallel()
	penny := evenSteps(pounds("0.01"))
	standard := pricing.TaxRule{Regime: pricing.StandardTax, Rate: dec("0.20")}
	for _, c := range []struct {
		name, premium, held string
		tax                 pricing.TaxRule
		holding             pricing.Holding
		hammer, paid        string
	}{
		{
			"margin scheme, fixed holding", "0.25", "150.00", margin20(),
			pricing.Holding{},
			"2747.52", "3434.40",
		},
		{
			"margin scheme, interest", "0.25", "0.00", margin20(),
			pricing.Holding{AnnualRate: dec("0.12"), WorkDays: 365},
			"2527.55", "3159.44",
		},
		{"tax on the whole", "0", "150.00", standard, pricing.Holding{}, "2862.00", "2862.00"},
	} {
		// What is held is given as room for one day, which has no interest.
		if c.holding.Days() == 0 {
			c.holding = pricing.Holding{PerDay: pounds(c.held), StoredDays: 1}
		}
		advice := mustBid(t, pricing.BidInput{
			Sale: pounds("9600.00"), Target: pricing.Portion{Fixed: pounds("1500.00")}, Tax: c.tax,
			Premium: flatPremium(dec(c.premium), gbp), Selling: pricing.Portion{Share: dec("0.03")},
			Work: pounds("3200.00"), Holding: c.holding, Steps: penny,
		}).Advise()
		if advice.Target == nil {
			t.Errorf("%s: leave it, %v", c.name, advice.Reason)
			continue
		}
		paid := advice.Target.Price.Sub(item(*advice.Target, pricing.ItemPremium))
		if advice.Target.Price != pounds(c.hammer) || paid != pounds(c.paid) {
			t.Errorf(
				"%s: hammer %v, paid %v; want %s, %s", c.name, advice.Target.Price, paid, c.hammer,
				c.paid,
			)
		}
	}
}

func item(s pricing.Sums, i pricing.Item) money.Amount { return s.Lines[i-pricing.ItemSale].Amount }

// The back-check of the first row above, line by line: 1500.00 is left.
func TestSumsOfTheMaximumBid(t *testing.T) {
	t.Parallel()
	bid := mustBid(t, pricing.BidInput{
		Sale: pounds("9600.00"), Tax: margin20(), Premium: flatPremium(dec("0.25"), gbp),
		Selling: pricing.Portion{Share: dec("0.03")}, Work: pounds("3200.00"),
		Holding: pricing.Holding{PerDay: pounds("150.00"), StoredDays: 1},
	})
	got, err := bid.ProfitAt(pounds("2747.52"))
	if err != nil {
		t.Fatal(err)
	}
	want := map[pricing.Item]string{
		pricing.ItemSale: "9600.00", pricing.ItemTax: "-1027.60", pricing.ItemSelling: "-288.00",
		pricing.ItemPrice: "-2747.52", pricing.ItemPremium: "-686.88", pricing.ItemTransport: "0.00",
		pricing.ItemDuty: "0.00", pricing.ItemWork: "-3200.00", pricing.ItemFinance: "0.00",
		pricing.ItemWorkFinance: "0.00", pricing.ItemStorage: "-150.00", pricing.ItemHarm: "0.00",
		pricing.ItemProfit: "1500.00",
	}
	if len(got.Lines) != len(want) {
		t.Errorf("%d lines, want %d", len(got.Lines), len(want))
	}
	for _, line := range got.Lines {
		if line.Amount != pounds(want[line.Item]) {
			t.Errorf("%v: %v, want %s", line.Item, line.Amount, want[line.Item])
		}
	}
}

// The end-to-end costing case S-1 (worked out by hand): hammer 4000 and premium 800, carriage
// 161.29, work 3468.00, sold at 9600.00: tax 800.00, gross profit 370.71. With the work in the
// margin the tax would be 195.12.
func TestProfitOfTheEndToEndCase(t *testing.T) {
	t.Parallel()
	got, err := mustBid(t, pricing.BidInput{
		Sale: pounds("9600.00"), Tax: margin20(), Premium: flatPremium(dec("0.20"), gbp),
		Transport: pounds("161.29"), Work: pounds("3468.00"),
	}).ProfitAt(pounds("4000.00"))
	if err != nil || got.Profit != pounds("370.71") || got.Tax.Due != pounds("800.00") {
		t.Errorf("profit %v, tax %v, %v; want 370.71 and 800.00", got.Profit, got.Tax.Due, err)
	}
}

// Three published residual sums with no tax in them: a target cost (price 400, margin 25 % of it:
// 300; wizedu.com), a residual valuation (an appraisal text at australiaassignments.com, example
// 3.3: 6 584 106) and the land under a development with profit as a share of cost (assesr.com: 427
// 333).
func TestPublishedResiduals(t *testing.T) {
	t.Parallel()
	third := pounds("2800000.00").Sub(must(pounds("2800000.00").MulRatio(10, 12, money.HalfUp)))
	for _, c := range []struct {
		name, sale, work string
		target           pricing.Portion
		want             string
	}{
		{"target cost", "400.00", "0.00", pricing.Portion{Share: dec("0.25")}, "300.00"},
		{
			"residual valuation", "17532388.00", "9123568.00",
			pricing.Portion{Fixed: pounds("1824714.00")},
			"6584106.00",
		},
		{"land", "2800000.00", "1906000.00", pricing.Portion{Fixed: third}, "427333.00"},
	} {
		advice := mustBid(t, pricing.BidInput{
			Sale: pounds(c.sale), Work: pounds(c.work), Target: c.target, Tax: pricing.TaxRule{
				Regime: pricing.NoTax,
			},
			Steps: evenSteps(pounds("1.00")),
		}).Advise()
		if advice.Target == nil || advice.Target.Price != pounds(c.want) {
			t.Errorf("%s: %+v, want %s", c.name, advice.Target, c.want)
		}
	}
}

func must(a money.Amount, err error) money.Amount {
	if err != nil {
		panic(err)
	}
	return a
}

func TestHoldingRunsOnPriceAndPremiumAndOnWorkOnlyWhenAsked(t *testing.T) {
	t.Parallel()
	in := pricing.BidInput{
		Sale: pounds("20000.00"), Tax: pricing.TaxRule{
			Regime: pricing.NoTax,
		}, Premium: flatPremium(dec("0.25"), gbp),
		Transport: pounds("400.00"), Work: pounds("8000.00"),
		Holding: pricing.Holding{AnnualRate: dec("0.08"), WorkDays: 146, PerDay: pounds("1.50"), StoredDays: 146},
	}
	for _, c := range []struct {
		share, ofWork, profit string
	}{
		{"0", "0.00", "6221.00"},
		{"0.5", "-128.00", "6093.00"},
		{"1", "-256.00", "5965.00"},
	} {
		in.Holding.WorkShare = dec(c.share)
		got, err := mustBid(t, in).ProfitAt(pounds("4000.00"))
		if err != nil {
			t.Fatal(err)
		}
		// 5000 × 0.08 × 146/365 = 160; 146 days at 1.50 = 219.
		for i, want := range map[pricing.Item]string{
			pricing.ItemFinance: "-160.00", pricing.ItemStorage: "-219.00",
			pricing.ItemWorkFinance: c.ofWork, pricing.ItemProfit: c.profit,
		} {
			if item(got, i) != pounds(want) {
				t.Errorf("share %s, %v: %v, want %s", c.share, i, item(got, i), want)
			}
		}
	}
}

func TestDutySellingAndTargetAreSharesAndFixedAmounts(t *testing.T) {
	t.Parallel()
	bid := mustBid(t, pricing.BidInput{
		Sale: pounds("10000.00"), Tax: pricing.TaxRule{Regime: pricing.NoTax},
		Target:  pricing.Portion{Share: dec("0.10"), Fixed: pounds("500.00")},
		Duty:    pricing.Portion{Share: dec("0.025"), Fixed: pounds("35.00")},
		Selling: pricing.Portion{Share: dec("0.05"), Fixed: pounds("350.00")},
		Harm:    pounds("200.00"),
	})
	got, err := bid.ProfitAt(pounds("4000.00"))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range map[pricing.Item]string{
		pricing.ItemDuty: "-135.00", pricing.ItemSelling: "-850.00", pricing.ItemHarm: "-200.00",
		pricing.ItemProfit: "4815.00",
	} {
		if item(got, i) != pounds(want) {
			t.Errorf("%v: %v, want %s", i, item(got, i), want)
		}
	}
	if advice := bid.Advise(); advice.TargetProfit != pounds("1500.00") {
		t.Errorf("target %v, want 1500.00", advice.TargetProfit)
	}
}

func TestPremiumByBands(t *testing.T) {
	t.Parallel()
	bid := mustBid(t, pricing.BidInput{
		Sale: pounds("100000.00"), Tax: pricing.TaxRule{Regime: pricing.NoTax},
		Premium: []pricing.PremiumBand{
			{From: pounds("0.00"), Share: dec("0.25")},
			{From: pounds("2000.00"), Share: dec("0.20")},
			{From: pounds("10000.00"), Share: dec("0.12")},
		},
	})
	for price, want := range map[string]string{
		"0.00": "0.00", "0.01": "0.00", "0.02": "-0.01", "1000.00": "-250.00", "2000.00": "-500.00",
		"2000.05": "-500.01", "5000.00": "-1100.00", "10000.00": "-2100.00", "20000.00": "-3300.00",
	} {
		got, err := bid.ProfitAt(pounds(price))
		if err != nil || item(got, pricing.ItemPremium) != pounds(want) {
			t.Errorf("premium on %s: %v, %v; want %s", price, item(got, pricing.ItemPremium), err, want)
		}
	}
}

func TestTargetIsOnABiddingStep(t *testing.T) {
	t.Parallel()
	in := pricing.BidInput{
		Tax: pricing.TaxRule{Regime: pricing.NoTax},
		Steps: []pricing.BidStep{
			{From: pounds("0.00"), Step: pounds("20.00")},
			{From: pounds("1010.00"), Step: pounds("50.00")},
			{From: pounds("2000.00"), Step: pounds("100.00")},
		},
	}
	for sale, want := range map[string]string{
		"0.00": "0.00", "19.99": "0.00", "20.00": "20.00", "1009.99": "1000.00", "1010.00": "1010.00",
		"1059.99": "1010.00", "1060.00": "1060.00", "1999.99": "1960.00", "2000.00": "2000.00",
		"2199.00": "2100.00",
	} {
		in.Sale = pounds(sale)
		advice := mustBid(t, in).Advise()
		if advice.Target == nil || advice.Target.Price != pounds(want) {
			t.Errorf("worth %s: %+v, want %s", sale, advice.Target, want)
		}
	}
}

func TestBidRefuses(t *testing.T) {
	t.Parallel()
	var (
		bound    *pricing.BoundError
		order    *pricing.OrderError
		negative *pricing.NegativeError
		currency *pricing.CurrencyError
		value    *pricing.ValueError
		yen      = money.MustParse("1 JPY")
		minus    = pounds("-0.01")
		beyond   = money.FromMinor(pricing.BidLimit+1, gbp)
	)
	for name, c := range map[string]struct {
		change func(*pricing.BidInput)
		want   any
	}{
		"no sale": {
			func(in *pricing.BidInput) { in.Sale = money.Amount{} }, &currency,
		},
		"sale below nothing":    {func(in *pricing.BidInput) { in.Sale = minus }, &negative},
		"sale beyond the limit": {func(in *pricing.BidInput) { in.Sale = beyond }, &bound},
		"target in yen":         {func(in *pricing.BidInput) { in.Target.Fixed = yen }, &currency},
		"target below nothing": {
			func(in *pricing.BidInput) { in.Target.Fixed = minus }, &negative,
		},
		"target above the sale": {
			func(in *pricing.BidInput) { in.Target.Share = dec("1.1") }, &bound,
		},
		"no regime":       {func(in *pricing.BidInput) { in.Tax.Regime = 0 }, &bound},
		"tax above 100 %": {func(in *pricing.BidInput) { in.Tax.Rate = dec("1.01") }, &bound},
		"premium above 100 %": {
			func(in *pricing.BidInput) { in.Premium = flatPremium(dec("25"), gbp) }, &bound,
		},
		"premium in yen": {
			func(in *pricing.BidInput) { in.Premium = flatPremium(dec("0.25"), jpy) },
			&currency,
		},
		"premium from above 0": {
			func(in *pricing.BidInput) {
				in.Premium = []pricing.PremiumBand{{From: pounds("1.00")}}
			},
			&bound,
		},
		"premium bands that fall": {func(in *pricing.BidInput) {
			in.Premium = append(
				flatPremium(dec("0"), gbp), flatPremium(dec("0"), gbp)...,
			)
		}, &order},
		"premium of 7 decimals": {
			func(in *pricing.BidInput) { in.Premium = flatPremium(dec("0.1234567"), gbp) },
			&value,
		},
		"transport below nothing": {
			func(in *pricing.BidInput) { in.Transport = minus }, &negative,
		},
		"duty above 100 %": {
			func(in *pricing.BidInput) { in.Duty.Share = dec("2") }, &bound,
		},
		"selling below nothing": {
			func(in *pricing.BidInput) { in.Selling.Share = dec("-0.1") }, &bound,
		},
		"work in yen": {func(in *pricing.BidInput) { in.Work = yen }, &currency},
		"rate above 100 %": {
			func(in *pricing.BidInput) { in.Holding.AnnualRate = dec("8") }, &bound,
		},
		"share of work above 1": {
			func(in *pricing.BidInput) { in.Holding.WorkShare = dec("1.5") }, &bound,
		},
		"days below nothing": {func(in *pricing.BidInput) { in.Holding.WorkDays = -1 }, &bound},
		"days beyond twenty years": {
			func(in *pricing.BidInput) { in.Holding.WorkDays, in.Holding.FloorDays = 7310, 1 }, &bound,
		},
		"room beyond an amount": {func(in *pricing.BidInput) {
			in.Holding.StoredDays, in.Holding.PerDay = 7310, money.FromMinor(pricing.BidLimit, gbp)
		}, &value},
		"harm below nothing": {func(in *pricing.BidInput) { in.Harm = minus }, &negative},
		"a step of nothing": {
			func(in *pricing.BidInput) { in.Steps = evenSteps(pounds("0.00")) }, &bound,
		},
		"a step below nothing": {
			func(in *pricing.BidInput) { in.Steps = evenSteps(minus) }, &negative,
		},
		"steps that do not rise": {func(in *pricing.BidInput) {
			in.Steps = append(
				evenSteps(pounds("1.00")), evenSteps(pounds("2.00"))...,
			)
		}, &order},
	} {
		in := pricing.BidInput{Sale: pounds("9600.00"), Tax: margin20()}
		c.change(&in)
		if _, err := pricing.NewBid(in); err == nil || !errors.As(err, c.want) {
			t.Errorf("%s: %v, want %T", name, err, c.want)
		}
	}
	bid := mustBid(t, pricing.BidInput{Sale: pounds("9600.00"), Tax: margin20()})
	for name, c := range map[string]struct {
		price money.Amount
		want  any
	}{
		"price in yen": {yen, &currency}, "price below nothing": {minus, &negative},
		"price beyond the limit": {beyond, &bound},
	} {
		if _, err := bid.ProfitAt(c.price); err == nil || !errors.As(err, c.want) {
			t.Errorf("%s: %v, want %T", name, err, c.want)
		}
	}
}
