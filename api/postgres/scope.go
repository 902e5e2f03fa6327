package postgres

import (
	"context"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Decision is what the store keeps of a scope: the lines follow from it.
type Decision struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Survey     uuid.UUID
	Revision   int // of the catalogue
	Depth      catalogue.Depth
	Edits      []domain.Edit
}

const scopeColumns = `SELECT id, instrument_id, survey_id, revision, depth, edits, version, created_at FROM scopes`

func scanScope(row pgx.CollectableRow) (v domain.Versioned[Decision], err error) {
	s := &v.Value
	err = row.Scan(&s.ID, &s.Instrument, &s.Survey, &s.Revision, &s.Depth, &s.Edits, &v.Version, &v.CreatedAt)
	return v, err
}

// Scopes lists the scopes drawn up for an instrument in order of making.
func (r Reader) Scopes(ctx context.Context, instrument uuid.UUID, p Page) ([]domain.Versioned[Decision], error) {
	at, id := p.bounds()
	return many(ctx, r, scanScope, scopeColumns+`
		WHERE workshop_id = $1 AND instrument_id = $2 AND (created_at, id) > ($3, $4)
		ORDER BY created_at, id
		LIMIT $5`, r.workshop, instrument, at, id, p.Limit)
}

// Scope is one scope's decision.
func (r Reader) Scope(ctx context.Context, id uuid.UUID) (domain.Versioned[Decision], error) {
	return one(ctx, r, "scope", scanScope, scopeColumns+` WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// AddScope adds a scope's decision.
func (tx *Tx) AddScope(ctx context.Context, d Decision) error {
	return tx.exec(ctx, `
		INSERT INTO scopes (workshop_id, id, instrument_id, survey_id, revision, depth, edits, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, d.ID, d.Instrument, d.Survey, d.Revision, d.Depth, orEmpty(d.Edits), tx.now)
}

// SaveEdits replaces the buyer's edits at the version that was read.
func (tx *Tx) SaveEdits(ctx context.Context, scope uuid.UUID, edits []domain.Edit, version int64) error {
	return tx.update(ctx, "scope", `
		UPDATE scopes
		SET edits = $2, version = version + 1
		WHERE id = $1 AND version = $3`, scope, orEmpty(edits), version)
}

// SaveRebase puts a scope on another revision, with the edits that it could
// take over, at the version that was read.
func (tx *Tx) SaveRebase(ctx context.Context, d Decision, version int64) error {
	return tx.update(ctx, "scope", `
		UPDATE scopes
		SET revision = $2, edits = $3, version = version + 1
		WHERE id = $1 AND version = $4`, d.ID, d.Revision, orEmpty(d.Edits), version)
}

// orEmpty writes no edits as [] and not as null.
func orEmpty(edits []domain.Edit) []domain.Edit {
	if edits == nil {
		return []domain.Edit{}
	}
	return edits
}

// ScopesByID are the decisions of several scopes.
func (r Reader) ScopesByID(ctx context.Context, ids []uuid.UUID) (map[uuid.UUID]Decision, error) {
	list, err := many(ctx, r, scanScope, scopeColumns+` WHERE workshop_id = $1 AND id = ANY($2)`, r.workshop, ids)
	found := make(map[uuid.UUID]Decision, len(list))
	for _, s := range list {
		found[s.Value.ID] = s.Value
	}
	return found, err
}
