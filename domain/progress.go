package domain

import (
	"time"

	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Progress is what is said of a task: the person-hours done on it so far and
// those left, as seen by whoever does it. Both are asked at each entry, since
// what is left is no difference of two figures but a judgement.
type Progress struct {
	ID        uuid.UUID
	Operation catalogue.Code
	Done      decimal.Decimal
	Left      decimal.Decimal
	Finished  bool
	On        Date      // the day that it holds for
	Person    uuid.UUID // of the crew; zero: whoever recorded it
	Note      string

	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Book records progress on a task. The last word holds; one that takes hours or
// the finish back is a correction, and says why.
func (j Job) Book(p Progress, today Date) (Job, error) {
	state, err := j.State.After(BookWork)
	if err != nil {
		return j, err
	}
	j.Tasks = append([]Task(nil), j.Tasks...)
	t := j.Task(p.Operation)
	switch {
	case t == nil:
		return j, Refuse(NotFound, "the job has no such operation")
	case t.Dropped:
		return j, Refuse(Conflict, "%s was taken out of the job", p.Operation)
	}
	if err := p.check(*t, today); err != nil {
		return j, err
	}
	t.Done, t.Left, t.FinishedAt, t.Worked = p.Done, p.Left, nil, &Worked{On: p.On, At: p.RecordedAt}
	if p.Finished {
		at := p.RecordedAt
		t.FinishedAt = &at
	}
	j.State = state
	return j, nil
}

// hoursPlaces are the decimals that hours of work are stored with.
const hoursPlaces = 4

func (p Progress) check(t Task, today Date) error {
	var f Faults
	for _, x := range []struct {
		pointer string
		hours   decimal.Decimal
	}{{"#/done", p.Done}, {"#/left", p.Left}} {
		if !sane(x.hours) || !x.hours.Equal(x.hours.Truncate(hoursPlaces)) {
			f.Add(x.pointer, "wants hours from 0 to %s with at most %d decimals", maxFigure, hoursPlaces)
		}
	}
	if p.Finished && !p.Left.IsZero() {
		f.Add("#/left", "a finished task has no hours left")
	}
	checkPast(&f, "#/worked_on", p.On, today)
	if len(f) == 0 && p.Note == "" && p.Done.LessThan(t.Done) {
		f.Add("#/note", "%s h were done already, so %s h correct that: say why", t.Done, p.Done)
	}
	if p.Note == "" && t.FinishedAt != nil && !p.Finished {
		f.Add("#/note", "the task was finished, so it is taken up again: say why")
	}
	return f.Err()
}

// earliest is how long ago a thing can have happened, in days.
const earliest = 50 * 366

// checkPast wants a day that has come, and not before anybody's memory.
func checkPast(f *Faults, pointer string, d, today Date) {
	if n := d.DaysUntil(today); d.IsZero() || n < 0 || n > earliest {
		f.Add(pointer, "must be a day up to today, %s, and not more than 50 years ago", today)
	}
}
