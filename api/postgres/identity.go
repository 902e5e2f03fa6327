package postgres

import (
	"context"
	"errors"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Bearer returns the holder of the token with a hash, if it is valid at the given instant;
// otherwise an Unauthenticated Fault. It is the one query that doesn't know its workshop.
func (s *Store) Bearer(ctx context.Context, hash [32]byte, at time.Time) (domain.Actor, error) {
	conn, err := s.acquire(ctx)
	if err != nil {
		return domain.Actor{}, err
	}
	defer conn.Release()
	var a domain.Actor
	err = conn.QueryRow(ctx, `SELECT workshop_id, user_id, token_id, role FROM bearer($1, $2)`, hash[:], at).
		Scan(&a.Workshop, &a.User, &a.Token, &a.Role)
	if errors.Is(err, pgx.ErrNoRows) {
		return domain.Actor{}, domain.Refuse(
			domain.Unauthenticated, "the token is unknown, has expired or was revoked",
		)
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

//nolint:gosec // G101 mistakes the word token for a credential
const tokenColumns = `
	SELECT t.id, t.user_id, u.name, m.role, t.note, t.expires_at, t.revoked_at, t.created_at
	FROM tokens t
	JOIN users u ON u.id = t.user_id
	JOIN memberships m ON m.workshop_id = t.workshop_id AND m.user_id = t.user_id`

// Tokens returns a page of the workshop's tokens in the order of issue, including revoked ones.
func (r Reader) Tokens(ctx context.Context, p Page) ([]Token, error) {
	q := tokenPage(r.workshop, p)
	return many(ctx, r, pgx.RowToStructByPos[Token], q.sql, q.args...)
}

func tokenPage(workshop uuid.UUID, p Page) *query {
	q := &query{sql: tokenColumns}
	q.where("t.workshop_id = " + q.arg(workshop))
	q.page(order{column: "t.created_at", tie: "t.id"}, p)
	return q
}

// Token returns one token of the workshop.
func (r Reader) Token(ctx context.Context, id uuid.UUID) (Token, error) {
	return one(ctx, r, "token", pgx.RowToStructByPos[Token], tokenColumns+` WHERE t.id = $1`, id)
}

// UserName returns the name of a member of the workshop.
func (r Reader) UserName(ctx context.Context, user uuid.UUID) (string, error) {
	return one(ctx, r, "member", pgx.RowTo[string], `
		SELECT u.name
		FROM users u
		JOIN memberships m ON m.user_id = u.id
		WHERE u.id = $1`, user)
}

// AddMember adds a user with a role in the workshop. The service may add neither by itself.
func (tx *Tx) AddMember(ctx context.Context, user uuid.UUID, name string, role domain.Role) error {
	return tx.exec(ctx, `SELECT add_member($1, $2, $3, $4)`, user, name, role, tx.now)
}

// AddToken stores a token under the hash of its secret.
func (tx *Tx) AddToken(
	ctx context.Context, id, user uuid.UUID, hash [32]byte, note string, expires *time.Time,
) error {
	return tx.exec(ctx, `
		INSERT INTO tokens (workshop_id, id, user_id, hash, note, expires_at, created_at)
		VALUES (@workshop_id, @id, @user_id, @hash, @note, @expires_at, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": id, "user_id": user, "hash": hash[:], "note": note,
			"expires_at": expires, "created_at": tx.now,
		})
}

// RevokeToken makes a token invalid from now on. Revoking it again changes nothing.
func (tx *Tx) RevokeToken(ctx context.Context, id uuid.UUID) error {
	return tx.exec(ctx, `UPDATE tokens SET revoked_at = $2 WHERE id = $1 AND revoked_at IS NULL`, id, tx.now)
}
