package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// JobConsent returns the client's consent that was recorded for a job, or nil.
func (r Reader) JobConsent(ctx context.Context, j uuid.UUID) (*job.WorkConsent, error) {
	found, err := many(ctx, r, scanJobConsent, `
		SELECT party_id, given_on, how, agreed_to, scope_version, instead_of, recorded_by, created_at
		FROM job_consents
		WHERE workshop_id = $1 AND job_id = $2`, r.workshop, j)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return &found[0], nil
}

func scanJobConsent(row pgx.CollectableRow) (c job.WorkConsent, err error) {
	var on time.Time
	var instead *uuid.UUID
	err = row.Scan(
		&c.Party, &on, &c.How, &c.To, &c.Version, &instead, &c.RecordedBy, &c.RecordedAt,
	)
	c.On = domain.DateOf(on)
	if instead != nil {
		c.Instead = *instead
	}
	return c, err
}

// AddJobConsent records the client's consent to a job.
func (tx *Tx) AddJobConsent(ctx context.Context, j uuid.UUID, c job.WorkConsent) error {
	var instead *uuid.UUID
	if c.Instead != uuid.Nil {
		instead = &c.Instead
	}
	return tx.exec(ctx, `
		INSERT INTO job_consents (workshop_id, job_id, party_id, given_on, how, agreed_to,
		scope_version, instead_of, recorded_by, created_at)
		VALUES (@workshop_id, @job_id, @party_id, @given_on, @how, @agreed_to, @scope_version,
		@instead_of, @recorded_by, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "job_id": j, "party_id": c.Party,
			"given_on": c.On.In(time.UTC), "how": c.How, "agreed_to": c.To,
			"scope_version": c.Version, "instead_of": instead, "recorded_by": c.RecordedBy,
			"created_at": tx.now,
		})
}
