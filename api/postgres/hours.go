package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/hours"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// entryColumns call the table p; they expect the nil UUID as $1.
const entryColumns = `
	p.id, p.person_id, coalesce(p.job_id, $1::uuid), coalesce(p.operation, ''), p.duty, p.worked_on,
	p.minutes, p.from_minute, p.to_minute, p.rework, p.note, p.reason, p.ahead, p.correction,
	coalesce(p.reverses, $1::uuid), p.recorded_by, p.recorded_at, coalesce(a.approval_id, $1::uuid)`

const entriesWithApproval = `
	FROM time_entries p
	LEFT JOIN time_approved a ON a.workshop_id = p.workshop_id AND a.entry_id = p.id`

// entryScan holds what a row of entryColumns is scanned into.
type entryScan struct {
	e        hours.Entry
	on       time.Time
	from, to *int
}

func (s *entryScan) into() []any {
	e := &s.e
	return []any{
		&e.ID, &e.Person, &e.Job, &e.Operation, &e.Duty, &s.on, &e.Minutes, &s.from, &s.to, &e.Rework,
		&e.Note, &e.Reason, &e.Ahead, &e.Correction, &e.Reverses, &e.RecordedBy, &e.RecordedAt,
		&e.Approval,
	}
}

func (s *entryScan) entry() hours.Entry {
	s.e.On = domain.DateOf(s.on)
	if s.from != nil && s.to != nil {
		s.e.Clock = &domain.Interval{From: *s.from, To: *s.to}
	}
	return s.e
}

func scanEntry(row pgx.CollectableRow) (hours.Entry, error) {
	var s entryScan
	err := row.Scan(s.into()...)
	return s.entry(), err
}

// TimeEntry returns one entry.
func (r Reader) TimeEntry(ctx context.Context, id uuid.UUID) (hours.Entry, error) {
	return one(ctx, r, "time entry", scanEntry, `SELECT`+entryColumns+entriesWithApproval+`
		WHERE p.workshop_id = $2 AND p.id = $3`, uuid.Nil, r.workshop, id)
}

// TimeEntries returns a page of the entries on the tasks of a job, in the order of recording.
func (r Reader) TimeEntries(ctx context.Context, jobID uuid.UUID, p Page) ([]hours.Entry, error) {
	q := &query{sql: `SELECT` + entryColumns + entriesWithApproval, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.job_id = " + q.arg(jobID))
	q.page(order{column: "p.recorded_at", tie: "p.id"}, p)
	return many(ctx, r, scanEntry, q.sql, q.args...)
}

// LastWorked returns the last day that hours on a job are booked for, less what was taken back; the
// zero day if there is none.
func (r Reader) LastWorked(ctx context.Context, jobID uuid.UUID) (domain.Date, error) {
	days, err := many(ctx, r, pgx.RowTo[time.Time], `
		SELECT worked_on
		FROM time_entries
		WHERE workshop_id = $1 AND job_id = $2
		GROUP BY worked_on
		HAVING sum(minutes) > 0
		ORDER BY worked_on DESC
		LIMIT 1`, r.workshop, jobID)
	if err != nil || len(days) == 0 {
		return domain.Date{}, err
	}
	return domain.DateOf(days[0]), nil
}

// LockPerson locks a member of the crew until the transaction ends, so that the hours of a person
// come in, and are approved, one after the other. It comes after the lock of a job.
func (tx *Tx) LockPerson(ctx context.Context, id uuid.UUID) error {
	tx.behindBooks = true
	_, err := one(ctx, tx.Reader, "person", pgx.RowTo[uuid.UUID],
		`SELECT id FROM people WHERE workshop_id = $1 AND id = $2 FOR NO KEY UPDATE`, tx.workshop, id)
	return err
}

// HoursOfDay returns what is known of a person's day, who must be locked.
func (tx *Tx) HoursOfDay(
	ctx context.Context, person uuid.UUID, on domain.Date,
) (d hours.Day, err error) {
	d.Entries, err = many(ctx, tx.Reader, scanEntry, `SELECT`+entryColumns+entriesWithApproval+`
		WHERE p.workshop_id = $2 AND p.person_id = $3 AND p.worked_on = $4
		ORDER BY p.recorded_at, p.id`, uuid.Nil, tx.workshop, person, on.In(time.UTC))
	if err != nil {
		return d, err
	}
	d.Approved, err = one(ctx, tx.Reader, "approval", pgx.RowTo[bool], `
		SELECT EXISTS (SELECT FROM time_approvals WHERE workshop_id = $1 AND person_id = $2
		AND week = $3)`, tx.workshop, person, hours.WeekOf(on).In(time.UTC))
	return d, err
}

// AddTimeEntry adds an entry. The total of its task is for AddLabour to keep.
func (tx *Tx) AddTimeEntry(ctx context.Context, e hours.Entry) error {
	var from, to *int
	if e.Clock != nil {
		from, to = &e.Clock.From, &e.Clock.To
	}
	return tx.exec(ctx, `
		INSERT INTO time_entries (workshop_id, id, person_id, job_id, operation, duty, worked_on,
		minutes, from_minute, to_minute, rework, note, reason, ahead, correction, reverses, recorded_by,
		recorded_at)
		VALUES (@workshop_id, @id, @person_id, @job_id, nullif(@operation, ''), @duty, @worked_on,
		@minutes, @from_minute, @to_minute, @rework, @note, @reason, @ahead, @correction, @reverses,
		@recorded_by, @recorded_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": e.ID, "person_id": e.Person, "job_id": orNull(e.Job),
			"operation": e.Operation, "duty": e.Duty, "worked_on": e.On.In(time.UTC),
			"minutes": e.Minutes, "from_minute": from, "to_minute": to, "rework": e.Rework,
			"note": e.Note, "reason": e.Reason, "ahead": orEmpty(e.Ahead), "correction": e.Correction,
			"reverses": orNull(e.Reverses), "recorded_by": e.RecordedBy, "recorded_at": tx.now,
		})
}

// AddLabour saves the hours of a task as j has them, at the version that was read.
func (tx *Tx) AddLabour(
	ctx context.Context, j job.Job, code catalogue.Code, version int64,
) error {
	if err := tx.touchJob(ctx, j, version); err != nil {
		return err
	}
	return tx.exec(ctx, `
		UPDATE tasks
		SET booked_minutes = $3, version = version + 1
		WHERE job_id = $1 AND operation = $2`, j.ID, code, j.Task(code).Minutes)
}

// PendingHours returns the entries of a person's week that aren't approved.
func (tx *Tx) PendingHours(
	ctx context.Context, person uuid.UUID, week domain.Date,
) ([]hours.Entry, error) {
	return many(ctx, tx.Reader, scanEntry, `SELECT`+entryColumns+entriesWithApproval+`
		WHERE p.workshop_id = $2 AND p.person_id = $3 AND p.worked_on >= $4 AND p.worked_on < $5
		AND a.approval_id IS NULL
		ORDER BY p.worked_on, p.recorded_at, p.id`, uuid.Nil, tx.workshop, person,
		week.In(time.UTC), week.AddDays(7).In(time.UTC))
}

// AddApproval adds an approval with the entries that it holds for.
func (tx *Tx) AddApproval(ctx context.Context, a hours.Approval, of []hours.Entry) error {
	ids := make([]uuid.UUID, len(of))
	for i, e := range of {
		ids[i] = e.ID
	}
	err := tx.exec(ctx, `
		INSERT INTO time_approvals (workshop_id, id, person_id, week, minutes, entries, note, posted_on,
		approved_by, approved_at)
		VALUES (@workshop_id, @id, @person_id, @week, @minutes, @entries, @note, @posted_on, @approved_by,
		@approved_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": a.ID, "person_id": a.Person, "week": a.Week.In(time.UTC),
			"minutes": a.Minutes, "entries": a.Entries, "note": a.Note,
			"posted_on": a.PostedOn.In(time.UTC), "approved_by": a.By, "approved_at": tx.now,
		})
	if err != nil {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO time_approved (workshop_id, entry_id, approval_id)
		SELECT $1, unnest($3::uuid[]), $2`, tx.workshop, a.ID, ids)
}

// HoursOfMonth returns a person's entries of a month by day, with the names of what they are about.
func (r Reader) HoursOfMonth(
	ctx context.Context, person uuid.UUID, m hours.Month,
) ([]hours.Row, error) {
	return many(ctx, r, scanTimesheetRow, `SELECT`+entryColumns+`,
		concat_ws(' ', i.stock_number, i.maker), coalesce(t.line ->> 'name', '')`+
		entriesWithApproval+`
		LEFT JOIN jobs j ON j.workshop_id = p.workshop_id AND j.id = p.job_id
		LEFT JOIN instruments i ON i.workshop_id = j.workshop_id AND i.id = j.instrument_id
		LEFT JOIN tasks t ON t.workshop_id = p.workshop_id AND t.job_id = p.job_id
		AND t.operation = p.operation
		WHERE p.workshop_id = $2 AND p.person_id = $3 AND p.worked_on BETWEEN $4 AND $5
		ORDER BY p.worked_on, p.recorded_at, p.id`, uuid.Nil, r.workshop, person,
		m.First().In(time.UTC), m.Last().In(time.UTC))
}

func scanTimesheetRow(row pgx.CollectableRow) (hours.Row, error) {
	var s entryScan
	var instrument, task string
	err := row.Scan(append(s.into(), &instrument, &task)...)
	return hours.Row{Entry: s.entry(), Instrument: instrument, Task: task}, err
}

// Approvals returns the approvals of a person's weeks that a month has days of, oldest first.
func (r Reader) Approvals(
	ctx context.Context, person uuid.UUID, m hours.Month,
) ([]hours.Approval, error) {
	return many(ctx, r, scanApproval, `
		SELECT a.id, a.person_id, a.week, a.minutes, a.entries, a.note,
		coalesce(a.posted_on, (a.approved_at AT TIME ZONE w.zone)::date), a.approved_by, a.approved_at
		FROM time_approvals a
		JOIN workshops w ON w.id = a.workshop_id
		WHERE a.workshop_id = $1 AND a.person_id = $2 AND a.week BETWEEN $3 AND $4
		ORDER BY a.approved_at, a.id`, r.workshop, person,
		hours.WeekOf(m.First()).In(time.UTC), m.Last().In(time.UTC))
}

func scanApproval(row pgx.CollectableRow) (a hours.Approval, err error) {
	var week, posted time.Time
	err = row.Scan(
		&a.ID, &a.Person, &week, &a.Minutes, &a.Entries, &a.Note, &posted, &a.By, &a.At,
	)
	a.Week, a.PostedOn = domain.DateOf(week), domain.DateOf(posted)
	return a, err
}

// PersonOf returns the member of the crew that a user is, or uuid.Nil.
func (r Reader) PersonOf(ctx context.Context, user uuid.UUID) (uuid.UUID, error) {
	found, err := many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT id
		FROM people
		WHERE workshop_id = $1 AND user_id = $2`, r.workshop, user)
	if err != nil || len(found) == 0 {
		return uuid.Nil, err
	}
	return found[0], nil
}
