package cost

import (
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/stock"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Issued is where an issue of parts went.
type Issued struct {
	Instrument uuid.UUID
	Job        uuid.UUID
	Operation  catalogue.Code
	On         domain.Date
	CountsAs   stock.CountsAs
}

// purpose returns what parts of an issue were for.
func (i Issued) purpose() Purpose {
	switch i.CountsAs {
	case stock.NormalLoss:
		return NormalLoss
	case stock.AbnormalLoss:
		return AbnormalLoss
	case stock.Overhead: // goes to no job
	}
	return Work
}

// Concerned returns the moves that a move has taken from or given to, other than the stock.
func Concerned(m stock.Move) []uuid.UUID {
	var list []uuid.UUID
	seen := map[uuid.UUID]bool{uuid.Nil: true}
	for _, e := range m.Entries {
		if !seen[e.OutOn] {
			seen[e.OutOn] = true
			list = append(list, e.OutOn)
		}
	}
	return list
}

// OfMove returns the lines of a move of parts: what it brings to each job or takes from it, where
// the issues to jobs are given. A recosting took place when the parts were issued and is known only
// now; anything else on its own day.
func OfMove(m stock.Move, unit string, issues map[uuid.UUID]Issued) []Line {
	var lines []Line
	for _, out := range Concerned(m) {
		to, known := issues[out]
		if !known {
			continue
		}
		quantity, amount := decimal.Zero, money.Zero(m.Value.Currency())
		for _, e := range m.Entries {
			if e.OutOn == out {
				quantity, amount = quantity.Add(e.Quantity), amount.Add(e.Value)
			}
		}
		on := later(m.On, to.On)
		if m.Kind == stock.Recosting {
			on = to.On
		}
		lines = append(lines, Line{
			Instrument: to.Instrument, Job: to.Job, Operation: to.Operation, Kind: Parts,
			Purpose: to.purpose(), Amount: amount, Quantity: &quantity, Unit: unit, On: on,
			PostedOn: later(m.PostedOn, on), Source: StockMove, SourceID: m.ID, Origin: out,
		})
	}
	return numbered(lines)
}
