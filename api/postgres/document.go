package postgres

import (
	"context"
	"crypto/sha256"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Hash is the SHA-256 of a document, under which it is stored.
type Hash [sha256.Size]byte

// HashOf returns the hash of a document.
func HashOf(body []byte) Hash { return sha256.Sum256(body) }

// Document returns the document stored under a hash.
func (r Reader) Document(ctx context.Context, hash Hash) ([]byte, error) {
	return one(ctx, r, "document", pgx.RowTo[[]byte], `SELECT body FROM documents WHERE hash = $1`, hash[:])
}

// KeepDocument stores a document under its hash. Storing it again has no effect.
func (tx *Tx) KeepDocument(ctx context.Context, body []byte) (Hash, error) {
	hash := HashOf(body)
	return hash, tx.exec(ctx, `
		INSERT INTO documents (workshop_id, hash, body, created_at)
		VALUES ($1, $2, $3, $4)
		ON CONFLICT (workshop_id, hash) DO NOTHING`, tx.workshop, hash[:], body, tx.now)
}

// Revision is one revision of the workshop's catalogue.
type Revision struct {
	Number    int
	Document  Hash
	Note      string
	CreatedAt time.Time
}

func scanRevision(row pgx.CollectableRow) (v Revision, err error) {
	var hash []byte
	err = row.Scan(&v.Number, &hash, &v.Note, &v.CreatedAt)
	copy(v.Document[:], hash)
	return v, err
}

// Revisions returns a page of the catalogue's revisions, newest first; Place.Key is the number.
func (r Reader) Revisions(ctx context.Context, p Page) ([]Revision, error) {
	q := revisionPage(r.workshop, p)
	return many(ctx, r, scanRevision, q.sql, q.args...)
}

func revisionPage(workshop uuid.UUID, p Page) *query {
	q := &query{sql: `SELECT number, document, note, created_at FROM catalogue_revisions`}
	q.where("workshop_id = " + q.arg(workshop))
	q.page(order{column: "number", key: "(%s)::integer", descending: true}, p)
	return q
}

// LatestRevision returns the catalogue's newest revision.
func (r Reader) LatestRevision(ctx context.Context) (Revision, error) {
	return one(ctx, r, "catalogue", scanRevision, `
		SELECT number, document, note, created_at
		FROM catalogue_revisions
		ORDER BY number DESC
		LIMIT 1`)
}

// Revision returns one revision by its number.
func (r Reader) Revision(ctx context.Context, number int) (Revision, error) {
	return one(ctx, r, "catalogue revision", scanRevision, `
		SELECT number, document, note, created_at
		FROM catalogue_revisions
		WHERE number = $1`, number)
}

// AddRevision adds the revision after the one that was read, or the first if after is 0. If there
// is a newer one, it returns a Stale Fault.
func (tx *Tx) AddRevision(
	ctx context.Context, after int, document Hash, note string,
) (Revision, error) {
	latest := 0
	if after > 0 {
		rev, err := tx.LatestRevision(ctx)
		if err != nil {
			return Revision{}, err
		}
		latest = rev.Number
	}
	if latest != after {
		return Revision{}, domain.Refuse(
			domain.Stale, "the catalogue is at revision %d now; read it again", latest,
		)
	}
	rev := Revision{Number: after + 1, Document: document, Note: note, CreatedAt: tx.now}
	return rev, tx.exec(ctx, `
		INSERT INTO catalogue_revisions (workshop_id, number, document, note, created_at)
		VALUES ($1, $2, $3, $4, $5)`, tx.workshop, rev.Number, rev.Document[:], note, tx.now)
}
