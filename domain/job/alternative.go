package job

import (
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// AlternativeKind is a way to go on with an instrument that is in pieces.
type AlternativeKind string

// The ways: as planned, at a shallower depth, or taken apart for its parts.
const (
	GoOn    AlternativeKind = "go_on"
	Shallow AlternativeKind = "shallower"
	PartOut AlternativeKind = "part_out"
)

// AlternativesInput is what the alternatives are expected to bring. Sale prices include tax as the
// workshop's regime has it.
type AlternativesInput struct {
	Sale       *decimal.Decimal // as planned; nil: not known
	Depth      catalogue.Depth  // the shallower one; empty: not asked for
	DepthSale  *decimal.Decimal
	PartsSale  *decimal.Decimal
	PartsHours decimal.Decimal  // to take it apart and sell the parts
	BoughtFor  *decimal.Decimal // what a margin is computed from; nil: as is recorded
}

// Check returns an Invalid Fault where something is asked that the job has no answer to: what a
// client's instrument sells for, or anything of a closed job, of which nothing is to go.
func (q AlternativesInput) Check(s State, owner instrument.Ownership) error {
	var f domain.Faults
	why := ""
	switch {
	case s == Closed:
		why = "the job is closed, so that nothing is to go"
		if q.Depth != "" {
			f.Add("#/query/depth", "must be left out: %s", why)
		}
	case owner == instrument.Client:
		why = "a client's instrument isn't ours to sell or to take apart"
	default:
		return nil
	}
	for _, x := range []struct {
		name  string
		given bool
	}{
		{"sale", q.Sale != nil},
		{"depth_sale", q.DepthSale != nil},
		{"parts_sale", q.PartsSale != nil},
		{"parts_hours", !q.PartsHours.IsZero()},
		{"bought_for", q.BoughtFor != nil},
	} {
		if x.given {
			f.Add("#/query/"+x.name, "must be left out: %s", why)
		}
	}
	return f.Err()
}

// Alternative is one way to go on, from here to the sale. What was spent so far isn't counted,
// since it is the same whatever is decided.
type Alternative struct {
	Kind     AlternativeKind
	Depth    catalogue.Depth
	Hours    decimal.Decimal // person-hours to go
	CostToGo pricing.Range
	Ready    time.Time // zero: nothing to wait for, or it can't be dated
	Sale     *money.Amount
	Lines    []AlternativeLine // from the sale to what is left, at the likely cost
	Left     *pricing.Range    // Low where the work costs most; nil without a sale price
	// LeftOpen are tasks that were begun and that this alternative doesn't finish.
	LeftOpen []catalogue.Code
}

// AlternativeLine is an amount that is added, or taken off as a negative one. The lines add up to
// what is left.
type AlternativeLine struct {
	Item   string
	Amount money.Amount
	Basis  string // how it was computed
}

// AddSale sets the sale price and what is left of it after tax, selling, storage until it is sold,
// and the work to go. Of an instrument that is taken apart the parts are sold: nobody delivers and
// tunes it, and it stands on no floor.
func (a *Alternative) AddSale(
	sale decimal.Decimal, bought Bought, t domain.Terms, today domain.Date, zone *time.Location,
) error {
	c, err := money.ParseCurrency(t.Currency)
	if err != nil {
		return err
	}
	price, err := money.Round(sale, c, money.HalfUp)
	if err != nil {
		return err
	}
	tax, err := taxLine(price, bought, t)
	if err != nil {
		return err
	}
	selling, err := a.sellingLine(sale, c, t)
	if err != nil {
		return err
	}
	a.Lines = []AlternativeLine{{Item: "sale", Amount: price}, tax, selling}
	toGo := AlternativeLine{
		Item: "work to go", Amount: a.CostToGo.Likely.Neg(), Basis: a.Hours.String() + " h left",
	}
	if a.Kind == PartOut {
		toGo.Basis = a.Hours.String() + " h to take it apart and sell the parts, at the dearest " +
			"labour rate with overhead"
	} else {
		storage, err := a.storageLine(c, t, today, zone)
		if err != nil {
			return err
		}
		a.Lines = append(a.Lines, storage)
	}
	net := money.Zero(c)
	for _, l := range a.Lines {
		net = net.Add(l.Amount)
	}
	a.Sale = &price
	a.Left = &pricing.Range{
		Low: net.Sub(a.CostToGo.High), Likely: net.Sub(a.CostToGo.Likely),
		High:     net.Sub(a.CostToGo.Low),
		Expected: net.Sub(a.CostToGo.Expected),
	}
	a.Lines = append(a.Lines, toGo)
	return nil
}

// sellingLine returns what selling takes: a share of the sale, and what each instrument costs.
func (a *Alternative) sellingLine(
	sale decimal.Decimal, c money.Currency, t domain.Terms,
) (AlternativeLine, error) {
	selling := sale.Mul(t.SellingShare)
	basis := fmt.Sprintf("%s × sale", t.SellingShare)
	if a.Kind != PartOut {
		selling = selling.Add(t.SellingFixed)
		basis += fmt.Sprintf(" + %s", t.SellingFixed)
	}
	amount, err := money.Round(selling, c, money.HalfUp)
	if err != nil {
		return AlternativeLine{}, err
	}
	return AlternativeLine{Item: "selling", Amount: amount.Neg(), Basis: basis}, nil
}

// storageLine returns what it costs to keep the instrument until it is sold.
func (a *Alternative) storageLine(
	c money.Currency, t domain.Terms, today domain.Date, zone *time.Location,
) (AlternativeLine, error) {
	days := t.DaysOnFloor
	if !a.Ready.IsZero() {
		days += max(today.DaysUntil(domain.DateOf(a.Ready.In(zone))), 0)
	}
	storage, err := money.Round(t.StoragePerDay.Mul(decimal.NewFromInt(int64(days))), c, money.HalfUp)
	if err != nil {
		return AlternativeLine{}, err
	}
	return AlternativeLine{
		Item: "storage", Amount: storage.Neg(),
		Basis: fmt.Sprintf("%d days × %s", days, t.StoragePerDay),
	}, nil
}

// TakingApart returns what it costs to take an instrument apart for its parts: the hours at the
// workshop's dearest labour rate, so that it doesn't look better than it is, with overhead.
func TakingApart(hours decimal.Decimal, t domain.Terms) (pricing.Range, error) {
	c, err := money.ParseCurrency(t.Currency)
	if err != nil {
		return pricing.Range{}, err
	}
	rate := decimal.Zero
	for _, r := range t.LabourRates {
		rate = decimal.Max(rate, r)
	}
	cost, err := money.Round(hours.Mul(rate.Add(t.OverheadRate)), c, money.HalfUp)
	return pricing.Certain(cost), err
}

// AtDepth returns the job at another depth, and the tasks that were begun and are left open there.
// Finished tasks stay, begun ones that belong to that depth too go on with the hours that are left,
// and the rest are dropped.
func (j Job) AtDepth(
	c *catalogue.Catalogue, shallower scope.Scope,
) (at Job, leftOpen []catalogue.Code) {
	at = j
	at.Depth, at.Settled, at.Tasks = shallower.Depth, shallower.Settled, nil
	wanted := map[catalogue.Code]scope.Line{}
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
			t = newTask(c, l)
		}
		at.Tasks = append(at.Tasks, t)
	}
	for _, l := range jobLines(c, shallower) {
		if _, fresh := wanted[l.Operation]; fresh {
			at.Tasks = append(at.Tasks, newTask(c, l))
		}
	}
	return at, leftOpen
}
