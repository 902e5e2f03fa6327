package scope

import (
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// JobOperation returns the operation of a line that is part of a job. It returns nil for the survey
// before the job, for work that belongs to the sale after it, and for a code that isn't in the
// catalogue.
func JobOperation(c *catalogue.Catalogue, l Line) *catalogue.Operation {
	op := c.Operation(l.Operation)
	if op == nil || countedIn(c, op) != "" {
		return nil
	}
	return op
}

// PlannedHours returns the likely person-hours of the planned lines of a job, which the dates are
// worked out from. The survey before the job and work for the sale are left out.
func PlannedHours(c *catalogue.Catalogue, s Scope) decimal.Decimal {
	sum := decimal.Zero
	for _, l := range s.Lines {
		if JobOperation(c, l) != nil && l.Planned() {
			sum = sum.Add(l.Hours.Likely)
		}
	}
	return sum
}
