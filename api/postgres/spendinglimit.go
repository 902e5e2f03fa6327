package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// SpendingLimits returns a page of the spending limits that clients have agreed for a job, oldest
// first.
func (r Reader) SpendingLimits(
	ctx context.Context, jobID uuid.UUID, p Page,
) ([]job.SpendingLimit, error) {
	q := pageOfJob(spendingLimitColumns, r.workshop, jobID, p)
	return many(ctx, r, scanSpendingLimit, q.sql, q.args...)
}

const spendingLimitColumns = `
	SELECT p.id, p.amount, p.party_id, p.agreed_on, p.how, p.created_at, ` + ownCurrency + `
	FROM spending_limits p
	WHERE p.workshop_id = $1 AND p.job_id = $2`

func scanSpendingLimit(row pgx.CollectableRow) (l job.SpendingLimit, err error) {
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

// AddSpendingLimit adds a spending limit that a client has agreed.
func (tx *Tx) AddSpendingLimit(ctx context.Context, jobID uuid.UUID, l job.SpendingLimit) error {
	return tx.exec(ctx, `
		INSERT INTO spending_limits (workshop_id, id, job_id, amount, party_id, agreed_on, how,
		created_at)
		VALUES (@workshop_id, @id, @job_id, @amount, @party_id, @agreed_on, @how, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": l.ID, "job_id": jobID, "amount": l.Limit.Minor(),
			"party_id": l.Party, "agreed_on": l.AgreedOn.In(time.UTC), "how": l.How, "created_at": tx.now,
		})
}
