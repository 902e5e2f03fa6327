package opening

import (
	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Setting is what the rows of an opening are checked against.
type Setting struct {
	Currency money.Currency
	Regime   domain.TaxRegime // the workshop's
	OpenedOn domain.Date
	Today    domain.Date
	Pianos   map[string]KnownPiano // by stock number
	Parts    map[string]KnownPart  // by code in lower case
	Jobs     map[uuid.UUID]KnownJob
}

// Balances returns the day on which everything that comes in counts in the books.
func (s Setting) Balances() domain.Date { return BalancesOn(s.OpenedOn) }

// BalancesOn returns the day on which the balances of an opening count.
func BalancesOn(opened domain.Date) domain.Date { return opened.AddDays(-1) }

// Check returns an Invalid Fault with everything wrong in the files, by line and column, or nil.
func (b *Books) Check(s Setting) error {
	if n := s.OpenedOn.DaysUntil(s.Today); n < 0 || n > maxDaysOpen {
		b.check.Add("#/query/opened_on", "must be today, %s, or earlier, at most a year ago", s.Today)
	}
	for _, check := range []func(Setting) error{
		b.checkPianos, b.checkLots, b.checkOrders, b.checkDeliveries, b.checkDeposits, b.checkClientJobs,
	} {
		if err := check(s); err != nil {
			return err
		}
	}
	return b.faults()
}

// maxDaysOpen is how long ago a workshop may have begun: whoever enters a year late would enter the
// year anyway.
const maxDaysOpen = 366

// maxAmount is more than any amount in old books.
var maxAmount = decimal.NewFromInt(100_000_000)

// amount returns the amount in a cell, and adds it up; zero where there is none, or something wrong
// is noted.
func (b *Books) amount(
	p Place, column string, d *decimal.Decimal, c money.Currency,
) money.Amount {
	a := b.amountIn(p, column, d, c)
	if !a.IsZero() {
		b.add(p.File, column, a)
	}
	return a
}

// amountIn is amount without adding it up, in any currency.
func (b *Books) amountIn(
	p Place, column string, d *decimal.Decimal, c money.Currency,
) money.Amount {
	switch {
	case d == nil:
	case !domain.WithinDigits(*d) || d.IsNegative() || d.GreaterThan(maxAmount):
		b.wrong(p, column, "must be an amount from 0 to %s", maxAmount)
	case domain.HasMoreDecimals(*d, c.Decimals()):
		b.wrong(p, column, "%s has more decimals than %s", d, c)
	default:
		return money.FromMinor(d.Shift(c.Decimals()).IntPart(), c)
	}
	return money.Zero(c)
}

// checkLength notes a fault where a text is too long.
func (b *Books) checkLength(p Place, column, text string) {
	var f domain.Faults
	if f.CheckLength(column, text, domain.MaxName); len(f) > 0 {
		b.wrong(p, column, "%s", f[0].Detail)
	}
}

// checkBefore notes a fault unless a day is given that was before the opening.
func (b *Books) checkBefore(p Place, column string, day domain.Date, s Setting) {
	n := day.DaysUntil(s.OpenedOn)
	switch {
	case day.IsZero() && b.isWrong(p, column):
	case day.IsZero():
		b.wrong(p, column, "must be given: a day like 2026-11-25")
	case n <= 0 || n > domain.MaxDaysBack:
		b.wrong(p, column, "must be before %s, the day of the opening, at most 50 years", s.OpenedOn)
	}
}

// isWrong reports whether a fault of a cell is noted.
func (b *Books) isWrong(p Place, column string) bool {
	f := b.read[p.File]
	for _, x := range f.Faults() {
		if x.Line == p.Line && x.Column == f.Column(column) {
			return true
		}
	}
	return false
}
