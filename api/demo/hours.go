package demo

import (
	"context"
	"fmt"
	"slices"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/hours"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// benchDay is how long one of the crew is at the bench on a day of the story; what is left on its
// last day is done on that day.
const benchDay = 6 * domain.MinutesPerHour

// diary is when the crew was at the bench in the story.
type diary struct {
	app    *app.App
	actor  app.Actor
	people []domain.Person
	booked map[uuid.UUID]map[domain.Date]int // minutes
}

func openDiary(ctx context.Context, a *app.App, actor app.Actor) (*diary, error) {
	list, err := a.Read(ctx, actor).People(ctx, postgres.Whole)
	d := &diary{app: a, actor: actor, booked: map[uuid.UUID]map[domain.Date]int{}}
	for _, p := range list {
		d.people = append(d.people, p.Value)
		d.booked[p.Value.ID] = map[domain.Date]int{}
	}
	return d, err
}

// finish enters the hours planned for a task, from a day on, as those of the first of the crew who
// can do it, and says that it is finished. It returns the last day of the work.
func (d *diary) finish(
	ctx context.Context, j uuid.UUID, t job.Task, from domain.Date,
) (domain.Versioned[job.Job], domain.Date, error) {
	minutes := int(t.Planned.Mul(decimal.NewFromInt(domain.MinutesPerHour)).Round(0).IntPart())
	who := slices.IndexFunc(d.people, func(p domain.Person) bool {
		return slices.Contains(p.Skills, t.Line.Skill)
	})
	if minutes > 0 && who < 0 && t.Line.Making != catalogue.Outside {
		return domain.Versioned[job.Job]{}, from, fmt.Errorf("nobody can do %s", t.Operation)
	}
	for day := from; minutes > 0 && who >= 0; day = day.AddDays(1) {
		p := d.people[who].ID
		free := benchDay - d.booked[p][day]
		if day.DaysUntil(Today) <= 0 {
			free = minutes
		}
		weekday := day.In(time.UTC).Weekday()
		if free <= 0 || weekday == time.Saturday || weekday == time.Sunday {
			continue
		}
		put := min(free, minutes)
		if _, err := d.app.EnterHours(ctx, d.actor, app.HoursDraft{Entry: hours.Entry{
			Person: p, Job: j, Operation: t.Operation, On: day, Minutes: put,
		}}); err != nil {
			return domain.Versioned[job.Job]{}, from, fmt.Errorf("enter hours on %s: %w", t.Operation, err)
		}
		d.booked[p][day] += put
		minutes -= put
		from = day
	}
	now, err := d.app.RecordProgress(ctx, d.actor, j, job.Progress{
		Operation: t.Operation, Finished: true,
	})
	return now, from, err
}
