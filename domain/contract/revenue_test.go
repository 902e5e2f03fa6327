package contract_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/contract"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var eur = money.MustCurrency("EUR")

// euros returns whole euros.
func euros(n int64) money.Amount { return money.FromMinor(100*n, eur) }

// under returns a contract under way, in whole euros, whose cost is all effort.
func under(price, spent, left, invoiced int64) contract.Measure {
	return contract.Measure{
		Policy: domain.OverTime, Stage: contract.UnderWay, Price: euros(price), Effort: euros(spent),
		Cost: euros(spent), Left: euros(left), Invoiced: euros(invoiced), Held: euros(0),
	}
}

func position(tb testing.TB, m contract.Measure) contract.Position {
	tb.Helper()
	p, err := m.Position()
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

// Figures of the standards, from memory: IFRS 15, illustrative example 8 (a building for 1,000
// thousand with expected costs of 700 thousand, of which 420 thousand are incurred: 60 %, revenue
// of 600 and profit of 180 thousand; then 1,350 against 820 thousand: the example rounds to 51.2
// % and so catches up 91.2 thousand), and the appendix of IAS 11, which IFRS 15 replaced (9,000
// against 8,050: 26 %; 9,200 against 8,200: 74 %; then all of it). The appendix rounds progress
// to whole per cent and leaves 100 of materials for the third year out of the 6,168 of the
// second.
func TestRevenueIsCostToCostAsInTheExamplesOfTheStandards(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what             string
		in               contract.Measure
		progress         string // at the places of the example
		decimals         int32
		revenue, profit  int64
		asset, liability int64
		tolerance        int64 // what the example rounds away, in whole units
	}{
		{
			"IFRS 15, example 8, the first year", under(1_000_000, 420_000, 280_000, 0),
			"0.6", 3, 600_000, 180_000, 600_000, 0, 0,
		},
		{
			"IFRS 15, example 8, modified", under(1_350_000, 420_000, 400_000, 600_000),
			"0.512", 3, 691_200, 271_200, 91_200, 0, 300,
		},
		{
			"IAS 11, appendix, year 1", under(9_000, 2_093, 5_957, 2_500),
			"0.26", 2, 2_340, 247, 0, 160, 5,
		},
		{
			"IAS 11, appendix, year 2", under(9_200, 6_068, 2_132, 6_800),
			"0.74", 2, 6_808, 740, 8, 0, 5,
		},
	} {
		p := position(t, c.in)
		near := func(what string, got money.Amount, want int64) {
			t.Helper()
			if off := got.Sub(euros(want)).Minor(); off > 100*c.tolerance || off < -100*c.tolerance {
				t.Errorf("%s: %s is %s, want %d to within %d", c.what, what, got, want, c.tolerance)
			}
		}
		if got := p.Progress.Round(c.decimals); !got.Equal(decimal.RequireFromString(c.progress)) {
			t.Errorf("%s: progress is %s, want %s", c.what, p.Progress, c.progress)
		}
		near("revenue", p.Revenue, c.revenue)
		near("profit", p.Profit(), c.profit)
		near("the contract asset", p.Asset, c.asset)
		near("the contract liability", p.Liability, c.liability)
	}
}

// What is finished is earned whole: year 3 of the appendix of IAS 11, 9,200 against 8,200.
func TestWhatIsFinishedIsEarnedWhole(t *testing.T) {
	t.Parallel()
	m := under(9_200, 8_200, 0, 9_200)
	m.Stage = contract.Finished
	p := position(t, m)
	if p.Revenue != euros(9_200) || p.Profit() != euros(1_000) || !p.Progress.Equal(domain.One) ||
		!p.Asset.IsZero() || !p.Liability.IsZero() {
		t.Errorf("got %+v", p)
	}
}

// Contract D of the second example in the appendix of IAS 11 (from memory) has revenue of 200,
// expenses of 250 and provides for an expected loss of 40, which makes a loss of 90: a price of
// 360 at a cost of 450 brings that about.
func TestALossThatIsExpectedIsProvidedForAtOnce(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what                                string
		price, spent, left, loss, net, cost int64
	}{
		{"a profit is expected", 300, 100, 100, 0, 50, 200},
		{"nothing is", 200, 100, 100, 0, 0, 200},
		{"contract D", 360, 250, 200, 40, -90, 450},
		{"before anything is spent", 500, 0, 625, 125, -125, 625},
		{"once all is spent", 500, 625, 0, 0, -125, 625},
	} {
		p := position(t, under(c.price, c.spent, c.left, 0))
		if p.Loss != euros(c.loss) || p.Profit() != euros(c.net) || p.Expected != euros(c.cost) {
			t.Errorf("%s: %s is provided for, %s come of it and %s are expected; want %d, %d, %d", c.what,
				p.Loss, p.Profit(), p.Expected, c.loss, c.net, c.cost)
		}
	}
}

func TestUnderTheOtherPolicyNothingIsEarnedBeforeTheEnd(t *testing.T) {
	t.Parallel()
	m := under(9_000, 2_000, 6_000, 2_500)
	m.Policy = domain.OnCompletion
	p := position(t, m)
	if !p.Revenue.IsZero() || p.Deferred != euros(2_000) || !p.Expensed.IsZero() ||
		p.Liability != euros(2_500) || !p.Loss.IsZero() {
		t.Errorf("under way: %+v", p)
	}
	m.Left = euros(9_000)
	if p = position(t, m); p.Loss != euros(2_000) || p.Profit() != euros(-2_000) {
		t.Errorf("at a loss: %+v", p)
	}
	m.Left, m.Stage = euros(0), contract.Finished
	if p = position(t, m); p.Revenue != euros(9_000) || p.Expensed != euros(2_000) ||
		!p.Deferred.IsZero() {
		t.Errorf("finished: %+v", p)
	}
}

// A job that is given up keeps what the work has earned, and owes the client what is invoiced
// beyond that until it is credited or settled.
func TestWhatIsGivenUpKeepsItsInvoicesUntilItIsSettled(t *testing.T) {
	t.Parallel()
	m := under(8_000, 1_000, 3_000, 3_000)
	m.Stage, m.Held = contract.GivenUp, euros(500)
	p := position(t, m)
	if p.Revenue != euros(2_000) || p.Liability != euros(1_000) || p.Held != euros(500) ||
		p.Expected != euros(1_000) || !p.Loss.IsZero() {
		t.Errorf("given up: %+v", p)
	}
	m.Stage, m.Held = contract.Settled, euros(0)
	if p = position(t, m); p.Revenue != euros(3_000) || !p.Liability.IsZero() || !p.Asset.IsZero() {
		t.Errorf("settled: %+v", p)
	}
}

func TestWhateverIsSpentRevenueStaysWithinThePriceAndTheBooksAddUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		minor := func(what string, most int64) money.Amount {
			return money.FromMinor(rapid.Int64Range(0, most).Draw(t, what), eur)
		}
		m := contract.Measure{
			Policy: rapid.SampledFrom([]domain.RevenuePolicy{domain.OverTime, domain.OnCompletion}).
				Draw(t, "policy"),
			Stage: rapid.SampledFrom([]contract.Stage{
				contract.UnderWay, contract.Finished, contract.GivenUp, contract.Settled,
			}).Draw(t, "stage"),
			Price: minor("price", 5_000_000), Effort: minor("effort", 5_000_000),
			Cost: minor("cost", 5_000_000), Left: minor("left", 5_000_000),
			Invoiced: minor("invoiced", 5_000_000), Held: minor("held", 100_000),
		}
		p, err := m.Position()
		if err != nil {
			t.Fatal(err)
		}
		if m.Stage != contract.Settled && (p.Revenue.Sign() < 0 || p.Revenue.Cmp(m.Price) > 0) {
			t.Fatalf("revenue of %s at a price of %s", p.Revenue, m.Price)
		}
		if p.Revenue.Sub(p.Invoiced) != p.Asset.Sub(p.Liability) ||
			!p.Asset.IsZero() && !p.Liability.IsZero() {
			t.Fatalf("%s earned, %s invoiced, asset %s, liability %s", p.Revenue, p.Invoiced, p.Asset,
				p.Liability)
		}
		if p.Expensed.Add(p.Deferred) != m.Cost {
			t.Fatalf("%s expensed and %s deferred of %s", p.Expensed, p.Deferred, m.Cost)
		}
		if p.Progress.IsNegative() || p.Progress.GreaterThan(domain.One) {
			t.Fatalf("progress of %s", p.Progress)
		}
		whole := m.Price.Sub(m.Cost).Sub(m.Left) // what the contract comes to
		if m.Stage == contract.UnderWay && whole.Sign() < 0 && p.Profit().Cmp(whole) > 0 {
			t.Fatalf("a loss of %s is expected, and only %s is borne", whole, p.Profit())
		}
		more := m
		more.Effort, more.Left = m.Effort.Add(m.Left), euros(0)
		q, err := more.Position()
		if err != nil || q.Revenue.Cmp(p.Revenue) < 0 {
			t.Fatalf("more work brings %s, less brought %s: %v", q.Revenue, p.Revenue, err)
		}
	})
}
