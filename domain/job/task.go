package job

import (
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"

	"github.com/shopspring/decimal"
)

// Task is one operation of a job.
type Task struct {
	Operation catalogue.Code  `json:"operation"`
	Planned   decimal.Decimal `json:"planned"` // person-hours, when the task came into the job
	// Done is the person-hours so far: what was stated before anybody booked hours, as of a job that
	// joined under way, and Minutes.
	Done decimal.Decimal `json:"done"`
	// Minutes are those booked by person and day, less what was taken back.
	Minutes    int             `json:"-"`
	Left       decimal.Decimal `json:"left"` // person-hours, by the last word on the task
	FinishedAt *time.Time      `json:"finished_at,omitempty"`
	Dropped    bool            `json:"dropped,omitempty"` // taken out by an accepted proposal
	Order      int             `json:"place"`             // in the order of the trade
	// Line is the line of the scope that the task is for; nil for a task that was accepted before
	// jobs kept their lines.
	Line *scope.Line `json:"line,omitempty"`
	// Again is why the task was opened again last; nil: it never was.
	Again *Again `json:"again,omitempty"`
	// LastEntry is the last progress that was booked on the task; nil where there is none but what
	// the job was taken over with.
	LastEntry *Booking `json:"-"`
	// OutOfOrder is the last reason given for working on it before its time; nil: none.
	OutOfOrder *OutOfOrder `json:"-"`
}

// Booking is when progress was booked.
type Booking struct {
	On domain.Date // the day that it is true for
	At time.Time
}

// ended returns when the work ended by the entry: when it was made, or at the end of an earlier day
// that it is true for.
func (e Booking) ended(zone *time.Location) time.Time {
	if end := e.On.AddDays(1).In(zone); end.Before(e.At) {
		return end
	}
	return e.At
}

// Stated returns the person-hours that were stated before anybody booked hours on the task.
func (t Task) Stated() decimal.Decimal { return t.Done.Sub(domain.HoursOf(t.Minutes)) }

// put adds minutes that were booked on the task; below zero, it takes them back.
func (t *Task) put(minutes int) {
	stated := t.Stated()
	t.Minutes += minutes
	t.Done = stated.Add(domain.HoursOf(t.Minutes))
}

// Open reports whether there is still something to do on the task.
func (t Task) Open() bool { return t.FinishedAt == nil && !t.Dropped }

// Begun reports whether hours were put into the task since it was opened last.
func (t Task) Begun() bool { return t.doneNow().IsPositive() || t.FinishedAt != nil }

// ours reports whether the crew does the task; an outside firm's hours aren't counted.
func (t Task) ours() bool { return t.Line != nil && t.Line.Making != catalogue.Outside }

// underWay reports whether the crew has begun the task and has hours left on it.
func (t Task) underWay() bool {
	return t.Open() && t.doneNow().IsPositive() && t.Left.IsPositive() && t.ours()
}

// workDone reports whether no work is left on the task: it is finished, or its last hours were
// booked. It may still be drying or settling.
func (t Task) workDone() bool {
	booked := t.LastEntry != nil && t.doneNow().IsPositive() && t.Left.IsZero() && t.ours()
	return t.FinishedAt != nil || booked
}

// betweenSittings reports whether some of the task's spaced sittings are done, as far as the hours
// tell, and the next one hasn't begun.
func (t Task) betweenSittings() bool {
	n, begun := t.sittingsLeft()
	return t.underWay() && n < t.Line.Sessions && !begun
}

// sittingsLeft returns how many spaced sittings the hours left amount to, and whether the first of
// them has begun. Hours within a quarter of a sitting of a whole number count as that number.
func (t Task) sittingsLeft() (n int, begun bool) {
	l, whole := t.Line, t.whole()
	if l.Sessions < 2 || !whole.IsPositive() || !t.Left.LessThan(whole) {
		return l.Sessions, t.doneNow().IsPositive()
	}
	sessions := decimal.NewFromInt(int64(l.Sessions))
	share := sessions.Mul(t.Left).DivRound(whole, domain.DecimalPlaces)
	round := share.Round(0)
	if round.IsPositive() && share.Sub(round).Abs().LessThanOrEqual(quarter) {
		return int(round.IntPart()), false
	}
	return max(int(share.Ceil().IntPart()), 1), true
}

var quarter = decimal.New(25, -2)

// remainingLine returns the line of the task with the hours and sittings that are left.
func (t Task) remainingLine() scope.Line {
	l := *t.Line
	l.Sessions, _ = t.sittingsLeft()
	l.Hours = catalogue.ThreePoint{Low: t.Left, Likely: t.Left, High: t.Left}
	return l
}

// sortTasks puts tasks in the order of the trade.
func sortTasks(tasks []Task) {
	slices.SortStableFunc(tasks, func(a, b Task) int { return a.Order - b.Order })
}
