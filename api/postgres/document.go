package postgres

import (
	"context"
	"crypto/sha256"
	"time"

	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

// Hash is the SHA-256 of a document's bytes, its address.
type Hash [sha256.Size]byte

// HashOf is the address of a document.
func HashOf(body []byte) Hash { return sha256.Sum256(body) }

// Document is the bytes kept under a hash.
func (r Reader) Document(ctx context.Context, hash Hash) ([]byte, error) {
	return one(ctx, r, "document", pgx.RowTo[[]byte], `SELECT body FROM documents WHERE hash = $1`, hash[:])
}

// KeepDocument keeps bytes under their hash; the same bytes are kept once.
func (tx *Tx) KeepDocument(ctx context.Context, body []byte) (Hash, error) {
	hash := HashOf(body)
	return hash, tx.exec(ctx, `
		INSERT INTO documents (workshop_id, hash, body, created_at)
		VALUES ($1, $2, $3, $4)
		ON CONFLICT (workshop_id, hash) DO NOTHING`, tx.workshop, hash[:], body, tx.now)
}

// Revision is one state of the workshop's catalogue.
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

// Revisions lists the catalogue's revisions, newest first.
func (r Reader) Revisions(ctx context.Context) ([]Revision, error) {
	return many(ctx, r, scanRevision, `SELECT number, document, note, created_at FROM catalogue_revisions ORDER BY number DESC`)
}

// LatestRevision is the catalogue's newest revision.
func (r Reader) LatestRevision(ctx context.Context) (Revision, error) {
	return one(ctx, r, "catalogue", scanRevision, `
		SELECT number, document, note, created_at
		FROM catalogue_revisions
		ORDER BY number DESC
		LIMIT 1`)
}

// Revision is one revision by its number.
func (r Reader) Revision(ctx context.Context, number int) (Revision, error) {
	return one(ctx, r, "catalogue revision", scanRevision, `
		SELECT number, document, note, created_at
		FROM catalogue_revisions
		WHERE number = $1`, number)
}

// AddRevision makes the next revision after one that was read; where another
// has come since, it is Stale. After 0 makes the first.
func (tx *Tx) AddRevision(ctx context.Context, after int, document Hash, note string) (Revision, error) {
	latest := 0
	if after > 0 {
		rev, err := tx.LatestRevision(ctx)
		if err != nil {
			return Revision{}, err
		}
		latest = rev.Number
	}
	if latest != after {
		return Revision{}, domain.Refuse(domain.Stale, "the catalogue is at revision %d by now; read it again", latest)
	}
	rev := Revision{Number: after + 1, Document: document, Note: note, CreatedAt: tx.now}
	return rev, tx.exec(ctx, `
		INSERT INTO catalogue_revisions (workshop_id, number, document, note, created_at)
		VALUES ($1, $2, $3, $4, $5)`, tx.workshop, rev.Number, rev.Document[:], note, tx.now)
}
