package valuation_test

import (
	"testing"

	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// book plays the moves of one part and keeps what went out of it.
type book struct {
	t      *testing.T
	stock  valuation.Stock
	layers int
	out    money.Amount
}

func open(t *testing.T, m valuation.Method, currency string) *book {
	t.Helper()
	c := money.MustCurrency(currency)
	return &book{t: t, stock: valuation.NewStock(m, c), out: money.Zero(c)}
}

// buy receives a quantity for a sum and returns the layer.
func (b *book) buy(q, total string) uuid.UUID {
	b.t.Helper()
	b.layers++
	id := uuid.UUID{byte(b.layers)}
	var err error
	b.stock, _, err = b.stock.Receive(id, dec(q), b.amount(total))
	b.ok(err)
	return id
}

// issue takes a quantity, which must cost a sum, and returns what is out.
func (b *book) issue(q, cost string) []valuation.Line {
	b.t.Helper()
	after, lines, err := b.stock.Take(dec(q))
	b.ok(err)
	b.stock = after
	out := make([]valuation.Line, len(lines))
	for i, l := range lines {
		out[i] = valuation.Line{Layer: l.Layer, Quantity: l.Quantity.Neg(), Value: l.Value.Neg()}
	}
	_, value := valuation.Total(b.stock.Value().Currency(), out)
	if value != b.amount(cost) {
		b.t.Errorf("%s issued at %s, want %s", q, value, cost)
	}
	b.out = b.out.Add(value)
	return out
}

// putBack returns a quantity of an issue, which must take a sum back into stock.
func (b *book) putBack(out []valuation.Line, q, cost string) {
	b.t.Helper()
	after, lines, err := b.stock.PutBack(out, dec(q))
	b.ok(err)
	b.stock = after
	_, value := valuation.Total(b.stock.Value().Currency(), lines)
	if value != b.amount(cost) {
		b.t.Errorf("%s came back at %s, want %s", q, value, cost)
	}
	b.out = b.out.Sub(value)
}

// holds compares what is held.
func (b *book) holds(q, value string) {
	b.t.Helper()
	if got := b.stock.Quantity(); !got.Equal(dec(q)) || b.stock.Value() != b.amount(value) {
		b.t.Errorf("%s are held for %s, want %s for %s", got, b.stock.Value(), q, value)
	}
}

// issued compares what everything that went out has cost.
func (b *book) issued(total string) {
	b.t.Helper()
	if b.out != b.amount(total) {
		b.t.Errorf("all issues cost %s, want %s", b.out, total)
	}
}

func (b *book) amount(text string) money.Amount {
	b.t.Helper()
	c := b.stock.Value().Currency()
	a, err := money.Round(dec(text), c, money.HalfUp)
	b.ok(err)
	if !a.Decimal().Equal(dec(text)) {
		b.t.Fatalf("%s isn't an amount in %s", text, c)
	}
	return a
}

func (b *book) ok(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func dec(text string) decimal.Decimal { return decimal.RequireFromString(text) }

// OpenStax, Principles of Accounting, volume 1, section 10.3: FIFO, perpetual. Cost of sales 7,200
// and closing stock 8,955 as published.
func TestFIFOAsPublished(t *testing.T) {
	t.Parallel()
	b := open(t, valuation.FIFO, "USD")
	b.buy("150", "3150") // @ 21
	b.issue("120", "2520")
	b.buy("225", "6075") // @ 27
	b.issue("180", "4680")
	b.buy("210", "6930") // @ 33
	b.issued("7200")
	b.holds("285", "8955")
}

// The same section, perpetual moving average: published in whole dollars as 4,733, 7,253 and 8,902.
// With values shared out, and not a rounded cost per unit multiplied (26.29 × 180 = 4,732.20), the
// cents are 4,732.94, 7,252.94 and 8,902.06.
func TestMovingAverageAsPublished(t *testing.T) {
	t.Parallel()
	b := open(t, valuation.MovingAverage, "USD")
	b.buy("150", "3150")
	b.issue("120", "2520")
	b.buy("225", "6075")
	b.issue("180", "4732.94")
	b.buy("210", "6930")
	b.issued("7252.94")
	b.holds("285", "8902.06")
	for _, c := range []struct{ exact, published string }{
		{"7252.94", "7253"}, {"8902.06", "8902"},
	} {
		if got := dec(c.exact).Round(0).String(); got != c.published {
			t.Errorf("%s is published as %s", got, c.published)
		}
	}
}

// Counter sales of an exercise with whole averages: 40, 43 and 45 (bartleby.com, "weighted average
// cost flow … 4,000 units at $40"; worked out here).
func TestMovingAverageOfCounterSales(t *testing.T) {
	t.Parallel()
	b := open(t, valuation.MovingAverage, "USD")
	b.buy("4000", "160000")
	b.issue("2500", "100000")
	b.buy("4500", "198000") // @ 44
	b.issue("5000", "215000")
	b.buy("2000", "92000") // @ 46
	b.holds("3000", "135000")
}

// homeworksource.com 1123599: average 9.50, second sale 2,660, closing 220 at 2,090.
func TestMovingAverageOfAPublishedSolution(t *testing.T) {
	t.Parallel()
	b := open(t, valuation.MovingAverage, "USD")
	b.buy("300", "2400")
	b.issue("175", "1400")
	b.buy("375", "3750")
	b.issue("280", "2660")
	b.holds("220", "2090")
}

// OpenStax, volume 1, section 6.3: 80 for 8,000, 15 sent back (1,500), an allowance of 120 and a
// discount of 319 for paying early. 65 are left for 6,061.
func TestReturnAllowanceAndDiscountAsPublished(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "USD")
		order := b.buy("80", "8000")
		after, lines, err := b.stock.TakeFrom(order, dec("15"))
		b.ok(err)
		if lines[0].Value != b.amount("-1500") {
			t.Errorf("%s: sent back at %s, want 1500", m, lines[0].Value.Neg())
		}
		b.stock = after
		for _, less := range []string{"-120", "-319"} {
			b.stock, _, _, err = b.stock.Adjust(order, b.amount(less), nil)
			b.ok(err)
		}
		b.holds("65", "6061")
	}
}

// OpenStax, volume 1, section 6.5: 30 × 80 and 1,000 of carriage make 3,400; each of them costs
// 113.33, and the last the odd cent.
func TestFreightInAsPublished(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "USD")
		order := b.buy("30", "2400")
		var err error
		b.stock, _, _, err = b.stock.Adjust(order, b.amount("1000"), nil)
		b.ok(err)
		b.holds("30", "3400")
		for range 29 {
			after, cost, err := b.stock.Take(dec("1"))
			b.ok(err)
			b.stock = after
			if v := cost[0].Value.Neg(); v != b.amount("113.33") && v != b.amount("113.34") {
				t.Errorf("%s: one costs %s, want 113.33 or a cent more", m, v)
			}
		}
		last := b.stock.Value()
		b.issue("1", last.Text())
		b.holds("0", "0")
	}
}

// OpenStax, volume 1, section 6.4: 40 sold at 60 each come back in saleable condition for 2,400.
func TestACustomersReturnAsPublished(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "USD")
		b.buy("100", "6000")
		sold := b.issue("40", "2400")
		b.putBack(sold, "40", "2400")
		b.holds("100", "6000")
		b.issued("0")
	}
}

// Three units for 10.00 leave as 3.33, 3.34 and 3.33 (worked_examples.md A10).
func TestTheLastUnitTakesAllThatIsLeft(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "GBP")
		b.buy("3", "10.00")
		b.issue("1", "3.33")
		b.issue("1", "3.34")
		b.issue("1", "3.33")
		b.holds("0", "0")
	}
}

// The wire of the workshop case S-1: 10 coils at 18.00, 6 at 21.00 with 12.00 of carriage; 12 are
// issued for 226.00, one comes back at 23.00, and 115.00 are left.
func TestWireOfTheWorkshopCase(t *testing.T) {
	t.Parallel()
	b := open(t, valuation.FIFO, "GBP")
	b.buy("10", "180.00")
	second := b.buy("6", "126.00")
	var err error
	b.stock, _, _, err = b.stock.Adjust(second, b.amount("12.00"), nil)
	b.ok(err)
	b.holds("16", "318.00")
	coils := b.issue("12", "226.00")
	b.putBack(coils, "1", "23.00")
	b.issued("203.00")
	b.holds("5", "115.00")
}

// The same wire with its carriage billed after the issue: 8.00 follow the 4 coils that are held and
// 4.00 the 2 that are in the job.
func TestLateFreightFollowsTheQuantity(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "GBP")
		b.buy("10", "180.00")
		second := b.buy("6", "126.00")
		coils := b.issue("12", map[valuation.Method]string{
			valuation.FIFO: "222.00", valuation.MovingAverage: "229.50",
		}[m])
		held := b.stock.Value()
		after, line, parts, err := b.stock.Adjust(
			second, b.amount("12.00"), []decimal.Decimal{coils[1].Quantity},
		)
		b.ok(err)
		b.stock = after
		if line.Value != b.amount("8.00") || parts[0] != b.amount("4.00") {
			t.Errorf("%s: %s into stock and %s into the job, want 8.00 and 4.00", m, line.Value, parts)
		}
		b.holds("4", held.Add(line.Value).Text())
	}
}
