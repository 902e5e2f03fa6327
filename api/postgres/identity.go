package postgres

import (
	"context"
	"errors"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Bearer finds who holds the token with that hash at an instant; nobody is an
// Unauthenticated Fault. It is the one look-up that knows no workshop yet.
func (s *Store) Bearer(ctx context.Context, hash [32]byte, at time.Time) (domain.Actor, error) {
	var a domain.Actor
	err := s.pool.QueryRow(ctx, `SELECT workshop_id, user_id, token_id, role FROM bearer($1, $2)`, hash[:], at).
		Scan(&a.Workshop, &a.User, &a.Token, &a.Role)
	if errors.Is(err, pgx.ErrNoRows) {
		return domain.Actor{}, domain.Refuse(domain.Unauthenticated, "the token is not known, has expired or was revoked")
	}
	return a, translate(err)
}

// Token is a bearer token without its secret.
type Token struct {
	ID        uuid.UUID
	User      uuid.UUID
	UserName  string
	Role      domain.Role
	Note      string
	ExpiresAt *time.Time
	RevokedAt *time.Time
	CreatedAt time.Time
}

//nolint:gosec // G101 takes the word token for one: this is a query
const tokenColumns = `
	SELECT t.id, t.user_id, u.name, m.role, t.note, t.expires_at, t.revoked_at, t.created_at
	FROM tokens t
	JOIN users u ON u.id = t.user_id
	JOIN memberships m ON m.workshop_id = t.workshop_id AND m.user_id = t.user_id`

// Tokens lists the workshop's tokens, revoked ones too, in order of making.
func (r Reader) Tokens(ctx context.Context) ([]Token, error) {
	return many(ctx, r, pgx.RowToStructByPos[Token], tokenColumns+` ORDER BY t.created_at, t.id`)
}

// Token is one token; NotFound where the workshop has none of that id.
func (r Reader) Token(ctx context.Context, id uuid.UUID) (Token, error) {
	return one(ctx, r, "token", pgx.RowToStructByPos[Token], tokenColumns+` WHERE t.id = $1`, id)
}

// UserName is the name of a member of the workshop.
func (r Reader) UserName(ctx context.Context, user uuid.UUID) (string, error) {
	return one(ctx, r, "member", pgx.RowTo[string], `
		SELECT u.name
		FROM users u
		JOIN memberships m ON m.user_id = u.id
		WHERE u.id = $1`, user)
}

// AddMember makes a user and gives a role in the workshop.
func (tx *Tx) AddMember(ctx context.Context, user uuid.UUID, name string, role domain.Role) error {
	if err := tx.exec(ctx, `INSERT INTO users (id, name, created_at) VALUES ($1, $2, $3)`, user, name, tx.now); err != nil {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO memberships (workshop_id, user_id, role, created_at)
		VALUES ($1, $2, $3, $4)`, tx.workshop, user, role, tx.now)
}

// AddToken keeps the hash of a token's secret.
func (tx *Tx) AddToken(ctx context.Context, id, user uuid.UUID, hash [32]byte, note string, expires *time.Time) error {
	return tx.exec(ctx, `
		INSERT INTO tokens (workshop_id, id, user_id, hash, note, expires_at, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`, tx.workshop, id, user, hash[:], note, expires, tx.now)
}

// RevokeToken ends a token now; one that is revoked already stays as it is.
func (tx *Tx) RevokeToken(ctx context.Context, id uuid.UUID) error {
	return tx.exec(ctx, `UPDATE tokens SET revoked_at = $2 WHERE id = $1 AND revoked_at IS NULL`, id, tx.now)
}
