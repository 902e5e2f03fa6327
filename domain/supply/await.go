package supply

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/plan"
	"bentside/domain/stock"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// TaskNeed is what a task still calls for of a part.
type TaskNeed struct {
	Need
	// OfLead means that the part is what the catalogue gives the task a lead time for; LeadDays is
	// that time.
	OfLead   bool
	LeadDays int
}

// AwaitedLine is a line of an order of which something is still to come, or that was made for a
// task.
type AwaitedLine struct {
	Line
	Order        uuid.UUID
	Reference    string // the supplier's number of the order
	Supplier     uuid.UUID
	SupplierName string
	OrderedOn    domain.Date
	First        domain.Date // the day on which it was expected at first
	Expected     domain.Date // and is now
}

// Sources are what parts can come from.
type Sources struct {
	Parts map[uuid.UUID]stock.Part
	Held  map[uuid.UUID]decimal.Decimal // in stock, by part
	Lines []AwaitedLine
	Leads map[uuid.UUID][]LeadTime // learnt, by part
}

// lead returns what deliveries of a part by a supplier have taught; nil where there were too few.
func (s Sources) lead(part, supplier uuid.UUID) *LeadTime {
	for _, t := range s.Leads[part] {
		if t.Supplier == supplier && t.Days != nil {
			return &t
		}
	}
	return nil
}

// countedOn returns the day on which a line is counted on. Once the day that the supplier gave has
// passed that is the latest usual day by what was learnt of the supplier, and tomorrow at the
// earliest, until there is a new day (common practice, no source).
func (s Sources) countedOn(l AwaitedLine, today domain.Date) domain.Date {
	if l.Expected.Compare(today) >= 0 {
		return l.Expected
	}
	day := today.AddDays(1)
	if t := s.lead(l.Part, l.Supplier); t != nil {
		if usual := l.OrderedOn.AddDays(t.Days.High); usual.Compare(day) > 0 {
			return usual
		}
	}
	return day
}

// Await returns, job by job in the order of needs, what the tasks of the jobs in the queue wait
// for. What is made for a job goes to it. What is in stock, and then what is on order for stock,
// goes to the jobs in the order of the queue and to the tasks of each in the order given. Where
// nothing is ordered, it is taken as ordered today; a part of which no lead time is known isn't
// waited for. A part is at the bench on the morning after the day on which it comes (common
// practice, no source).
func (s Sources) Await(
	needs map[uuid.UUID][]TaskNeed, queue []uuid.UUID, today domain.Date, zone *time.Location,
) map[uuid.UUID][]plan.Supplied {
	a := allotment{
		Sources: s, today: today, zone: zone, free: map[uuid.UUID]decimal.Decimal{},
		toCome: make([]decimal.Decimal, len(s.Lines)),
	}
	for part, held := range s.Held {
		a.free[part] = held
	}
	a.Lines = slices.SortedStableFunc(slices.Values(s.Lines), func(x, y AwaitedLine) int {
		return cmp.Or(
			s.countedOn(x, today).Compare(s.countedOn(y, today)), x.OrderedOn.Compare(y.OrderedOn),
			cmp.Compare(x.Order.String(), y.Order.String()), cmp.Compare(x.Number, y.Number),
		)
	})
	for i, l := range a.Lines {
		a.toCome[i] = l.Outstanding()
	}
	list := map[uuid.UUID][]plan.Supplied{}
	for _, job := range queue {
		if waits := a.awaitedBy(job, needs[job]); len(waits) > 0 {
			list[job] = waits
		}
	}
	return list
}

// allotment is how much of the sources nobody has claimed yet.
type allotment struct {
	Sources
	today  domain.Date
	zone   *time.Location
	free   map[uuid.UUID]decimal.Decimal // in stock, by part
	toCome []decimal.Decimal             // of Lines, soonest first
}

func (a *allotment) awaitedBy(job uuid.UUID, needs []TaskNeed) []plan.Supplied {
	var list []plan.Supplied
	of := func(code catalogue.Code) *plan.Supplied {
		at := slices.IndexFunc(list, func(x plan.Supplied) bool { return x.Operation == code })
		if at < 0 {
			at = len(list)
			list = append(list, plan.Supplied{Operation: code})
		}
		return &list[at]
	}
	for _, n := range append(slices.Clone(needs), a.madeForTasks(job, needs)...) {
		x := of(n.Operation)
		if !slices.Contains(x.Parts, n.Part) {
			x.Parts = append(x.Parts, n.Part)
		}
		x.LeadKnown = x.LeadKnown || n.OfLead
		x.Waits = append(x.Waits, a.claim(job, n)...)
	}
	return list
}

// madeForTasks returns what lines of orders say that tasks of a job call for, where the parts
// themselves don't say so.
func (a *allotment) madeForTasks(job uuid.UUID, needs []TaskNeed) []TaskNeed {
	var list []TaskNeed
	for _, l := range a.Lines {
		known := slices.ContainsFunc(needs, func(n TaskNeed) bool {
			return n.Part == l.Part && n.Operation == l.Operation
		})
		came := l.Delivered.IsPositive() || l.Outstanding().IsPositive()
		if l.Job == job && l.Operation != "" && !known && came {
			n := Need{Part: l.Part, Job: job, Operation: l.Operation, Units: l.Outstanding()}
			list = append(list, TaskNeed{Need: n, OfLead: true})
		}
	}
	return list
}

// claim takes what a task needs from where it is soonest to be had, and returns what of it isn't
// there.
func (a *allotment) claim(job uuid.UUID, n TaskNeed) []plan.PartWait {
	var waits []plan.PartWait
	left := n.Units
	order := func(mine bool) {
		for i, l := range a.Lines {
			made := l.Job == job && (l.Operation == "" || l.Operation == n.Operation)
			if l.Part != n.Part || mine != made || !mine && l.Job != uuid.Nil {
				continue
			}
			got := decimal.Min(a.toCome[i], left)
			if !got.IsPositive() {
				continue
			}
			a.toCome[i], left = a.toCome[i].Sub(got), left.Sub(got)
			waits = append(waits, a.wait(l))
		}
	}
	order(true)
	if got := decimal.Min(a.free[n.Part], left); got.IsPositive() {
		a.free[n.Part], left = a.free[n.Part].Sub(got), left.Sub(got)
	}
	order(false)
	if left.IsPositive() {
		if w := a.notOrdered(n); w != nil {
			waits = append(waits, *w)
		}
	}
	return waits
}

func (a *allotment) wait(l AwaitedLine) plan.PartWait {
	day := a.countedOn(l, a.today)
	return plan.PartWait{From: a.atBench(day), Why: a.says(l, day)}
}

// atBench returns when what comes on a day can be worked with.
func (a *allotment) atBench(day domain.Date) time.Time { return day.AddDays(1).In(a.zone) }

// says words why a task waits for a line of an order. The text is stored in plans and bids.
func (a *allotment) says(l AwaitedLine, day domain.Date) string {
	text := fmt.Sprintf("waits for %s from %s, order", a.Parts[l.Part].Name, l.SupplierName)
	if l.Reference != "" {
		text += " " + l.Reference
	}
	text += fmt.Sprintf(" of %s, due %s", l.OrderedOn, l.First)
	if n := l.First.DaysUntil(l.Expected); n > 0 {
		text += fmt.Sprintf(", now %s, %s late", l.Expected, domain.Span(n))
	} else if n < 0 {
		text += fmt.Sprintf(", now %s", l.Expected)
	}
	if day != l.Expected {
		late := domain.Span(l.Expected.DaysUntil(a.today))
		text += fmt.Sprintf(", %s overdue; counted on for %s", late, day)
	}
	return text
}

// notOrdered returns the wait for a part that nobody has ordered, nil where no lead time is known.
func (a *allotment) notOrdered(n TaskNeed) *plan.PartWait {
	p := a.Parts[n.Part]
	days, by := n.LeadDays, "by the catalogue"
	if t := a.lead(n.Part, p.Supplier); t != nil {
		days, by = t.Days.Likely, fmt.Sprintf("as learnt from %d deliveries", t.Deliveries)
	}
	if days == 0 {
		return nil
	}
	return &plan.PartWait{
		From: a.atBench(a.today.AddDays(days)), LeadDays: days, Item: p.Name,
		Why: fmt.Sprintf("waits for %s, which isn't ordered: %s from today, %s, %s", p.Name, domain.Span(days),
			a.today, by),
	}
}
