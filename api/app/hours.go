package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/hours"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// HoursDraft is an entry of hours as it is sent. A person that isn't named is the one that the
// sender is, a day that isn't named is today.
type HoursDraft struct {
	hours.Entry
	Duration string // the pointer at which its duration was given
}

// EnterHours adds an entry of hours. Those on a task are added to it under the lock of its job; so
// two people who book on one task at once both count.
func (a *App) EnterHours(ctx context.Context, actor Actor, d HoursDraft) (hours.Entry, error) {
	e := d.Entry
	err := a.write(ctx, actor, domain.WriteProgress, func(tx *postgres.Tx) error {
		if e.Job == uuid.Nil || e.Operation == "" {
			return a.keepHours(ctx, tx, &e, d.Duration, jobChange{})
		}
		c, err := lockForChange(ctx, tx, e.Job)
		if faultIs(err, domain.NotFound) {
			return domain.RefuseAt(domain.Invalid, "#/job", "must be a job of the workshop, not %s", e.Job)
		}
		if err != nil {
			return err
		}
		return a.keepHours(ctx, tx, &e, d.Duration, c)
	})
	return e, err
}

// keepHours checks and stores an entry; c is its job, locked, the zero value of a standing duty.
// Faults of the entry and of the task are told together.
func (a *App) keepHours(
	ctx context.Context, tx *postgres.Tx, e *hours.Entry, duration string, c jobChange,
) error {
	checked := a.checkHours(ctx, tx, e, duration)
	if checked != nil && !faultIs(checked, domain.Invalid) {
		return checked // after what may be a deadlock nothing else can be asked
	}
	if c.tx == nil {
		if checked != nil {
			return checked
		}
		return recordHours(ctx, tx, *e, domain.Versioned[job.Job]{})
	}
	j, of, err := a.withLines(ctx, tx.Reader, c.job)
	if err != nil {
		return err
	}
	put := job.Labour{Operation: e.Operation, Minutes: e.Minutes, Reason: e.Reason}
	j, put, err = j.PutIn(of, put)
	if err := domain.JoinFaults(checked, err); err != nil {
		return err
	}
	e.Ahead = put.Ahead
	return recordHours(ctx, tx, *e, domain.Versioned[job.Job]{Value: j, Version: c.version})
}

// recordHours stores an entry and tells of it; j is its job with the hours in it, at the version
// that was locked, the zero value of a standing duty.
func recordHours(
	ctx context.Context, tx *postgres.Tx, e hours.Entry, j domain.Versioned[job.Job],
) error {
	if e.Job == uuid.Nil {
		tx.Note(domain.PersonOnDuty, e.Person, hoursNoted(e))
		return tx.AddTimeEntry(ctx, e)
	}
	tx.Note(domain.TaskWorked, j.Value.ID, labourNoted(j.Value, e))
	if err := tx.AddLabour(ctx, j.Value, e.Operation, j.Version); err != nil {
		return err
	}
	return tx.AddTimeEntry(ctx, e)
}

// checkHours completes an entry, locks its person, and checks it against the person's day.
func (a *App) checkHours(
	ctx context.Context, tx *postgres.Tx, e *hours.Entry, duration string,
) error {
	today, err := today(ctx, tx)
	if err != nil {
		return err
	}
	if e.On.IsZero() {
		e.On = today
	}
	e.ID, e.RecordedBy, e.RecordedAt = newID(e.ID), tx.Actor().User, tx.Now()
	if e.Person, err = whose(ctx, tx, e.Person); err != nil {
		return err
	}
	day, err := tx.HoursOfDay(ctx, e.Person, e.On)
	if err != nil {
		return err
	}
	return e.Check(day, duration, today)
}

// whose locks the member of the crew whose hours are entered: the one who is named, or else who the
// user is. Other people's are for those who approve hours.
func whose(ctx context.Context, tx *postgres.Tx, named uuid.UUID) (uuid.UUID, error) {
	own, err := tx.PersonOf(ctx, tx.Actor().User)
	if err != nil {
		return named, err
	}
	may := tx.Actor().Role.May(domain.ApproveHours)
	switch {
	case named == uuid.Nil && own == uuid.Nil && may:
		return named, domain.RefuseAt(domain.Invalid, "#/person", "must name the member of the crew who worked")
	case own == uuid.Nil && !may:
		return named, domain.RefuseAt(domain.Invalid, "#/person", "you aren't a member of the crew as far as is known: "+
			"have your user set in your record among the people")
	case named == uuid.Nil:
		named = own
	case named != own && !may:
		return named, domain.Refuse(domain.Forbidden,
			"the role %s enters its own hours only, not those of others", tx.Actor().Role)
	}
	err = tx.LockPerson(ctx, named)
	if faultIs(err, domain.NotFound) {
		return named, domain.RefuseAt(domain.Invalid, "#/person", "must be a member of the crew, not %s", named)
	}
	return named, err
}

// HoursReversal takes back hours of an entry.
type HoursReversal struct {
	Entry    uuid.UUID
	Minutes  int    // 0: all that are left
	Duration string // the pointer at which they were given
	Why      string
}

// ReverseHours adds the entry that takes back another. It is taken of finished tasks and closed
// jobs too, since it says that work was never done there.
func (a *App) ReverseHours(
	ctx context.Context, actor Actor, r HoursReversal,
) (hours.Entry, error) {
	var made hours.Entry
	err := a.write(ctx, actor, domain.WriteProgress, func(tx *postgres.Tx) error {
		e, err := tx.TimeEntry(ctx, r.Entry)
		if err != nil {
			return err
		}
		var j domain.Versioned[job.Job]
		if e.Job != uuid.Nil {
			if j, err = tx.LockJob(ctx, e.Job); err != nil {
				return err
			}
		}
		if _, err := whose(ctx, tx, e.Person); err != nil {
			return err
		}
		day, err := tx.HoursOfDay(ctx, e.Person, e.On)
		if err != nil {
			return err
		}
		if made, err = e.Reverse(day, r.Minutes, r.Duration, r.Why); err != nil {
			return err
		}
		made.ID, made.RecordedBy, made.RecordedAt = newID(uuid.Nil), actor.User, tx.Now()
		j.Value = j.Value.TakeBack(made.Operation, -made.Minutes)
		return recordHours(ctx, tx, made, j)
	})
	return made, err
}

// WeekApproval is somebody's word that a person's week is right.
type WeekApproval struct {
	Person   uuid.UUID
	Week     domain.Date
	Expected *int // the minutes that are pending, as the approver knows; nil: not said
	Note     string
}

// ApproveHours approves what is pending of a person's week, and posts what it costs. The jobs are
// locked before the person, as everywhere; one that hours came in for meanwhile is locked after.
func (a *App) ApproveHours(
	ctx context.Context, actor Actor, w WeekApproval,
) (hours.Approval, error) {
	var made hours.Approval
	err := a.enter(ctx, actor, domain.ApproveHours, func(tx *postgres.Tx) error {
		p, err := tx.Person(ctx, w.Person)
		if err != nil {
			return err
		}
		expected, err := tx.PendingHours(ctx, w.Person, w.Week)
		if err != nil {
			return err
		}
		if err := lockJobsOf(ctx, tx, expected); err != nil {
			return err
		}
		if err := tx.LockPerson(ctx, w.Person); err != nil {
			return err
		}
		today, err := today(ctx, tx)
		if err != nil {
			return err
		}
		pending, err := tx.PendingHours(ctx, w.Person, w.Week)
		if err != nil {
			return err
		}
		b, err := booksNow(ctx, tx)
		if err != nil {
			return err
		}
		made = hours.Approval{
			ID: newID(uuid.Nil), Person: w.Person, Week: w.Week, PostedOn: b.PostingDay(today),
			Note: w.Note, By: actor.User, At: tx.Now(),
		}
		if made, err = made.Approve(pending, w.Expected, today); err != nil {
			return err
		}
		tx.Note(domain.PersonHoursApproved, w.Person, noted{
			"approval": made.ID, "week": made.Week, "minutes": made.Minutes, "entries": made.Entries,
			"posted_on": made.PostedOn,
		})
		if err := tx.AddApproval(ctx, made, pending); err != nil {
			return err
		}
		return a.postHours(ctx, tx, pending, p.Value, made.PostedOn)
	})
	return made, err
}

// postHours posts what entries of a person cost, which are approved now, on the day posted: those
// on tasks to their jobs, those of duties as overhead.
func (a *App) postHours(
	ctx context.Context, tx *postgres.Tx, approved []hours.Entry, p domain.Person, posted domain.Date,
) error {
	w, c, _, err := workshopToday(ctx, tx)
	if err != nil {
		return err
	}
	entries := make([]postgres.PendingEntry, len(approved))
	for i, e := range approved {
		entries[i] = postgres.PendingEntry{Entry: e, OffPayroll: p.OffPayroll}
	}
	in := coster{tx.Reader, newRatesAt(tx.Reader, w), c, posted, map[uuid.UUID]worked{}}
	lines, err := a.costHours(ctx, in, entries)
	if err != nil {
		return err
	}
	duties, err := dutyCosts(ctx, in, entries)
	if err != nil {
		return err
	}
	if _, err := postOverhead(ctx, tx, duties...); err != nil {
		return err
	}
	return post(ctx, tx, lines)
}

// Timesheet returns what a person worked in a month. A role that may not read the timesheets of
// others reads its own.
func (a *App) Timesheet(
	ctx context.Context, actor Actor, person uuid.UUID, m hours.Month,
) (hours.Timesheet, error) {
	t := hours.Timesheet{Month: m}
	if err := actor.Require(domain.ReadShop); err != nil {
		return t, err
	}
	r := a.Read(ctx, actor)
	if !actor.Role.May(domain.ReadTimesheets) {
		own, err := r.PersonOf(ctx, actor.User)
		if err != nil {
			return t, err
		}
		if own != person || own == uuid.Nil {
			return t, domain.Refuse(
				domain.Forbidden, "the role %s sees its own timesheet only", actor.Role,
			)
		}
	}
	p, err := r.Person(ctx, person)
	if err != nil {
		return t, err
	}
	t.Person = p.Value
	if t.Rows, err = r.HoursOfMonth(ctx, person, m); err != nil {
		return t, err
	}
	t.Approvals, err = r.Approvals(ctx, person, m)
	return t, err
}

// hoursNoted returns what the feed says of hours that were entered or taken back.
func hoursNoted(e hours.Entry) noted {
	n := noted{"entry": e.ID, "on": e.On, "minutes": e.Minutes}
	return n.id("reverses", e.Reverses).text("correction", e.Correction).text("duty", string(e.Duty)).
		text("rework", string(e.Rework))
}

// labourNoted returns what the feed says of hours on a task; j is its job as it is then.
func labourNoted(j job.Job, e hours.Entry) noted {
	n := hoursNoted(e)
	n["instrument"], n["operation"], n["person"] = j.Instrument, e.Operation, e.Person
	t := j.Task(e.Operation)
	n["done"] = t.Done
	if len(e.Ahead) > 0 {
		n["ahead"], n["reason"] = e.Ahead, t.OutOfOrder.Reason
	}
	return n
}
