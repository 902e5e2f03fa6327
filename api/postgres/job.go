package postgres

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// jobsWithTasks is one statement, so that a job that comes in meanwhile is seen
// with its tasks or not at all.
const jobsWithTasks = `
	SELECT j.id, j.instrument_id, j.scope_id, j.accepted_on, j.place, j.state, j.outcome, j.closed_on, j.depth, j.settled, j.edits,
	       j.version, j.created_at,
	       coalesce(t.operation, ''), coalesce(t.planned, 0), coalesce(t.done_hours, 0), coalesce(t.left_hours, 0), t.finished_at,
	       coalesce(t.dropped, false), coalesce(t.place, 0), t.line, p.worked_on, p.recorded_at
	FROM jobs j
	LEFT JOIN tasks t ON t.workshop_id = j.workshop_id AND t.job_id = j.id
	LEFT JOIN LATERAL (
		SELECT worked_on, recorded_at
		FROM task_progress
		WHERE workshop_id = t.workshop_id AND job_id = t.job_id AND operation = t.operation
		ORDER BY recorded_at DESC, id DESC
		LIMIT 1
	) p ON p.recorded_at > j.created_at
	WHERE j.workshop_id = $1`

const jobOrder = ` ORDER BY j.place, t.place, t.operation`

// scanJobRow reads a job with one of its tasks, or with none.
func scanJobRow(row pgx.CollectableRow) (v domain.Versioned[domain.Job], err error) {
	j, t := &v.Value, domain.Task{}
	var on time.Time
	var closed, worked, recorded *time.Time
	err = row.Scan(&j.ID, &j.Instrument, &j.Scope, &on, &j.Place, &j.State, &j.Outcome, &closed, &j.Depth, &j.Settled, &j.Edits,
		&v.Version, &v.CreatedAt,
		&t.Operation, &t.Planned, &t.Done, &t.Left, &t.FinishedAt, &t.Dropped, &t.Place, &t.Line, &worked, &recorded)
	j.AcceptedOn = domain.DateOf(on)
	if closed != nil {
		j.ClosedOn = domain.DateOf(*closed)
	}
	if worked != nil && recorded != nil {
		t.Worked = &domain.Worked{On: domain.DateOf(*worked), At: *recorded}
	}
	if t.Operation != "" {
		j.Tasks = []domain.Task{t}
	}
	return v, err
}

// Jobs lists the jobs that are not closed in the order of the queue, with their
// tasks and what of them rests.
func (r Reader) Jobs(ctx context.Context) ([]domain.Versioned[domain.Job], error) {
	return r.jobs(ctx, ` AND j.state <> 'closed'`)
}

// ClosedJobs lists the jobs that are closed.
func (r Reader) ClosedJobs(ctx context.Context) ([]domain.Versioned[domain.Job], error) {
	return r.jobs(ctx, ` AND j.state = 'closed'`)
}

// Job is one job with its tasks and what of it rests.
func (r Reader) Job(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Job], error) {
	return r.oneJob(ctx, ` AND j.id = $2`, id)
}

// JobOf is the job that a scope was accepted as.
func (r Reader) JobOf(ctx context.Context, scope uuid.UUID) (domain.Versioned[domain.Job], error) {
	return r.oneJob(ctx, ` AND j.scope_id = $2`, scope)
}

func (r Reader) oneJob(ctx context.Context, where string, id uuid.UUID) (domain.Versioned[domain.Job], error) {
	jobs, err := r.jobs(ctx, where, id)
	switch {
	case err != nil:
		return domain.Versioned[domain.Job]{}, err
	case len(jobs) == 0:
		return domain.Versioned[domain.Job]{}, domain.Refuse(domain.NotFound, "there is no such job")
	}
	return jobs[0], nil
}

func (r Reader) jobs(ctx context.Context, where string, args ...any) ([]domain.Versioned[domain.Job], error) {
	rows, err := many(ctx, r, scanJobRow, jobsWithTasks+where+jobOrder, append([]any{r.workshop}, args...)...)
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
	return jobs, r.addSuspensions(ctx, jobs)
}

// LockJob reads a job and keeps it from changing until the transaction ends.
func (tx *Tx) LockJob(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Job], error) {
	if err := tx.exec(ctx, `SELECT FROM jobs WHERE id = $1 FOR UPDATE`, id); err != nil {
		return domain.Versioned[domain.Job]{}, err
	}
	return tx.Reader.Job(ctx, id)
}

// LockQueue lets no other job come into the queue until the transaction ends,
// so that each gets a place of its own. The workshop's own row stands for the
// queue.
func (tx *Tx) LockQueue(ctx context.Context) error {
	return tx.exec(ctx, `SELECT FROM workshops WHERE id = $1 FOR NO KEY UPDATE`, tx.workshop)
}

// AddJob adds a job at the end of the queue, with its tasks and the document of
// its baseline. The queue is locked first.
func (tx *Tx) AddJob(ctx context.Context, j domain.Job, baseline *Hash) error {
	if err := tx.LockQueue(ctx); err != nil {
		return err
	}
	var document []byte
	if baseline != nil {
		document = baseline[:]
	}
	err := tx.exec(ctx, `
		INSERT INTO jobs (workshop_id, id, instrument_id, scope_id, accepted_on, depth, settled, baseline, place, created_at)
		SELECT $1, $2, $3, $4, $5, $6, $7, $8, coalesce(max(place), 0) + 1, $9
		FROM jobs`, tx.workshop, j.ID, j.Instrument, j.Scope, j.AcceptedOn.In(time.UTC), j.Depth, j.Settled, document, tx.now)
	if err != nil {
		return err
	}
	return tx.addTasks(ctx, j.ID, j.Tasks)
}

func (tx *Tx) addTasks(ctx context.Context, job uuid.UUID, tasks []domain.Task) error {
	b := &pgx.Batch{}
	for _, t := range tasks {
		b.Queue(`
			INSERT INTO tasks (workshop_id, job_id, operation, planned, done_hours, left_hours, finished_at, place, line)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			tx.workshop, job, t.Operation, t.Planned, t.Done, t.Left, t.FinishedAt, t.Place, t.Line)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// Baseline is the document of what was planned for a job when it was accepted;
// NotFound for a job from before baselines were kept.
func (r Reader) Baseline(ctx context.Context, job uuid.UUID) ([]byte, error) {
	return one(ctx, r, "baseline", pgx.RowTo[[]byte], `
		SELECT d.body
		FROM jobs j
		JOIN documents d ON d.workshop_id = j.workshop_id AND d.hash = j.baseline
		WHERE j.workshop_id = $1 AND j.id = $2`, r.workshop, job)
}

// touchJob counts a job's version up and keeps its state, at the version that
// was read under the lock.
func (tx *Tx) touchJob(ctx context.Context, j domain.Job, version int64) error {
	return tx.update(ctx, "job", `UPDATE jobs SET state = $3, version = version + 1 WHERE id = $1 AND version = $2`, j.ID, version, j.State)
}

// CloseJob keeps how a job ended.
func (tx *Tx) CloseJob(ctx context.Context, j domain.Job, version int64) error {
	err := tx.exec(ctx, `UPDATE suspensions SET ended_at = $2, ended_why = 'the job was closed' WHERE job_id = $1 AND ended_at IS NULL`, j.ID, tx.now)
	if err != nil {
		return err
	}
	return tx.update(ctx, "job", `
		UPDATE jobs
		SET state = $3, outcome = $4, closed_on = $5, version = version + 1
		WHERE id = $1 AND version = $2`, j.ID, version, j.State, j.Outcome, j.ClosedOn.In(time.UTC))
}

// HasOpenJob reports whether a job on the instrument is not closed.
func (r Reader) HasOpenJob(ctx context.Context, instrument uuid.UUID) (bool, error) {
	return one(ctx, r, "instrument", pgx.RowTo[bool], `
		SELECT EXISTS (SELECT FROM jobs WHERE workshop_id = $1 AND instrument_id = $2 AND state <> 'closed')`, r.workshop, instrument)
}
