package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const proposalColumns = `
	SELECT p.id, p.job_id, p.says, doc.body, p.price, p.answer_by, p.suspension_id, p.proposed_by,
	p.created_at,
	       d.accepted, d.reason, d.party_id, d.given_on, d.how, d.decided_by, d.created_at, d.again, ` + ownCurrency + `
	FROM proposals p
	JOIN documents doc ON doc.workshop_id = p.workshop_id AND doc.hash = p.change
	LEFT JOIN proposal_decisions d ON d.workshop_id = p.workshop_id AND d.proposal_id = p.id
	WHERE p.workshop_id = $1 AND p.job_id = $2`

func scanProposal(row pgx.CollectableRow) (p job.Proposal, err error) {
	var (
		change             []byte
		price              *int64
		answerBy, givenOn  *time.Time
		hold, party, by    *uuid.UUID
		accepted           *bool
		reason, how        *string
		decidedAt          *time.Time
		again              []catalogue.Code
		currency           string
		errPrice, errParse error
	)
	err = row.Scan(&p.ID, &p.Job, &p.Text, &change, &price, &answerBy, &hold, &p.ProposedBy,
		&p.ProposedAt,
		&accepted, &reason, &party, &givenOn, &how, &by, &decidedAt, &again, &currency)
	if err != nil {
		return p, err
	}
	if answerBy != nil {
		p.AnswerBy = domain.DateOf(*answerBy)
	}
	if hold != nil {
		p.Hold = *hold
	}
	p.Price, errPrice = amount(price, currency)
	if p.Change, errParse = job.ParseChange(change); errParse != nil {
		errParse = fmt.Errorf("read the change of proposal %s: %w", p.ID, errParse)
	}
	if accepted != nil {
		p.Decision = &job.Decision{
			Accepted: *accepted, Reason: *reason, Again: again, DecidedBy: *by, DecidedAt: *decidedAt,
		}
		if party != nil {
			p.Decision.Consent = &job.Consent{Party: *party, On: domain.DateOf(*givenOn), How: *how}
		}
	}
	return p, errors.Join(errPrice, errParse)
}

// Proposals returns a page of the proposals of a job, oldest first.
func (r Reader) Proposals(ctx context.Context, jobID uuid.UUID, p Page) ([]job.Proposal, error) {
	q := pageOfJob(proposalColumns, r.workshop, jobID, p)
	return many(ctx, r, scanProposal, q.sql, q.args...)
}

// Proposal returns one proposal of a job.
func (r Reader) Proposal(ctx context.Context, jobID, id uuid.UUID) (job.Proposal, error) {
	return one(ctx, r, "proposal", scanProposal, proposalColumns+` AND p.id = $3`, r.workshop, jobID, id)
}

// AddProposal adds a proposal and stores its change as a document.
func (tx *Tx) AddProposal(ctx context.Context, p job.Proposal) error {
	hash, err := tx.KeepDocument(ctx, p.Change.Canonical())
	if err != nil {
		return err
	}
	var answerBy *time.Time
	if !p.AnswerBy.IsZero() {
		day := p.AnswerBy.In(time.UTC)
		answerBy = &day
	}
	return tx.exec(ctx, `
		INSERT INTO proposals (workshop_id, id, job_id, says, change, price, answer_by, suspension_id,
		proposed_by, created_at)
		VALUES (@workshop_id, @id, @job_id, @says, @change, @price, @answer_by, @suspension_id,
		@proposed_by, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": p.ID, "job_id": p.Job, "says": p.Text, "change": hash[:],
			"price": minorOrNull(p.Price), "answer_by": answerBy, "suspension_id": orNull(p.Hold),
			"proposed_by": p.ProposedBy, "created_at": tx.now,
		})
}

// AddDecision adds the decision on a proposal.
func (tx *Tx) AddDecision(ctx context.Context, proposal uuid.UUID, d job.Decision) error {
	var party *uuid.UUID
	var on *time.Time
	var how *string
	if c := d.Consent; c != nil {
		day := c.On.In(time.UTC)
		party, on, how = &c.Party, &day, &c.How
	}
	return tx.exec(ctx, `
		INSERT INTO proposal_decisions (workshop_id, proposal_id, accepted, reason, party_id, given_on,
		how, again, decided_by, created_at)
		VALUES (@workshop_id, @proposal_id, @accepted, @reason, @party_id, @given_on, @how, @again,
		@decided_by, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "proposal_id": proposal, "accepted": d.Accepted,
			"reason": d.Reason, "party_id": party, "given_on": on, "how": how,
			"again": orEmpty(d.Again), "decided_by": d.DecidedBy,
			"created_at": tx.now,
		})
}

// ChangeTasks saves a job as an accepted change has left it: its tasks, lines, depth and edits. It
// ends the suspensions of dropped tasks.
func (tx *Tx) ChangeTasks(ctx context.Context, j job.Job, version int64) error {
	err := tx.update(ctx, "job", `
		UPDATE jobs
		SET state = $3, depth = $4, settled = $5, edits = $6, version = version + 1
		WHERE id = $1 AND version = $2`, j.ID, version, j.State, j.Depth, j.Settled, orEmpty(j.Edits))
	if err != nil {
		return err
	}
	b := &pgx.Batch{}
	for _, t := range j.Tasks {
		b.Queue(`
			INSERT INTO tasks (workshop_id, job_id, operation, planned, done_hours, left_hours,
			finished_at, dropped, place, line, again)
			VALUES (@workshop_id, @job_id, @operation, @planned, @done_hours, @left_hours, @finished_at,
			@dropped, @place, @line, @again)
			ON CONFLICT (workshop_id, job_id, operation) DO UPDATE
			SET planned = excluded.planned, left_hours = excluded.left_hours,
			finished_at = excluded.finished_at,
			    dropped = excluded.dropped, place = excluded.place, line = excluded.line,
			    again = excluded.again,
			    version = tasks.version + 1`,
			pgx.StrictNamedArgs{
				"workshop_id": tx.workshop, "job_id": j.ID, "operation": t.Operation, "planned": t.Planned,
				"done_hours": t.Stated(), "left_hours": t.Left, "finished_at": t.FinishedAt,
				"dropped": t.Dropped, "place": t.Order, "line": t.Line, "again": t.Again,
			})
	}
	if err := translate(tx.tx.SendBatch(ctx, b).Close()); err != nil {
		return err
	}
	return tx.exec(ctx, `
		UPDATE suspensions s
		SET ended_at = $2, ended_why = 'the task was taken out of the job'
		FROM tasks t
		WHERE t.job_id = s.job_id AND t.operation = s.operation AND t.dropped AND s.job_id = $1
		AND s.ended_at IS NULL`, j.ID, tx.now)
}
