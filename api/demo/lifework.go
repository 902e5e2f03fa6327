package demo

import (
	"slices"
	"time"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/hours"
	"bentside/domain/job"
	"bentside/domain/stock"

	"github.com/shopspring/decimal"
)

// took is how many of the planned hours some tasks took; the others took what was planned.
var took = map[catalogue.Code]decimal.Decimal{"RG-01": dec("1.4"), "AC-06": dec("1.1")}

// withSundries are the tasks to which a set of felts, cloths and pins was issued.
var withSundries = []catalogue.Code{"AC-01", "KY-01", "KY-02", "DA-01"}

// next returns the first task that can be done now; nil: none.
func (l *living) next() *job.Task {
	for i, t := range l.job.Tasks {
		if t.Open() && (!l.waiting || t.Operation != hammered) &&
			len(l.job.Ahead(l.of, t.Operation)) == 0 {
			return &l.job.Tasks[i]
		}
	}
	return nil
}

// workUntil does what can be done, up to a task; all of it where the task doesn't exist.
func (l *living) workUntil(last catalogue.Code) error {
	for t := l.next(); t != nil; t = l.next() {
		code := t.Operation
		if err := l.do(*t); err != nil || code == last {
			return err
		}
	}
	return nil
}

// do works on a task until it is finished.
func (l *living) do(t job.Task) error {
	if slices.Contains(withSundries, t.Operation) {
		one := decimal.NewFromInt(1)
		if _, err := l.MoveStock(l, l.actor, stock.Draft{
			Part: l.sundries, Kind: stock.Issue, Quantity: &one, Job: l.job.ID, Operation: t.Operation,
		}); err != nil {
			return err
		}
	}
	planned := t.Planned.Mul(decimal.NewFromInt(domain.MinutesPerHour))
	if share, other := took[t.Operation]; other {
		planned = planned.Mul(share)
	}
	e := hours.Entry{Job: l.job.ID, Operation: t.Operation}
	if err := l.book(t.Line.Skill, int(planned.Round(0).IntPart()), e); err != nil {
		return err
	}
	if t.Operation == hammered {
		e.Rework, e.Note = hours.NormalRework, "six of them hung askew"
		if err := l.book(t.Line.Skill, 90, e); err != nil {
			return err
		}
	}
	now, err := l.RecordProgress(l, l.actor, l.job.ID, job.Progress{
		Operation: t.Operation, Finished: true,
	})
	l.job = now.Value
	return err
}

// book enters minutes day by day, as those of the first of the crew who can do it, and turns the
// clock to each day.
func (l *living) book(skill string, minutes int, e hours.Entry) error {
	who := slices.IndexFunc(l.people, func(p domain.Person) bool {
		return slices.Contains(p.Skills, skill)
	})
	for minutes > 0 {
		day := l.clock.today()
		for l.closed(day) || l.busy[day] >= benchDay {
			day = day.AddDays(1)
		}
		l.clock.turn(day)
		e.Person, e.On, e.Minutes = l.people[who].ID, day, min(benchDay-l.busy[day], minutes)
		if _, err := l.EnterHours(l, l.actor, app.HoursDraft{Entry: e}); err != nil {
			return err
		}
		l.busy[day] += e.Minutes
		minutes -= e.Minutes
		if l.weeks[e.Person] == nil {
			l.weeks[e.Person] = map[domain.Date]bool{}
		}
		l.weeks[e.Person][hours.WeekOf(day)] = true
	}
	return nil
}

func (l *living) closed(day domain.Date) bool {
	w := day.In(time.UTC).Weekday()
	return w == time.Saturday || w == time.Sunday || slices.Contains(l.holidays, day)
}

// finish does the rest, has the hours approved and closes the job.
func (l *living) finish() error {
	if err := l.workUntil(""); err != nil {
		return err
	}
	for _, p := range l.people {
		for week := range l.weeks[p.ID] {
			if _, err := l.ApproveHours(l, l.actor, app.WeekApproval{Person: p.ID, Week: week}); err != nil {
				return err
			}
		}
	}
	now, err := l.CloseJob(l, l.actor, l.job.ID, app.Closing{
		Outcome: job.Finished, On: l.clock.today(),
	})
	if err != nil {
		return err
	}
	l.job = now.Value
	done, _ := l.job.Hours()
	longest := l.job.Task("RG-01")
	l.tell("finished after %s h; %s took %s h, where %s were planned", done.StringFixed(1),
		longest.Operation, longest.Done.StringFixed(1), longest.Planned.StringFixed(1))
	return nil
}
