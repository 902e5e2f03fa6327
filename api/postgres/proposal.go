package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const proposalColumns = `
	SELECT p.id, p.job_id, p.says, doc.body, p.price, p.answer_by, p.suspension_id, p.proposed_by, p.created_at,
	       d.accepted, d.reason, d.party_id, d.given_on, d.how, d.decided_by, d.created_at, ` + ownCurrency + `
	FROM proposals p
	JOIN documents doc ON doc.workshop_id = p.workshop_id AND doc.hash = p.change
	LEFT JOIN proposal_decisions d ON d.workshop_id = p.workshop_id AND d.proposal_id = p.id
	WHERE p.workshop_id = $1 AND p.job_id = $2`

func scanProposal(row pgx.CollectableRow) (p domain.Proposal, err error) {
	var (
		change             []byte
		price              *int64
		answerBy, givenOn  *time.Time
		hold, party, by    *uuid.UUID
		accepted           *bool
		reason, how        *string
		decidedAt          *time.Time
		currency           string
		errPrice, errParse error
	)
	err = row.Scan(&p.ID, &p.Job, &p.Says, &change, &price, &answerBy, &hold, &p.ProposedBy, &p.ProposedAt,
		&accepted, &reason, &party, &givenOn, &how, &by, &decidedAt, &currency)
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
	if p.Change, errParse = domain.ParseChange(change); errParse != nil {
		errParse = fmt.Errorf("read the change of proposal %s: %w", p.ID, errParse)
	}
	if accepted != nil {
		p.Decision = &domain.Decision{Accepted: *accepted, Reason: *reason, DecidedBy: *by, DecidedAt: *decidedAt}
		if party != nil {
			p.Decision.Consent = &domain.Consent{Party: *party, On: domain.DateOf(*givenOn), How: *how}
		}
	}
	return p, errors.Join(errPrice, errParse)
}

// Proposals lists the proposals of a job in order of making.
func (r Reader) Proposals(ctx context.Context, job uuid.UUID) ([]domain.Proposal, error) {
	return many(ctx, r, scanProposal, proposalColumns+` ORDER BY p.created_at, p.id`, r.workshop, job)
}

// Proposal is one proposal of a job.
func (r Reader) Proposal(ctx context.Context, job, id uuid.UUID) (domain.Proposal, error) {
	return one(ctx, r, "proposal", scanProposal, proposalColumns+` AND p.id = $3`, r.workshop, job, id)
}

// AddProposal keeps a proposal, whose change is kept as a document.
func (tx *Tx) AddProposal(ctx context.Context, p domain.Proposal) error {
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
		INSERT INTO proposals (workshop_id, id, job_id, says, change, price, answer_by, suspension_id, proposed_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		tx.workshop, p.ID, p.Job, p.Says, hash[:], minorOf(p.Price), answerBy, orNull(p.Hold), p.ProposedBy, tx.now)
}

// AddDecision keeps the answer to a proposal.
func (tx *Tx) AddDecision(ctx context.Context, proposal uuid.UUID, d domain.Decision) error {
	var party *uuid.UUID
	var on *time.Time
	var how *string
	if c := d.Consent; c != nil {
		day := c.On.In(time.UTC)
		party, on, how = &c.Party, &day, &c.How
	}
	return tx.exec(ctx, `
		INSERT INTO proposal_decisions (workshop_id, proposal_id, accepted, reason, party_id, given_on, how, decided_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		tx.workshop, proposal, d.Accepted, d.Reason, party, on, how, d.DecidedBy, tx.now)
}

// ChangeTasks keeps a job as an accepted change has made it: its lines, depth
// and edits. Suspensions of tasks that were dropped end.
func (tx *Tx) ChangeTasks(ctx context.Context, j domain.Job, version int64) error {
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
			INSERT INTO tasks (workshop_id, job_id, operation, planned, done_hours, left_hours, finished_at, dropped, place, line)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
			ON CONFLICT (workshop_id, job_id, operation) DO UPDATE
			SET planned = excluded.planned, left_hours = excluded.left_hours, finished_at = excluded.finished_at,
			    dropped = excluded.dropped, place = excluded.place, line = excluded.line, version = tasks.version + 1`,
			tx.workshop, j.ID, t.Operation, t.Planned, t.Done, t.Left, t.FinishedAt, t.Dropped, t.Place, t.Line)
	}
	if err := translate(tx.tx.SendBatch(ctx, b).Close()); err != nil {
		return err
	}
	return tx.exec(ctx, `
		UPDATE suspensions s
		SET ended_at = $2, ended_why = 'the task was taken out of the job'
		FROM tasks t
		WHERE t.job_id = s.job_id AND t.operation = s.operation AND t.dropped AND s.job_id = $1 AND s.ended_at IS NULL`, j.ID, tx.now)
}

// SpendingLimits lists what a client agreed to spend without being asked, the
// last one last.
func (r Reader) SpendingLimits(ctx context.Context, job uuid.UUID) ([]domain.SpendingLimit, error) {
	return many(ctx, r, scanSpendingLimit, `
		SELECT id, amount, party_id, agreed_on, how, created_at, `+ownCurrency+`
		FROM spending_limits
		WHERE workshop_id = $1 AND job_id = $2
		ORDER BY created_at, id`, r.workshop, job)
}

func scanSpendingLimit(row pgx.CollectableRow) (l domain.SpendingLimit, err error) {
	var minor int64
	var on time.Time
	var currency string
	if err := row.Scan(&l.ID, &minor, &l.Party, &on, &l.How, &l.At, &currency); err != nil {
		return l, err
	}
	l.AgreedOn = domain.DateOf(on)
	a, err := amount(&minor, currency)
	if err == nil {
		l.Limit = *a
	}
	return l, err
}

// AddSpendingLimit keeps what a client agreed to.
func (tx *Tx) AddSpendingLimit(ctx context.Context, job uuid.UUID, l domain.SpendingLimit) error {
	return tx.exec(ctx, `
		INSERT INTO spending_limits (workshop_id, id, job_id, amount, party_id, agreed_on, how, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, l.ID, job, l.Limit.Minor(), l.Party, l.AgreedOn.In(time.UTC), l.How, tx.now)
}
