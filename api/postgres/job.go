package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// jobsWithTasks reads jobs and tasks in one statement, so that a job added meanwhile appears with
// all its tasks or not at all.
const jobsWithTasks = `
	SELECT j.id, j.instrument_id, j.scope_id, j.accepted_on, j.place, j.state, j.outcome, j.closed_on,
	j.depth, j.settled, j.edits,
	       j.version, j.created_at,
	       coalesce(t.operation, ''), coalesce(t.planned, 0), coalesce(t.done_hours, 0),
	       coalesce(t.booked_minutes, 0), coalesce(t.left_hours, 0), t.finished_at,
	       coalesce(t.dropped, false), coalesce(t.place, 0), t.line, t.again,
	       p.worked_on, p.recorded_at,
	       coalesce(o.reason, ''), o.ahead
	FROM jobs j
	LEFT JOIN tasks t ON t.workshop_id = j.workshop_id AND t.job_id = j.id
	LEFT JOIN LATERAL (
		SELECT worked_on, recorded_at
		FROM task_progress
		WHERE workshop_id = t.workshop_id AND job_id = t.job_id AND operation = t.operation
		ORDER BY recorded_at DESC, id DESC
		LIMIT 1
	) p ON p.recorded_at > j.created_at
	LEFT JOIN LATERAL (
		(SELECT reason, ahead, recorded_at, id
		FROM task_progress
		WHERE workshop_id = t.workshop_id AND job_id = t.job_id AND operation = t.operation
		AND reason <> '' AND ahead <> '{}'
		AND recorded_at > coalesce((t.again ->> 'at')::timestamptz, '-infinity')
		ORDER BY recorded_at DESC, id DESC
		LIMIT 1)
		UNION ALL
		(SELECT reason, ahead, recorded_at, id
		FROM time_entries
		WHERE workshop_id = t.workshop_id AND job_id = t.job_id AND operation = t.operation
		AND reason <> '' AND ahead <> '{}'
		AND recorded_at > coalesce((t.again ->> 'at')::timestamptz, '-infinity')
		ORDER BY recorded_at DESC, id DESC
		LIMIT 1)
		ORDER BY recorded_at DESC, id DESC
		LIMIT 1
	) o ON true
	WHERE j.workshop_id = $1`

const jobOrder = ` ORDER BY j.place, t.place, t.operation`

// scanJobRow scans a job with at most one of its tasks.
func scanJobRow(row pgx.CollectableRow) (v domain.Versioned[job.Job], err error) {
	j, t := &v.Value, job.Task{}
	var on time.Time
	var closed, worked, recorded *time.Time
	var early job.OutOfOrder
	err = row.Scan(&j.ID, &j.Instrument, &j.Scope, &on, &j.QueuePlace, &j.State, &j.Outcome, &closed,
		&j.Depth, &j.Settled, &j.Edits,
		&v.Version, &v.CreatedAt,
		&t.Operation, &t.Planned, &t.Done, &t.Minutes, &t.Left, &t.FinishedAt, &t.Dropped, &t.Order,
		&t.Line, &t.Again, &worked, &recorded, &early.Reason, &early.Ahead)
	t.Done = t.Done.Add(domain.HoursOf(t.Minutes)) // what was stated is stored apart
	j.AcceptedOn = domain.DateOf(on)
	if closed != nil {
		j.ClosedOn = domain.DateOf(*closed)
	}
	if worked != nil && recorded != nil {
		t.LastEntry = &job.Booking{On: domain.DateOf(*worked), At: *recorded}
	}
	if early.Reason != "" {
		t.OutOfOrder = &early
	}
	if t.Operation != "" {
		j.Tasks = []job.Task{t}
	}
	return v, err
}

// Jobs returns a page of either the open or the closed jobs in queue order, with their tasks and
// open suspensions. Place.Key is the place in the queue.
func (r Reader) Jobs(
	ctx context.Context, closed bool, p Page,
) ([]domain.Versioned[job.Job], error) {
	q := queuePage(r.workshop, closed, p)
	return r.jobs(ctx, " AND j.place IN ("+q.sql+")", q.args[1:]...)
}

// queuePage selects the places of a page of jobs. Its first argument is the workshop, as in
// jobsWithTasks.
func queuePage(workshop uuid.UUID, closed bool, p Page) *query {
	q := &query{sql: `SELECT place FROM jobs`}
	q.where("workshop_id = " + q.arg(workshop))
	if closed {
		q.where("state = 'closed'")
	} else {
		q.where("state <> 'closed'")
	}
	q.page(order{column: "place", key: "(%s)::integer"}, p)
	return q
}

// Job returns one job with its tasks and open suspensions.
func (r Reader) Job(ctx context.Context, id uuid.UUID) (domain.Versioned[job.Job], error) {
	return r.oneJob(ctx, ` AND j.id = $2`, id)
}

// OpenJobs returns those jobs of some ids that there are, and whether each is open.
func (r Reader) OpenJobs(ctx context.Context, ids []uuid.UUID) (map[uuid.UUID]bool, error) {
	type known struct {
		ID   uuid.UUID
		Open bool
	}
	list, err := many(ctx, r, pgx.RowToStructByPos[known], `
		SELECT id, state <> 'closed' FROM jobs WHERE workshop_id = $1 AND id = ANY($2::uuid[])`,
		r.workshop, ids)
	jobs := map[uuid.UUID]bool{}
	for _, j := range list {
		jobs[j.ID] = j.Open
	}
	return jobs, err
}

// JobOf returns the job of an accepted scope.
func (r Reader) JobOf(ctx context.Context, scope uuid.UUID) (domain.Versioned[job.Job], error) {
	return r.oneJob(ctx, ` AND j.scope_id = $2`, scope)
}

// JobsOn returns all jobs on an instrument, including closed ones, in queue order.
func (r Reader) JobsOn(
	ctx context.Context, instrument uuid.UUID,
) ([]domain.Versioned[job.Job], error) {
	return r.jobs(ctx, ` AND j.instrument_id = $2`, instrument)
}

func (r Reader) oneJob(
	ctx context.Context, where string, id uuid.UUID,
) (domain.Versioned[job.Job], error) {
	jobs, err := r.jobs(ctx, where, id)
	switch {
	case err != nil:
		return domain.Versioned[job.Job]{}, err
	case len(jobs) == 0:
		return domain.Versioned[job.Job]{}, domain.Refuse(domain.NotFound, "no job found")
	}
	return jobs[0], nil
}

func (r Reader) jobs(
	ctx context.Context, where string, args ...any,
) ([]domain.Versioned[job.Job], error) {
	rows, err := many(
		ctx, r, scanJobRow, jobsWithTasks+where+jobOrder, append([]any{r.workshop}, args...)...,
	)
	if err != nil {
		return nil, err
	}
	jobs := rows[:0]
	for _, row := range rows {
		if n := len(jobs); n > 0 && jobs[n-1].Value.ID == row.Value.ID {
			jobs[n-1].Value.Tasks = append(jobs[n-1].Value.Tasks, row.Value.Tasks...)
			continue
		}
		jobs = append(jobs, row)
	}
	if err := r.addSuspensions(ctx, jobs); err != nil {
		return nil, err
	}
	return jobs, r.addSendings(ctx, jobs)
}

// LockJob locks a job until the transaction ends and returns it.
func (tx *Tx) LockJob(ctx context.Context, id uuid.UUID) (domain.Versioned[job.Job], error) {
	tx.behindBooks = true
	if err := tx.exec(ctx, `SELECT FROM jobs WHERE id = $1 FOR UPDATE`, id); err != nil {
		return domain.Versioned[job.Job]{}, err
	}
	return tx.Reader.Job(ctx, id)
}

// LockQueue keeps other jobs from entering the queue until the transaction ends, so that each gets
// a place of its own. The lock is on the workshop's row.
func (tx *Tx) LockQueue(ctx context.Context) error {
	return tx.exec(ctx, `SELECT FROM workshops WHERE id = $1 FOR NO KEY UPDATE`, tx.workshop)
}

// AddJob adds a job with its tasks at the end of the queue, which it locks. The baseline document
// must be stored already.
func (tx *Tx) AddJob(ctx context.Context, j job.Job, baseline *Hash) error {
	if err := tx.LockQueue(ctx); err != nil {
		return err
	}
	var document []byte
	if baseline != nil {
		document = baseline[:]
	}
	err := tx.exec(ctx, `
		INSERT INTO jobs (workshop_id, id, instrument_id, scope_id, accepted_on, depth, settled,
		baseline, place, created_at)
		SELECT @workshop_id, @id, @instrument_id, @scope_id, @accepted_on, @depth, @settled, @baseline,
		coalesce(max(place), 0) + 1, @created_at
		FROM jobs`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": j.ID, "instrument_id": j.Instrument, "scope_id": j.Scope,
			"accepted_on": j.AcceptedOn.In(time.UTC), "depth": j.Depth, "settled": j.Settled,
			"baseline": document, "created_at": tx.now,
		})
	if err != nil {
		return err
	}
	return tx.addTasks(ctx, j.ID, j.Tasks)
}

// MoveJob moves a job, at the version that was read, to another place, or to the last one if place
// is beyond it. The jobs in between move by one. The caller must have locked the queue. Places are
// negative on the way, so that no two jobs share one.
func (tx *Tx) MoveJob(ctx context.Context, j job.Job, place int, version int64) error {
	err := tx.update(ctx, "job", `
		UPDATE jobs
		SET place = -least($3, (SELECT max(place) FROM jobs)), version = version + 1
		WHERE id = $1 AND version = $2`, j.ID, version, place)
	if err != nil {
		return err
	}
	err = tx.exec(ctx, `
		UPDATE jobs
		SET place = -CASE WHEN place < $1 THEN place + 1 ELSE place - 1 END, version = version + 1
		WHERE place BETWEEN $2 AND $1 OR place BETWEEN $1 AND $2`, j.QueuePlace, place)
	if err != nil {
		return err
	}
	return tx.exec(ctx, `UPDATE jobs SET place = -place WHERE place < 0`)
}

func (tx *Tx) addTasks(ctx context.Context, jobID uuid.UUID, tasks []job.Task) error {
	b := &pgx.Batch{}
	for _, t := range tasks {
		b.Queue(`
			INSERT INTO tasks (workshop_id, job_id, operation, planned, done_hours, left_hours,
			finished_at, place, line)
			VALUES (@workshop_id, @job_id, @operation, @planned, @done_hours, @left_hours, @finished_at,
			@place, @line)`,
			pgx.StrictNamedArgs{
				"workshop_id": tx.workshop, "job_id": jobID, "operation": t.Operation, "planned": t.Planned,
				"done_hours": t.Stated(), "left_hours": t.Left, "finished_at": t.FinishedAt, "place": t.Order,
				"line": t.Line,
			})
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// Baseline returns the document of what was planned for a job at its acceptance. Jobs that are
// older than baselines have none and give a NotFound Fault.
func (r Reader) Baseline(ctx context.Context, jobID uuid.UUID) ([]byte, error) {
	return one(ctx, r, "baseline", pgx.RowTo[[]byte], `
		SELECT d.body
		FROM jobs j
		JOIN documents d ON d.workshop_id = j.workshop_id AND d.hash = j.baseline
		WHERE j.workshop_id = $1 AND j.id = $2`, r.workshop, jobID)
}

// touchJob saves a job's state and increments its version, at the version that was read.
func (tx *Tx) touchJob(ctx context.Context, j job.Job, version int64) error {
	return tx.update(ctx, "job", `UPDATE jobs SET state = $3, version = version + 1 WHERE id = $1 AND version = $2`, j.ID, version, j.State)
}

// CloseJob saves the end of a job, which counts in the books on the day posted, and ends its
// suspensions.
func (tx *Tx) CloseJob(
	ctx context.Context, j job.Job, posted domain.Date, version int64,
) error {
	err := tx.exec(ctx, `UPDATE suspensions SET ended_at = $2, ended_why = 'the job was closed' WHERE job_id = $1 AND ended_at IS NULL`, j.ID, tx.now)
	if err != nil {
		return err
	}
	return tx.update(ctx, "job", `
		UPDATE jobs
		SET state = $3, outcome = $4, closed_on = $5, closing_posted_on = $6, closing_recorded_at = $7,
		version = version + 1
		WHERE id = $1 AND version = $2`, j.ID, version, j.State, j.Outcome, j.ClosedOn.In(time.UTC),
		posted.In(time.UTC), tx.now)
}

// HasOpenJob reports whether an instrument has a job that isn't closed.
func (r Reader) HasOpenJob(ctx context.Context, instrument uuid.UUID) (bool, error) {
	return one(ctx, r, "instrument", pgx.RowTo[bool], `
		SELECT EXISTS (SELECT FROM jobs WHERE workshop_id = $1 AND instrument_id = $2
		AND state <> 'closed')`, r.workshop, instrument)
}
