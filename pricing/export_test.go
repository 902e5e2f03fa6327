package pricing

import "bentside/domain/money"

// Crossing shows the tests where the closed form lands before the rounded sums move it.
func (b Bid) Crossing(wanted money.Amount) int64 { return b.crossing(wanted) }
