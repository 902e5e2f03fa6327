package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// sendingColumns reads what was sent out, with whose instrument it is of now and how it ended.
const sendingColumns = `
	SELECT s.id, s.job_id, s.operations, s.firm_id, f.name, s.what, s.sent_on,
	coalesce((SELECT d.was FROM sending_days d
		WHERE d.workshop_id = s.workshop_id AND d.sending_id = s.id AND d.number = 1), s.due_on),
	s.due_on, s.country, s.note, s.recorded_by, s.recorded_at,
	e.outcome, e.ended_on, e.note, e.recorded_by, e.recorded_at,
	j.instrument_id, i.owner, coalesce(i.party_id, '00000000-0000-0000-0000-000000000000')
	FROM sendings s
	JOIN parties f ON f.workshop_id = s.workshop_id AND f.id = s.firm_id
	JOIN jobs j ON j.workshop_id = s.workshop_id AND j.id = s.job_id
	JOIN instruments i ON i.workshop_id = j.workshop_id AND i.id = j.instrument_id
	LEFT JOIN LATERAL (
		SELECT outcome, ended_on, note, recorded_by, recorded_at
		FROM sending_ends
		WHERE workshop_id = s.workshop_id AND sending_id = s.id
		LIMIT 1
	) e ON true`

func scanSending(row pgx.CollectableRow) (s job.Sending, err error) {
	var sent, first, due time.Time
	var outcome *job.SendingOutcome
	var ended, recorded *time.Time
	var note *string
	var by *uuid.UUID
	err = row.Scan(&s.ID, &s.Job, &s.Operations, &s.Firm, &s.FirmName, &s.What, &sent, &first, &due,
		&s.Country, &s.Note, &s.RecordedBy, &s.RecordedAt,
		&outcome, &ended, &note, &by, &recorded, &s.Instrument, &s.Owner, &s.Client)
	s.SentOn, s.FirstDue, s.Due = domain.DateOf(sent), domain.DateOf(first), domain.DateOf(due)
	if err == nil && outcome != nil {
		s.End = &job.SendingEnd{
			Sending: s.ID, Outcome: *outcome, On: domain.DateOf(*ended), Note: *note, RecordedBy: *by,
			RecordedAt: *recorded,
		}
	}
	return s, err
}

// SentOut returns a page of what is out at firms, what is due back first coming first. Place.Key is
// the day on which it is due.
func (r Reader) SentOut(ctx context.Context, p Page) ([]job.Sending, error) {
	q := &query{sql: sendingColumns}
	q.where("s.workshop_id = " + q.arg(r.workshop) + " AND s.out")
	q.page(order{column: "s.due_on", tie: "s.id", key: "(%s)::date"}, p)
	return many(ctx, r, scanSending, q.sql, q.args...)
}

// Sendings returns a page of what was sent out for a job, oldest first, also what is back.
func (r Reader) Sendings(ctx context.Context, of uuid.UUID, p Page) ([]job.Sending, error) {
	q := &query{sql: sendingColumns}
	q.where("s.workshop_id = " + q.arg(r.workshop) + " AND s.job_id = " + q.arg(of))
	q.page(order{column: "s.recorded_at", tie: "s.id"}, p)
	return many(ctx, r, scanSending, q.sql, q.args...)
}

// Sending returns one thing that was sent out.
func (r Reader) Sending(ctx context.Context, id uuid.UUID) (job.Sending, error) {
	return one(ctx, r, "sending", scanSending, sendingColumns+`
		WHERE s.workshop_id = $1 AND s.id = $2`, r.workshop, id)
}

// addSendings loads what was sent out for each job in jobs.
func (r Reader) addSendings(ctx context.Context, jobs []domain.Versioned[job.Job]) error {
	ids := make([]uuid.UUID, len(jobs))
	at := make(map[uuid.UUID]*job.Job, len(jobs))
	for i := range jobs {
		ids[i] = jobs[i].Value.ID
		at[ids[i]] = &jobs[i].Value
	}
	if len(ids) == 0 {
		return nil
	}
	list, err := many(ctx, r, scanSending, sendingColumns+`
		WHERE s.workshop_id = $1 AND s.job_id = ANY($2)
		ORDER BY s.recorded_at, s.id`, r.workshop, ids)
	for _, s := range list {
		at[s.Job].Sendings = append(at[s.Job].Sendings, s)
	}
	return err
}

// SendingDays returns a page of the new days on which something that was sent out was due back,
// oldest first. Place.Key is a day's number.
func (r Reader) SendingDays(
	ctx context.Context, of uuid.UUID, p Page,
) ([]job.SendingDay, error) {
	q := &query{sql: `SELECT sending_id, number, was, due_on, reason, recorded_by, recorded_at
		FROM sending_days`}
	q.where("workshop_id = " + q.arg(r.workshop) + " AND sending_id = " + q.arg(of))
	q.page(order{column: "number", key: "(%s)::integer"}, p)
	return many(ctx, r, func(row pgx.CollectableRow) (d job.SendingDay, err error) {
		var was, due time.Time
		err = row.Scan(&d.Sending, &d.Number, &was, &due, &d.Reason, &d.RecordedBy, &d.RecordedAt)
		d.Was, d.Due = domain.DateOf(was), domain.DateOf(due)
		return d, err
	}, q.sql, q.args...)
}

// AddSending adds something that was sent out. The job must be locked.
func (tx *Tx) AddSending(ctx context.Context, s job.Sending) error {
	return tx.exec(ctx, `
		INSERT INTO sendings (workshop_id, id, job_id, operations, firm_id, what, sent_on, due_on,
		country, note, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
		tx.workshop, s.ID, s.Job, s.Operations, s.Firm, s.What, s.SentOn.In(time.UTC),
		s.Due.In(time.UTC), s.Country, s.Note, s.RecordedBy, s.RecordedAt)
}

// AddSendingDay adds a new day on which something is due back, with the next number. The job must
// be locked.
func (tx *Tx) AddSendingDay(ctx context.Context, d job.SendingDay) error {
	err := tx.exec(ctx, `
		INSERT INTO sending_days (workshop_id, sending_id, number, was, due_on, reason, recorded_by,
		recorded_at)
		SELECT $1, $2, count(*) + 1, $3, $4, $5, $6, $7
		FROM sending_days WHERE workshop_id = $1 AND sending_id = $2`,
		tx.workshop, d.Sending, d.Was.In(time.UTC), d.Due.In(time.UTC), d.Reason, d.RecordedBy,
		d.RecordedAt)
	if err != nil {
		return err
	}
	return tx.exec(ctx, `UPDATE sendings SET due_on = $3 WHERE workshop_id = $1 AND id = $2`,
		tx.workshop, d.Sending, d.Due.In(time.UTC))
}

// AddSendingEnd adds how it ended that something was out. The job must be locked.
func (tx *Tx) AddSendingEnd(ctx context.Context, e job.SendingEnd) error {
	err := tx.exec(ctx, `
		INSERT INTO sending_ends (workshop_id, sending_id, outcome, ended_on, note, recorded_by,
		recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`,
		tx.workshop, e.Sending, e.Outcome, e.On.In(time.UTC), e.Note, e.RecordedBy, e.RecordedAt)
	if err != nil {
		return err
	}
	return tx.exec(ctx, `UPDATE sendings SET out = false WHERE workshop_id = $1 AND id = $2`,
		tx.workshop, e.Sending)
}
