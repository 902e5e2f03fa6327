package postgres

import (
	"context"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// ScopeRecord is a scope as stored. Its lines aren't, since they follow from it.
type ScopeRecord struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Survey     uuid.UUID
	Revision   int // of the catalogue
	Depth      catalogue.Depth
	Edits      []scope.Edit
}

const scopeColumns = `SELECT id, instrument_id, survey_id, revision, depth, edits, version, created_at FROM scopes`

func scanScope(row pgx.CollectableRow) (v domain.Versioned[ScopeRecord], err error) {
	s := &v.Value
	err = row.Scan(
		&s.ID, &s.Instrument, &s.Survey, &s.Revision, &s.Depth, &s.Edits, &v.Version, &v.CreatedAt,
	)
	return v, err
}

// Scopes returns a page of the scopes of an instrument, oldest first.
func (r Reader) Scopes(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]domain.Versioned[ScopeRecord], error) {
	q := pageOfInstrument(scopeColumns, r.workshop, instrument, p)
	return many(ctx, r, scanScope, q.sql, q.args...)
}

// Scope returns one scope as stored.
func (r Reader) Scope(ctx context.Context, id uuid.UUID) (domain.Versioned[ScopeRecord], error) {
	return one(ctx, r, "scope", scanScope, scopeColumns+` WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// AddScope adds a scope.
func (tx *Tx) AddScope(ctx context.Context, d ScopeRecord) error {
	return tx.exec(ctx, `
		INSERT INTO scopes (workshop_id, id, instrument_id, survey_id, revision, depth, edits,
		created_at)
		VALUES (@workshop_id, @id, @instrument_id, @survey_id, @revision, @depth, @edits, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": d.ID, "instrument_id": d.Instrument, "survey_id": d.Survey,
			"revision": d.Revision, "depth": d.Depth, "edits": orEmpty(d.Edits), "created_at": tx.now,
		})
}

// SaveEdits replaces the buyer's edits of a scope, at the version that was read.
func (tx *Tx) SaveEdits(
	ctx context.Context, scopeID uuid.UUID, edits []scope.Edit, version int64,
) error {
	return tx.update(ctx, "scope", `
		UPDATE scopes
		SET edits = $2, version = version + 1
		WHERE id = $1 AND version = $3`, scopeID, orEmpty(edits), version)
}

// SaveScopeMove moves a scope, at the version that was read, to another revision with the edits
// that could be carried over.
func (tx *Tx) SaveScopeMove(ctx context.Context, d ScopeRecord, version int64) error {
	return tx.update(ctx, "scope", `
		UPDATE scopes
		SET revision = $2, edits = $3, version = version + 1
		WHERE id = $1 AND version = $4`, d.ID, d.Revision, orEmpty(d.Edits), version)
}

// orEmpty makes a nil list an empty one, so that it is stored as [] rather than null.
func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// ScopesByID returns several scopes as stored.
func (r Reader) ScopesByID(
	ctx context.Context, ids []uuid.UUID,
) (map[uuid.UUID]ScopeRecord, error) {
	list, err := many(ctx, r, scanScope, scopeColumns+` WHERE workshop_id = $1 AND id = ANY($2)`, r.workshop, ids)
	found := make(map[uuid.UUID]ScopeRecord, len(list))
	for _, s := range list {
		found[s.Value.ID] = s.Value
	}
	return found, err
}
