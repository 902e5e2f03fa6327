package pricing_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"bentside/pricing"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func rates() pricing.Rates {
	return pricing.Rates{
		Currency: gbp,
		Labour:   map[string]decimal.Decimal{"bench": dec("24"), "action": dec("26.5")},
		Overhead: dec("18"),
	}
}

func certain(ref string) pricing.Line { return pricing.Line{Ref: ref, Chance: dec("1")} }

// The job of the end-to-end costing case S-1 (worked out by hand): 62.5 h at 24.00 and overhead at
// 18.00, eleven coils of wire net of returns in two lots, and plating bought outside, 3468.00 in
// all.
func TestEstimateOfTheEndToEndCase(t *testing.T) {
	t.Parallel()
	work := certain("work")
	work.Skill, work.Hours = "bench", hours("62.5", "62.5", "62.5")
	flat := func(price string) pricing.UnitPrice {
		return pricing.UnitPrice{Low: dec(price), Likely: dec(price), High: dec(price)}
	}
	work.Materials = []pricing.Material{
		{Ref: "wire", Unit: "coil", Quantity: dec("10"), UnitPrice: flat("18")},
		{Ref: "wire, dearer lot", Unit: "coil", Quantity: dec("1"), UnitPrice: flat("23")},
	}
	plating := certain("plating")
	plating.Outside = &pricing.Outside{Ref: "plater", Price: pricing.Certain(pounds("640.00"))}
	got, err := pricing.EstimateScope([]pricing.Line{work, plating}, rates(), odds.Together{})
	if err != nil {
		t.Fatal(err)
	}
	want := pricing.Costs{
		Labour:    pricing.Certain(pounds("1500.00")),
		Overhead:  pricing.Certain(pounds("1125.00")),
		Materials: pricing.Certain(pounds("203.00")),
		Outside:   pricing.Certain(pounds("640.00")),
		Total:     pricing.Certain(pounds("3468.00")),
	}
	if got.Costs != want {
		t.Errorf("costs\n got %v\nwant %v", got.Costs, want)
	}
}

// Catalogue hours of a full grand restoration, 249 / 421 / 762, at an hourly cost of 28 that holds
// its overhead: 11 788 likely (illustrative figures of the trade notes).
func TestLabourOfAFullRestoration(t *testing.T) {
	t.Parallel()
	line := certain("full")
	line.Skill, line.Hours = "all-in", hours("249", "421", "762")
	got, err := pricing.EstimateScope([]pricing.Line{line}, pricing.Rates{
		Currency: gbp, Labour: map[string]decimal.Decimal{"all-in": dec("28")},
	}, odds.Together{})
	if err != nil {
		t.Fatal(err)
	}
	want := span("6972.00", "11788.00", "21336.00")
	if total := got.Costs.Total; got.Costs.Labour != want || total.Likely != want.Likely ||
		total.Expected != want.Expected {
		t.Errorf("labour %v, total %v; want %v", got.Costs.Labour, total, want)
	}
}

func TestAChanceLineIsOutOfLowWeighedInLikelyWholeInHigh(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		chance          string
		hours           pricing.Hours
		labour, outside pricing.Range
		likely          string
	}{
		{
			"0", hours("0", "0", "0"), span("0.00", "0.00", "0.00"), span("0.00", "0.00", "0.00"),
			"0.00",
		},
		{
			"0.4", hours("0", "4", "20"), expecting(span("0.00", "96.00", "480.00"), "108.80"),
			expecting(span("0.00", "144.00", "550.00"), "146.67"), "240.00",
		},
		{
			"1", hours("8", "10", "20"), span("192.00", "240.00", "480.00"),
			span("210.00", "360.00", "550.00"), "600.00",
		},
	} {
		bench := pricing.Line{
			Ref: "bench", Chance: dec(c.chance), Skill: "bench", Hours: hours("8", "10", "20"),
		}
		firm := pricing.Line{Ref: "firm", Chance: dec(c.chance), Outside: &pricing.Outside{
			Ref: "stitcher", Price: span("160.00", "310.00", "500.00"), Carriage: pounds("50.00"),
		}}
		without := rates()
		without.Overhead = decimal.Zero
		got, err := pricing.EstimateScope([]pricing.Line{bench, firm}, without, odds.Together{})
		if err != nil {
			t.Fatal(err)
		}
		if !sameHours(got.Lines[0].Hours, c.hours) {
			t.Errorf("chance %s: hours %v, want %v", c.chance, got.Lines[0].Hours, c.hours)
		}
		if got.Costs.Labour != c.labour || got.Costs.Outside != c.outside ||
			got.Costs.Total.Likely != pounds(c.likely) {
			t.Errorf(
				"chance %s: got %v, want labour %v, outside %v, likely %s", c.chance, got.Costs,
				c.labour, c.outside, c.likely,
			)
		}
	}
}

// expecting returns a range with another expected value than that of its three points.
func expecting(r pricing.Range, expected string) pricing.Range {
	r.Expected = pounds(expected)
	return r
}

// Eighty cases in a hundred of a job lie between its low and high total: of one line that costs
// three points and nothing else, the tenth and ninetieth percentile of their beta distribution
// (gonum's, its parameters by the PERT method).
func TestLowAndHighOfTheWholeAreItsTenthAndNinetiethPercentile(t *testing.T) {
	t.Parallel()
	line := certain("firm")
	line.Outside = &pricing.Outside{Ref: "firm", Price: span("160.00", "310.00", "500.00")}
	got, err := pricing.EstimateScope([]pricing.Line{line}, rates(), odds.Together{})
	if err != nil {
		t.Fatal(err)
	}
	alpha, beta := odds.ThreePoint{Low: 160, Likely: 310, High: 500}.Shape()
	shape := distuv.Beta{Alpha: alpha, Beta: beta}
	for name, c := range map[string]struct {
		got  money.Amount
		want float64
	}{
		"low":  {got.Costs.Total.Low, 160 + 340*shape.Quantile(0.1)},
		"high": {got.Costs.Total.High, 160 + 340*shape.Quantile(0.9)},
	} {
		if off := c.got.Decimal().InexactFloat64() - c.want; off > 1 || off < -1 {
			t.Errorf("%s is %v, want %.2f", name, c.got, c.want)
		}
	}
}

func sameHours(a, b pricing.Hours) bool {
	return a.Low.Equal(b.Low) && a.Likely.Equal(b.Likely) && a.High.Equal(b.High)
}

func TestHoursAreGatheredBySkill(t *testing.T) {
	t.Parallel()
	line := func(ref, skill string) pricing.Line {
		l := certain(ref)
		l.Skill, l.Hours = skill, hours("1", "2", "3")
		return l
	}
	got, err := pricing.EstimateScope(
		[]pricing.Line{line("1", "bench"), line("2", "action"), line("3", "bench"), certain("4")},
		rates(), odds.Together{},
	)
	if err != nil {
		t.Fatal(err)
	}
	want := "[{action {1 2 3 2}} {bench {2 4 6 4}}] 6 6"
	if text := fmt.Sprint(got.Skills, got.Hours.Likely, got.Hours.Expected); text != want {
		t.Errorf("got %s, want %s", text, want)
	}
}

// Three thirds of a pound are rounded where they arise and then only added: 0.33 each, 0.99 in all,
// never 1.00.
func TestEveryProductIsRoundedOnceAndThenOnlyAdded(t *testing.T) {
	t.Parallel()
	line := certain("felt")
	for range 3 {
		third := pricing.UnitPrice{Low: dec("0.333333"), Likely: dec("0.335"), High: dec("0.345")}
		line.Materials = append(
			line.Materials,
			pricing.Material{Ref: "felt", Unit: "m", Quantity: dec("1"), UnitPrice: third},
		)
	}
	got, err := pricing.EstimateScope([]pricing.Line{line}, rates(), odds.Together{})
	if err != nil {
		t.Fatal(err)
	}
	if want := span("0.99", "1.02", "1.05"); got.Costs.Materials != want {
		t.Errorf("got %v, want %v", got.Costs.Materials, want)
	}
}

func TestEstimateNamesTheLineAtFault(t *testing.T) {
	t.Parallel()
	work := func(change func(*pricing.Line)) pricing.Line {
		l := pricing.Line{
			Ref: "line 7", Chance: dec("1"), Skill: "bench", Hours: hours("1", "2", "3"),
		}
		change(&l)
		return l
	}
	material := func(quantity, low, likely, high string) func(*pricing.Line) {
		return func(l *pricing.Line) {
			price := pricing.UnitPrice{Low: dec(low), Likely: dec(likely), High: dec(high)}
			l.Materials = []pricing.Material{
				{Ref: "felt", Quantity: dec(quantity), UnitPrice: price},
			}
		}
	}
	outside := func(o pricing.Outside) func(*pricing.Line) {
		return func(l *pricing.Line) { l.Hours, l.Outside = pricing.Hours{}, &o }
	}
	var (
		missing  *pricing.MissingRateError
		double   *pricing.OutsideHoursError
		bound    *pricing.BoundError
		order    *pricing.OrderError
		negative *pricing.NegativeError
		currency *pricing.CurrencyError
		value    *pricing.ValueError
	)
	for name, c := range map[string]struct {
		change func(*pricing.Line)
		want   any
	}{
		"no rate for the skill": {func(l *pricing.Line) { l.Skill = "gilding" }, &missing},
		"no skill":              {func(l *pricing.Line) { l.Skill = "" }, &missing},
		"chance above one":      {func(l *pricing.Line) { l.Chance = dec("1.01") }, &bound},
		"chance below nothing":  {func(l *pricing.Line) { l.Chance = dec("-0.1") }, &bound},
		"likely hours below low": {
			func(l *pricing.Line) { l.Hours = hours("3", "2", "4") }, &order,
		},
		"high hours below likely": {
			func(l *pricing.Line) { l.Hours = hours("1", "2", "1.5") }, &order,
		},
		"negative hours": {
			func(l *pricing.Line) { l.Hours = hours("-1", "2", "3") }, &negative,
		},
		"hours of seven decimals": {
			func(l *pricing.Line) { l.Hours = hours("0.0000001", "2", "3") }, &value,
		},
		"absurd hours": {
			func(l *pricing.Line) { l.Hours = hours("1", "2", "1e2000") }, &value,
		},
		"hours beyond an amount": {
			func(l *pricing.Line) { l.Hours = hours("1", "2", "9e12") }, &value,
		},
		"negative quantity":     {material("-1", "1", "1", "1"), &negative},
		"negative unit price":   {material("1", "-1", "1", "1"), &negative},
		"unit prices that fall": {material("1", "3", "2", "4"), &order},
		"hours and bought outside": {
			func(l *pricing.Line) { l.Outside = &pricing.Outside{Price: pricing.ZeroRange(gbp)} },
			&double,
		},
		"outside in yen": {
			outside(pricing.Outside{Price: pricing.ZeroRange(jpy)}), &currency,
		},
		"outside without a price": {outside(pricing.Outside{}), &currency},
		"outside prices that fall": {
			outside(pricing.Outside{Price: span("2.00", "1.00", "3.00")}), &order,
		},
		"outside below nothing": {
			outside(pricing.Outside{Price: span("-2.00", "1.00", "3.00")}), &negative,
		},
		"carriage in yen": {
			outside(pricing.Outside{Price: pricing.ZeroRange(gbp), Carriage: money.MustParse("5 JPY")}),
			&currency,
		},
		"carriage below nothing": {
			outside(pricing.Outside{Price: pricing.ZeroRange(gbp), Carriage: pounds("-5.00")}),
			&negative,
		},
	} {
		got, err := pricing.EstimateScope(
			[]pricing.Line{certain("line 6"), work(c.change)}, rates(), odds.Together{},
		)
		if err == nil || !errors.As(err, c.want) || !strings.HasPrefix(err.Error(), "line 7: ") {
			t.Errorf("%s: %v; want %T of line 7", name, err, c.want)
		}
		if got.Lines != nil {
			t.Errorf("%s: an estimate came beside the error", name)
		}
	}
}

func TestAllFaultsComeTogether(t *testing.T) {
	t.Parallel()
	a := pricing.Line{Ref: "a", Chance: dec("2"), Skill: "gilding", Hours: hours("3", "2", "1")}
	b := pricing.Line{Ref: "b", Chance: dec("-1")}
	_, err := pricing.EstimateScope([]pricing.Line{a, b}, rates(), odds.Together{})
	want := strings.Join([]string{
		"a: chance must be from 0 to 1, not 2",
		"a: hours must rise, and falls from 3 to 2",
		`a: there must be an hourly rate for skill "gilding"`,
		"b: chance must be from 0 to 1, not -1",
	}, "\n")
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

func TestRatesAreChecked(t *testing.T) {
	t.Parallel()
	var currency *pricing.CurrencyError
	if _, err := pricing.EstimateScope(
		nil, pricing.Rates{}, odds.Together{},
	); !errors.As(err, &currency) {
		t.Errorf("no currency: %v", err)
	}
	bad := rates()
	bad.Overhead, bad.Labour["bench"], bad.Labour["action"] = dec("-1"), dec("-2"), dec("0.0000001")
	var negative *pricing.NegativeError
	var digits *money.DigitsError
	if _, err := pricing.EstimateScope(nil, bad, odds.Together{}); !errors.As(err, &negative) ||
		!errors.As(err, &digits) {
		t.Errorf("negative and overlong rates: %v", err)
	}
	got, err := pricing.EstimateScope(nil, rates(), odds.Together{})
	if err != nil || got.Costs.Total != pricing.ZeroRange(gbp) {
		t.Errorf("no lines: %v, %v; want an estimate of nothing", got.Costs.Total, err)
	}
}

func TestPartsOfAnEstimateAddUpAtEveryLevel(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lines := drawLines(t)
		got, err := pricing.EstimateScope(lines, rates(), odds.Together{})
		if err != nil {
			t.Fatal(err)
		}
		var all pricing.Costs
		all = addCosts(zeroCosts(), all)
		for _, line := range got.Lines {
			steps := zeroCosts()
			for _, s := range line.Steps {
				amounts := pricing.Range{
					Low: s.Low.Amount, Likely: s.Likely.Amount, High: s.High.Amount,
					Expected: s.Expected,
				}
				steps.Total = steps.Total.Add(amounts)
				switch s.Kind {
				case pricing.Labour:
					steps.Labour = steps.Labour.Add(amounts)
				case pricing.Overhead:
					steps.Overhead = steps.Overhead.Add(amounts)
				case pricing.Materials:
					steps.Materials = steps.Materials.Add(amounts)
				case pricing.BoughtOutside:
					steps.Outside = steps.Outside.Add(amounts)
				}
				checkProducts(t, s)
			}
			if steps != line.Costs {
				t.Fatalf("line %s: steps add up to %v, costs %v", line.Ref, steps, line.Costs)
			}
			all = addCosts(all, line.Costs)
		}
		all.Total.Low, all.Total.High = got.Costs.Total.Low, got.Costs.Total.High
		if all != got.Costs {
			t.Fatalf("lines add up to %v, costs %v", all, got.Costs)
		}
	})
}

func zeroCosts() pricing.Costs {
	z := pricing.ZeroRange(gbp)
	return pricing.Costs{Labour: z, Overhead: z, Materials: z, Outside: z, Total: z}
}

func addCosts(a, b pricing.Costs) pricing.Costs {
	if b == (pricing.Costs{}) {
		return a
	}
	return pricing.Costs{
		Labour: a.Labour.Add(b.Labour), Overhead: a.Overhead.Add(b.Overhead),
		Materials: a.Materials.Add(b.Materials),
		Outside:   a.Outside.Add(b.Outside), Total: a.Total.Add(b.Total),
	}
}

// checkProducts checks that each product of a step is within half a penny of its exact value and
// that they rise.
func checkProducts(t *rapid.T, s pricing.Step) {
	for _, p := range []pricing.Product{s.Low, s.Likely, s.High} {
		exact := p.Quantity.Mul(p.Weight).Mul(p.Rate)
		if off := p.Amount.Decimal().Sub(exact).Abs(); off.Cmp(dec("0.005")) > 0 {
			t.Fatalf("%v is off by %v", p, off)
		}
	}
	if s.Likely.Amount.Cmp(s.Low.Amount) < 0 || s.High.Amount.Cmp(s.Likely.Amount) < 0 {
		t.Fatalf("step %v does not rise", s)
	}
}

func drawLines(t *rapid.T) []pricing.Line {
	millionths := func(label string, most int64) decimal.Decimal {
		return decimal.New(rapid.Int64Range(0, most).Draw(t, label), -6)
	}
	rising := func(label string) (low, likely, high decimal.Decimal) {
		low = millionths(label, 100e6)
		likely = low.Add(millionths(label, 100e6))
		return low, likely, likely.Add(millionths(label, 100e6))
	}
	var lines []pricing.Line
	for i := range rapid.IntRange(0, 5).Draw(t, "lines") {
		line := pricing.Line{Ref: fmt.Sprint(i), Chance: millionths("chance", 1e6)}
		if rapid.Bool().Draw(t, "certain") {
			line.Chance = dec("1")
		}
		if rapid.Bool().Draw(t, "outside") {
			line.Outside = &pricing.Outside{Ref: "firm", Price: drawRange(t, "price", 1e6)}
		} else {
			line.Skill = rapid.SampledFrom([]string{"bench", "action"}).Draw(t, "skill")
			line.Hours.Low, line.Hours.Likely, line.Hours.High = rising("hours")
		}
		for range rapid.IntRange(0, 3).Draw(t, "materials") {
			m := pricing.Material{Ref: "part", Quantity: millionths("quantity", 50e6)}
			m.UnitPrice.Low, m.UnitPrice.Likely, m.UnitPrice.High = rising("unit price")
			line.Materials = append(line.Materials, m)
		}
		lines = append(lines, line)
	}
	return lines
}
