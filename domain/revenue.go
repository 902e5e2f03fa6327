package domain

// RevenuePolicy says when what a client pays for work on an instrument of theirs becomes revenue.
// It is the workshop's accounting policy; which one its framework asks for is for its accountant.
type RevenuePolicy string

// The policies. Empty stands for OverTime and is kept as it.
const (
	// OverTime: as the work goes on, since the client controls the instrument meanwhile (IFRS 15,
	// paragraph 35(b)).
	OverTime RevenuePolicy = "over_time"
	// OnCompletion: once the work is finished. IFRS doesn't know it for such work; some national
	// frameworks ask for it.
	OnCompletion RevenuePolicy = "on_completion"
)

func (p RevenuePolicy) check(f *Faults) {
	if p != "" && p != OverTime && p != OnCompletion {
		f.Add("#/client_revenue", "must be over_time or on_completion, not %q", p)
	}
}
