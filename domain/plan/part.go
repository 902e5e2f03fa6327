package plan

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"

	"github.com/google/uuid"
)

// Supplied is how the parts of an operation stand by the shop's own stock and orders.
type Supplied struct {
	Operation catalogue.Code `json:"operation"`
	// Parts are those that were looked for, also where all of them are there.
	Parts []uuid.UUID `json:"parts"`
	// LeadKnown means that stock and orders say when there is what the catalogue gives a lead time
	// for, so that its lead time isn't waited for.
	LeadKnown bool       `json:"lead_known,omitempty"`
	Waits     []PartWait `json:"waits,omitempty"`
}

// PartWait is a part that an operation waits for.
type PartWait struct {
	From time.Time `json:"from"` // when it is at the bench
	Why  string    `json:"why"`
	// LeadDays is how long a part that isn't ordered takes from the day of its order, and Item what it
	// is called; 0 for one that is ordered. From is then as if it were ordered today.
	LeadDays int    `json:"lead_days,omitempty"`
	Item     string `json:"item,omitempty"`
}

// waitForSupplied makes an operation wait for the parts that stock and orders say aren't there, and
// reports whether they say so too of what the catalogue gives a lead time for.
func (b *networkBuilder) waitForSupplied(code catalogue.Code) (leadKnown bool) {
	for _, s := range b.job.supplied {
		if s.Operation != code {
			continue
		}
		leadKnown = leadKnown || s.LeadKnown
		for _, w := range s.Waits {
			b.waitForPart(code, w)
		}
	}
	return leadKnown
}

func (b *networkBuilder) waitForPart(code catalogue.Code, w PartWait) {
	b.release(code, w.From, w.Why)
	if w.LeadDays == 0 {
		return
	}
	lead := schedule.Minutes(w.LeadDays) * 24 * schedule.Hour
	for _, after := range b.orderedAfter(code) {
		why := fmt.Sprintf("%s: %d days from the order, after %s", w.Item, w.LeadDays,
			b.lines[after].Name)
		b.addPrecedence(precedence{from: after, to: code, lag: &lead, why: why})
	}
}

// PartsOf returns the parts that were looked for to date the work in a queue, each once.
func PartsOf(queue []QueuedWork) []uuid.UUID {
	var list []uuid.UUID
	for _, q := range queue {
		for _, s := range q.Supplied {
			for _, part := range s.Parts {
				if !slices.Contains(list, part) {
					list = append(list, part)
				}
			}
		}
	}
	return list
}

// Parts returns the parts that were looked for to date the jobs of the plan, each once.
func (in Inputs) Parts() []uuid.UUID {
	queue := make([]QueuedWork, len(in.Jobs))
	for i, j := range in.Jobs {
		queue[i] = j.Left
	}
	return PartsOf(queue)
}
