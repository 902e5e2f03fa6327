package sale_test

import (
	"testing"
	"time"

	"bentside/domain/cost"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// backAgain returns the file of a piano that cost 1,500.00, was sold and handed over on the first
// day and came back on the sixth, when some of its cost stayed an expense.
func backAgain(t *testing.T, stays string) sale.File {
	t.Helper()
	x, err := sold(boughtAt("1500.00"), "2000.00", "margin", "1500.00")
	if err != nil {
		t.Fatal(err)
	}
	cos := pounds("1500.00")
	x.HandOver = &sale.HandOver{On: today}
	x.Return = &sale.Return{
		On: today.AddDays(5), Refund: x.Price, Kept: zero, KeptTax: zero, CostOfSales: cos,
		CostBack: cos.Sub(pounds(stays)),
	}
	return sale.File{Currency: gbp, Costs: costs("1100.00", "400.00"), Sales: []sale.Sale{x}}
}

// later returns a cost, or what takes one back, that belongs to a day and was entered much later.
func later(days int, amount string) cost.Dated {
	c := costs(amount)[0]
	c.Since, c.PostedOn = today.AddDays(days), today.AddDays(30)
	return c
}

// What is taken back of a cost comes off stock, and what stock no longer has off the expense that
// stayed at the return. Work after the return is stock, whatever became of the cost before.
func TestStockDoesNotFallBelowZeroAfterAReturn(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		stays         string
		later         []cost.Dated
		stock, of, at string // what it stands at, the cost of the sale and what of that came later
	}{
		"all stayed an expense": {
			"1500.00", nil, "0.00", "1500.00", "0.00",
		},
		"and a cost is taken back": {
			"1500.00", []cost.Dated{later(0, "-400.00")}, "0.00", "1100.00", "-400.00",
		},
		"and entered anew": {
			"1500.00",
			[]cost.Dated{later(0, "-400.00"), later(0, "380.00")},
			"0.00", "1480.00", "-20.00",
		},
		"and new work is done": {
			"1500.00",
			[]cost.Dated{later(0, "-400.00"), later(9, "50.00")},
			"50.00", "1100.00", "-400.00",
		},
		"some of it stayed": {
			"1200.00", []cost.Dated{later(0, "-400.00")}, "0.00", "1100.00", "-100.00",
		},
		"stock bears what it can": {
			"1000.00", []cost.Dated{later(0, "-400.00")}, "100.00", "1000.00", "0.00",
		},
		"a late bill after all that": {
			"1500.00", []cost.Dated{later(0, "60.00")}, "60.00", "1500.00", "0.00",
		},
	} {
		f := backAgain(t, c.stays)
		f.Costs = append(f.Costs, c.later...)
		a := f.Account()
		d := a.Deals[0]
		if a.Carrying != pounds(c.stock) || a.CostOfSales != pounds(c.of) ||
			d.AfterSale != pounds(c.at) || a.Landed != a.Carrying.Add(a.CostOfSales) ||
			d.CostOfSales != d.Sale.Carrying.Add(d.AfterSale).Sub(d.CostBack) {
			t.Errorf("%s: it stands at %s, the sale cost %s, %s of that later; want %s, %s, %s", name,
				a.Carrying, a.CostOfSales, d.AfterSale, c.stock, c.of, c.at)
		}
	}
}

// Work that was done while the piano was its buyer's belongs neither to our stock nor to the sale,
// whenever it is entered; late bills for what came before do, and what is taken back goes where it
// came from. What we bore for the buyer is an expense of selling.
func TestWorkOnABuyersPianoIsNeitherStockNorSold(t *testing.T) {
	t.Parallel()
	warranty := later(3, "70.00")
	warranty.Purpose, warranty.Inventory = cost.Warranty, false
	for name, c := range map[string]struct {
		cost           cost.Dated
		stock, selling string
	}{
		"on the day of the hand-over":    {later(0, "100.00"), "1600.00", "0.00"},
		"the day after":                  {later(1, "100.00"), "1500.00", "0.00"},
		"the day before the return":      {later(4, "100.00"), "1500.00", "0.00"},
		"on the day of the return":       {later(5, "100.00"), "1600.00", "0.00"},
		"taken back of work of that day": {later(0, "-100.00"), "1400.00", "0.00"},
		"under our warranty":             {warranty, "1500.00", "70.00"},
	} {
		f := backAgain(t, "0.00")
		f.Costs = append(f.Costs, c.cost)
		a := f.Account()
		if a.Carrying != pounds(c.stock) || a.Selling != pounds(c.selling) ||
			a.Landed != a.Carrying.Add(a.CostOfSales) {
			t.Errorf("%s: it stands at %s with %s of selling, want %s and %s", name, a.Carrying,
				a.Selling, c.stock, c.selling)
		}
		f.Sales[0].Return = nil
		if a := f.Account(); !a.Carrying.IsZero() || a.Landed != a.CostOfSales {
			t.Errorf("%s, still sold: %+v", name, a)
		}
	}
}

// A job that was accepted while the piano was its buyer's is the buyer's, on whatever day.
func TestAJobOfABuyerIsNeitherStockNorSold(t *testing.T) {
	t.Parallel()
	f := backAgain(t, "0.00")
	at := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	f.Sales[0].HandOver.RecordedAt, f.Sales[0].Return.RecordedAt = at, at.Add(2*time.Hour)
	j := uuid.UUID{5}
	f.Theirs = sale.Theirs(f.Sales, map[uuid.UUID]time.Time{j: at.Add(time.Hour)})
	c := later(0, "100.00")
	c.Job = j
	f.Costs = append(f.Costs, c)
	if a := f.Account(); a.Carrying != pounds("1500.00") {
		t.Errorf("it stands at %s, want 1,500.00", a.Carrying)
	}
}

// What counts in the books on the day of a sale is what was posted by then.
func TestTheCostOfADayIsWhatWasPostedByThen(t *testing.T) {
	t.Parallel()
	f := sale.File{Currency: gbp, Costs: append(costs("1500.00"), later(0, "60.00"))}
	for days, want := range map[int]money.Amount{
		-1: zero, 0: pounds("1500.00"), 29: pounds("1500.00"), 30: pounds("1560.00"),
	} {
		if got := f.Posted(today.AddDays(days)).Unsold(); got != want {
			t.Errorf("on day %d it stands at %s, want %s", days, got, want)
		}
	}
}
