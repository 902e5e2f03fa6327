package domain

import (
	"fmt"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// WayOut is one way to go on with an instrument of our own that is in pieces.
type WayOut string

// The ways: as planned, at a shallower depth, or taken apart for its parts.
const (
	GoOn    WayOut = "go_on"
	Shallow WayOut = "shallower"
	PartOut WayOut = "part_out"
)

// WayOutQuestion is what the ways are expected to fetch. Sale prices hold tax
// as the workshop's regime has it.
type WayOutQuestion struct {
	Sale       *decimal.Decimal // as planned; nil: not known
	Depth      catalogue.Depth  // the shallower one; empty: not asked
	DepthSale  *decimal.Decimal
	PartsSale  *decimal.Decimal
	PartsHours decimal.Decimal  // to take it apart and sell the parts
	BoughtFor  *decimal.Decimal // what a margin is reckoned from; nil: not known
}

// Remainder is one way worked out from here on. What was spent so far is
// nowhere in it: it is the same whatever is decided.
type Remainder struct {
	Way      WayOut
	Depth    catalogue.Depth
	Hours    decimal.Decimal // person-hours to go
	CostToGo pricing.Range
	Ready    time.Time // zero: nothing to wait for, or not datable
	Sale     *money.Amount
	Lines    []RemainderLine // from the sale to what is left, at the likely cost
	Left     *pricing.Range  // Low where the work costs most; nil without a sale price
	// LeftOpen are tasks that were begun and that this way does not finish.
	LeftOpen []catalogue.Code
}

// RemainderLine is one line of the sums; what is taken off is negative, so that
// the lines add up to what is left.
type RemainderLine struct {
	Item   string
	Amount money.Amount
	Basis  string // how it came about
}

// Reckon takes from a sale what it costs from here on: tax, selling, storage
// until it is sold, and the work to go.
func (r *Remainder) Reckon(sale decimal.Decimal, bought *decimal.Decimal, t Terms, today Date, zone *time.Location) error {
	c, err := money.ParseCurrency(t.Currency)
	if err != nil {
		return err
	}
	price, err := money.Round(sale, c, money.HalfUp)
	if err != nil {
		return err
	}
	purchase, basis := money.Zero(c), "the purchase price is not known, so all of the sale counts as margin"
	if bought != nil {
		if purchase, err = money.Round(*bought, c, money.HalfUp); err != nil {
			return err
		}
		basis = "purchase price " + purchase.String()
	}
	rule := pricing.TaxRule{Regime: taxRegimes[t.TaxRegime], Rate: t.TaxRate}
	tax, err := rule.OnSale(price, purchase)
	if err != nil {
		return err
	}
	if t.TaxRegime != MarginTax {
		basis = tax.Regime.String()
	}
	selling, err := money.Round(sale.Mul(t.SellingShare).Add(t.SellingFixed), c, money.HalfUp)
	if err != nil {
		return err
	}
	days := t.DaysOnFloor
	if !r.Ready.IsZero() {
		days += max(today.DaysUntil(DateOf(r.Ready.In(zone))), 0)
	}
	storage, err := money.Round(t.StoragePerDay.Mul(decimal.NewFromInt(int64(days))), c, money.HalfUp)
	if err != nil {
		return err
	}
	net := price.Sub(tax.Due).Sub(selling).Sub(storage)
	r.Sale = &price
	r.Left = &pricing.Range{Low: net.Sub(r.CostToGo.High), Likely: net.Sub(r.CostToGo.Likely), High: net.Sub(r.CostToGo.Low)}
	r.Lines = []RemainderLine{
		{Item: "sale", Amount: price},
		{Item: "tax", Amount: tax.Due.Neg(), Basis: basis + "; " + tax.Note},
		{Item: "selling", Amount: selling.Neg(), Basis: fmt.Sprintf("%s × sale + %s", t.SellingShare, t.SellingFixed)},
		{Item: "storage", Amount: storage.Neg(), Basis: fmt.Sprintf("%d days × %s", days, t.StoragePerDay)},
		{Item: "work to go", Amount: r.CostToGo.Likely.Neg(), Basis: r.Hours.String() + " h left"},
	}
	return nil
}

// TakingApart is what it costs to take an instrument apart for its parts: hours
// at the workshop's dearest labour rate, so that it does not look too good, and
// overhead.
func TakingApart(hours decimal.Decimal, t Terms) (pricing.Range, error) {
	c, err := money.ParseCurrency(t.Currency)
	if err != nil {
		return pricing.Range{}, err
	}
	rate := decimal.Zero
	for _, skill := range sortedKeys(t.LabourRates) {
		rate = decimal.Max(rate, t.LabourRates[skill])
	}
	cost, err := money.Round(hours.Mul(rate.Add(t.OverheadRate)), c, money.HalfUp)
	return pricing.Certain(cost), err
}

// At is the job with what is left of it at another depth: finished tasks stay,
// begun ones that the depth has too go on with the hours that are left, and the
// rest is dropped.
func (j Job) At(c *catalogue.Catalogue, shallower Scope) (at Job, leftOpen []catalogue.Code) {
	at = j
	at.Depth, at.Settled, at.Tasks = shallower.Depth, shallower.Settled, nil
	wanted := map[catalogue.Code]Line{}
	for _, l := range jobLines(c, shallower) {
		wanted[l.Operation] = l
	}
	for _, t := range j.Tasks {
		l, stays := wanted[t.Operation]
		delete(wanted, t.Operation)
		switch {
		case !t.Open():
		case !stays:
			if t.Begun() {
				leftOpen = append(leftOpen, t.Operation)
			}
			t.Dropped = true
		case !t.Begun():
			t = taskFor(c, l)
		}
		at.Tasks = append(at.Tasks, t)
	}
	for _, l := range jobLines(c, shallower) {
		if _, fresh := wanted[l.Operation]; fresh {
			at.Tasks = append(at.Tasks, taskFor(c, l))
		}
	}
	return at, leftOpen
}
