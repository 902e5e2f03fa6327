package postgres_test

import (
	"crypto/sha256"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

func TestADocumentStandsUnderTheHashOfItsBytesOnly(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	for _, url := range []string{db.Service, db.Owner} {
		forWorkshop(t, connect(t, url), workshopA, func(tx pgx.Tx) {
			_, err := tx.Exec(t.Context(), `
				INSERT INTO documents (workshop_id, hash, body, created_at)
				VALUES ($1, sha256('other bytes'), 'these bytes', now())`, workshopA)
			if !refusedWith(err, "23514", "documents_addressed_by_content") {
				t.Errorf(
					"a document under a wrong hash: got %v, want a refusal by documents_addressed_by_content",
					err,
				)
			}
		})
	}
}

func TestTheSameBytesAreKeptOnce(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	s := openStore(t, db, 1)
	a, b := found(t, s), found(t, s)
	body := []byte(`{"odds":"0.50"}`)
	want := postgres.Hash(sha256.Sum256(body))
	for n, who := range []domain.Actor{a, a, b} {
		err := s.Write(t.Context(), who, morning.Add(
			time.Duration(n)*time.Hour,
		), func(tx *postgres.Tx) error {
			for range 2 {
				hash, err := tx.KeepDocument(t.Context(), body)
				if err != nil {
					return err
				}
				diff(t, "hash", hash, want)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	owner := connect(t, db.Owner)
	diff(t, "when the rows were made", list[time.Time](t, owner, `SELECT created_at AT TIME ZONE 'UTC' FROM documents ORDER BY created_at`),
		[]time.Time{morning, morning.Add(2 * time.Hour)})
	diff(t, "the bytes", must(s.Read(a.Workshop).Document(t.Context(), want))(t), body)
	if _, err := s.Read(a.Workshop).Document(
		t.Context(), postgres.Hash{1},
	); faultKind(err) != domain.NotFound {
		t.Errorf("a document that was never stored: got %v, want not found", err)
	}
}

func TestABidStandsOnDocumentsThatAreKept(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	err := s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error {
		return tx.AddBid(t.Context(), postgres.Bid{
			ID: newID(t), Instrument: rowID(13), Survey: rowID(14), Engine: "1",
			Inputs: postgres.HashOf([]byte("lost")), Result: postgres.HashOf([]byte("lost")),
		})
	})
	if !refusedWith(err, "23503", "bids_inputs_fkey") {
		t.Errorf("a bid whose inputs are not stored: got %v, want a refusal by bids_inputs_fkey", err)
	}
}
