package supply

import (
	"cmp"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/stock"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Need is how much of a part a task of an accepted job still wants. It moves nothing: what it
// reserves is taken off what others may count on.
type Need struct {
	Part      uuid.UUID
	Job       uuid.UUID
	Operation catalogue.Code
	Units     decimal.Decimal // of stock, less what the task has got
	On        domain.Date     // the day on which the task begins by the kept plan; zero: not planned
}

// Stocked is a part with what is in stock and on order of it.
type Stocked struct {
	Part    stock.Part
	Held    decimal.Decimal
	OnOrder decimal.Decimal               // for stock
	ForJobs map[uuid.UUID]decimal.Decimal // on order for a job, by job
	Lead    LeadTime                      // of its usual supplier
}

// Shortage is what a task wants of a part, or its minimum asks for, and is neither there nor on
// order once what is wanted earlier is taken off.
type Shortage struct {
	Part  stock.Part
	Need  *Need // nil: of the minimum
	Short decimal.Decimal
	// OrderBy is the likely lead time before the task; zero where either isn't known.
	OrderBy domain.Date
}

// Shortages returns what is short of each part, in the order of the parts and of the days of the
// tasks; tasks without a day come last.
func Shortages(parts []Stocked, needs []Need) []Shortage {
	of := map[uuid.UUID][]Need{}
	for _, n := range needs {
		if n.Units.IsPositive() {
			of[n.Part] = append(of[n.Part], n)
		}
	}
	var list []Shortage
	for _, s := range parts {
		list = append(list, s.shortages(of[s.Part.ID])...)
	}
	return list
}

func (s Stocked) shortages(needs []Need) []Shortage {
	slices.SortStableFunc(needs, func(a, b Need) int {
		if a.On.IsZero() != b.On.IsZero() {
			return map[bool]int{true: 1, false: -1}[a.On.IsZero()]
		}
		return cmp.Or(a.On.Compare(b.On), cmp.Compare(a.Operation, b.Operation))
	})
	free := s.Held.Add(s.OnOrder)
	made := map[uuid.UUID]decimal.Decimal{}
	for job, units := range s.ForJobs {
		made[job] = units
	}
	var list []Shortage
	for _, n := range needs {
		own := decimal.Min(made[n.Job], n.Units)
		made[n.Job] = made[n.Job].Sub(own)
		wanted := n.Units.Sub(own)
		got := decimal.Min(free, wanted)
		free = free.Sub(got)
		if short := wanted.Sub(got); short.IsPositive() {
			x := Shortage{Part: s.Part, Need: &n, Short: short}
			if s.Lead.Days != nil && !n.On.IsZero() {
				x.OrderBy = n.On.AddDays(-s.Lead.Days.Likely)
			}
			list = append(list, x)
		}
	}
	if short := s.Part.Minimum.Sub(free); short.IsPositive() {
		list = append(list, Shortage{Part: s.Part, Short: short})
	}
	return list
}

// ProposedOrder is what to order from a supplier, part by part.
type ProposedOrder struct {
	Supplier uuid.UUID // zero: the part has no usual supplier
	Lines    []ProposedLine
}

// ProposedLine is how much to order of a part: whole purchase units where it is bought by them.
type ProposedLine struct {
	Part     uuid.UUID
	Quantity decimal.Decimal
	Unit     string
	OrderBy  domain.Date // the first of its shortages; zero: not known
}

// Propose returns what to order so that nothing is short, by supplier.
func Propose(short []Shortage) []ProposedOrder {
	var list []ProposedOrder
	for i := 0; i < len(short); {
		p, units, first := short[i].Part, decimal.Zero, domain.Date{}
		for ; i < len(short) && short[i].Part.ID == p.ID; i++ {
			units = units.Add(short[i].Short)
			if d := short[i].OrderBy; !d.IsZero() && (first.IsZero() || d.Compare(first) < 0) {
				first = d
			}
		}
		line := ProposedLine{Part: p.ID, Quantity: units, Unit: p.Unit, OrderBy: first}
		if p.PurchaseUnit != "" {
			line.Unit = p.PurchaseUnit
			whole, rest := units.QuoRem(p.Content, 0)
			if line.Quantity = whole; rest.IsPositive() {
				line.Quantity = whole.Add(decimal.NewFromInt(1))
			}
		}
		at := slices.IndexFunc(list, func(x ProposedOrder) bool { return x.Supplier == p.Supplier })
		if at < 0 {
			at = len(list)
			list = append(list, ProposedOrder{Supplier: p.Supplier})
		}
		list[at].Lines = append(list[at].Lines, line)
	}
	return list
}
