package cost_test

import (
	"errors"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/cost"
	"bentside/domain/hours"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func cents(n int64) money.Amount { return money.FromMinor(n, euro) }

func ratesFrom(day domain.Date, normal, fixed string) cost.Rates {
	f := decimal.RequireFromString(fixed)
	return cost.Rates{
		ID: uuid.New(), From: day, Labour: decimal.NewFromInt(24), Overhead: decimal.NewFromInt(18),
		NormalHours: decimal.RequireFromString(normal), FixedOverhead: &f,
	}
}

// A year of one version has all of its normal hours, whether it is a leap year or not, and a part
// of it as many as its days. Where a later version holds, each day goes by its own.
func TestNormalHoursAreSharedOutOverTheDaysOfAYear(t *testing.T) {
	t.Parallel()
	day := func(y, m, d int) domain.Date {
		return domain.Date{Year: y, Month: time.Month(m), Day: d}
	}
	old, later := ratesFrom(day(2020, 1, 1), "1600", "12"), ratesFrom(day(2025, 7, 1), "1460", "10")
	for _, c := range []struct {
		of            []cost.Rates
		from, through domain.Date
		hours, fixed  string
	}{
		{[]cost.Rates{old}, day(2025, 1, 1), day(2025, 12, 31), "1600", "19200"},
		{[]cost.Rates{old}, day(2024, 1, 1), day(2024, 12, 31), "1600", "19200"},
		{[]cost.Rates{old}, day(2024, 7, 1), day(2025, 6, 30), "1597.796242", "19173.554907"},
		{[]cost.Rates{later}, day(2026, 1, 1), day(2026, 1, 10), "40", "400"},
		{[]cost.Rates{old, later}, day(2025, 6, 30), day(2025, 7, 1), "8.383562", "92.60274"},
	} {
		got := cost.CapacityOf(c.of, c.from, c.through)
		if got.Hours.Round(6).String() != c.hours || got.Fixed.Round(6).String() != c.fixed ||
			!got.Unset.IsZero() {
			t.Errorf("from %s to %s: %s h for %s, want %s for %s", c.from, c.through, got.Hours, got.Fixed,
				c.hours, c.fixed)
		}
	}
	if c := cost.CapacityOf([]cost.Rates{later}, day(2025, 6, 30), day(2025, 7, 2)); c.Unset !=
		day(2025, 6, 30) {
		t.Errorf("unset on %s, want the day before the rates", c.Unset)
	}
}

// Upkeep of 90 min at 24.00 is overhead of 36.00, and 20 min that are taken back of it 8.00 less,
// whatever the rates are by then. Of a proprietor it is notional; administration is none.
func TestHoursOfUpkeepAreOverhead(t *testing.T) {
	t.Parallel()
	w := cost.Worked{Rates: ratesFrom(march(1), "1600", "12"), Currency: euro}
	e := hours.Entry{ID: jobNo(1), Duty: hours.Upkeep, On: march(3), Minutes: 90}
	first, counts, err := cost.OfDuty(e, nil, w, march(9))
	if err != nil || !counts || first.Amount != cents(3600) || first.Kind != cost.IndirectLabour ||
		first.PostedOn != march(9) || !first.Counts() {
		t.Errorf("got %+v, %v, %v", first, counts, err)
	}
	w.Rates.Labour = decimal.NewFromInt(99)
	back := hours.Entry{
		ID: jobNo(2), Duty: hours.Upkeep, On: march(3), Minutes: -20, Reverses: e.ID,
	}
	o, _, err := cost.OfDuty(back, []cost.OverheadCost{first}, w, march(10))
	if err != nil || o.Amount != cents(-800) || o.Origin != e.ID {
		t.Errorf("taken back as %+v, %v", o, err)
	}
	w.OffPayroll = true
	if o, _, err = cost.OfDuty(e, nil, w, march(9)); err != nil || o.Counts() {
		t.Errorf("of a proprietor it is %+v, %v", o, err)
	}
	e.Duty = hours.Administration
	if _, counts, err = cost.OfDuty(e, nil, w, march(9)); err != nil || counts {
		t.Errorf("administration counts: %v, %v", counts, err)
	}
}

// randomMonth draws an account of March with what jobs bear of it.
func randomMonth(t *rapid.T) (cost.OverheadAccount, []cost.Borne) {
	month := cost.Period{From: march(1), Through: march(31)}
	a := cost.OverheadAccount{
		Period: month, Currency: euro, Disposed: cents(0), Applied: cents(0),
		Material: cents(rapid.Int64Range(0, 90_000).Draw(t, "material")),
		Capacity: cost.CapacityOf([]cost.Rates{ratesFrom(march(1),
			rapid.SampledFrom([]string{"1", "800", "1600", "1733.25"}).Draw(t, "normal"),
			rapid.SampledFrom([]string{"0", "7.3333", "12", "18"}).Draw(t, "fixed"))},
			month.From, month.Through),
	}
	for _, k := range []cost.OverheadKind{
		cost.Rent, cost.IndirectLabour, cost.IndirectNotional, cost.OverheadScrap,
	} {
		n := rapid.Int64Range(0, 500_000).Draw(t, string(k))
		if k == cost.OverheadScrap {
			n = -n / 100
		}
		a.Spent = append(a.Spent, cost.SpentOverhead{Kind: k, Amount: cents(n)})
	}
	borne := make([]cost.Borne, rapid.IntRange(0, 12).Draw(t, "bearing"))
	for i := range borne {
		b := &borne[i]
		b.Instrument, b.Job, b.On = uuid.UUID{0: 1}, jobNo(byte(i/3)), march(1+i)
		b.Purpose = rapid.SampledFrom([]cost.Purpose{cost.Work, cost.Rework, cost.AbnormalRework}).
			Draw(t, "purpose")
		b.Amount = cents(rapid.Int64Range(-900, 90_000).Draw(t, "bears"))
		b.Place = rapid.SampledFrom([]cost.Place{cost.InWork, cost.InStock, cost.SoldWork}).Draw(t, "at")
		a.Applied = a.Applied.Add(b.Amount)
		a.Minutes += rapid.Int64Range(0, 6000).Draw(t, "minutes")
	}
	return a, borne
}

// Whatever a month was like: once its overhead is disposed of nothing is left of it, what is idle
// is in no line, places and lines add up to the rest, and taking it back leaves what there was.
func TestNothingIsLeftOfOverheadThatWasDisposedOf(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, borne := randomMonth(t)
		d := cost.Disposition{
			ID: jobNo(99), Period: a.Period,
			Remainder: rapid.SampledFrom([]cost.Remainder{cost.Prorated, cost.ToCostOfSales}).Draw(t, "how"),
		}
		made, lines, err := d.Dispose(a, borne, nil, books.Books{})
		var f *domain.Fault
		if errors.As(err, &f) && f.Kind == domain.Conflict {
			for _, b := range borne {
				if b.Amount.Sign() > 0 {
					t.Fatalf("refused though jobs bear overhead: %v", err)
				}
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		a.Disposed = made.Taken()
		if !a.Balance().IsZero() {
			t.Fatalf("%s are left", a.Balance())
		}
		p := made.Places
		sum, inLines, inStock := p.InProgress.Add(p.Finished).Add(p.CostOfSales).Add(p.Expense), cents(0),
			cents(0)
		for i, l := range lines {
			inLines = inLines.Add(l.Amount)
			if l.Inventory() {
				inStock = inStock.Add(l.Amount)
			}
			if l.Amount.Sign() != made.Spending.Sign() || l.PostedOn != a.Through || l.Number != i+1 {
				t.Fatalf("posted %+v of %s", l, made.Spending)
			}
		}
		if sum != made.Spending {
			t.Fatalf("places come to %s of %s", sum, made.Spending)
		}
		if len(lines) > 0 && (inLines != made.Spending || inStock != sum.Sub(p.Expense)) {
			t.Fatalf("lines come to %s, and %s in stock or sold, of %s", inLines, inStock, made.Spending)
		}
		back, undone, err := made.TakeBack(jobNo(98), "too early", lines, []cost.Disposition{made},
			books.Books{})
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range undone {
			inLines = inLines.Add(l.Amount)
		}
		if !back.Taken().Add(made.Taken()).IsZero() || !inLines.IsZero() && len(lines) > 0 {
			t.Fatalf("taken back by %s, of which %s are left", back.Taken(), inLines)
		}
	})
}
