package postgres

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// absenceColumns want the nil UUID as $1.
const absenceColumns = `id, coalesce(person_id, $1::uuid), coalesce(station_id, $1::uuid), coalesce(places, 0), first_day, last_day, why`

func scanAbsence(row pgx.CollectableRow) (a domain.Absence, err error) {
	var first, last time.Time
	err = row.Scan(&a.ID, &a.Person, &a.Station, &a.Places, &first, &last, &a.Why)
	a.First, a.Last = domain.DateOf(first), domain.DateOf(last)
	return a, err
}

// Absences lists those that stand and are not over on a day, the one that
// begins first, first.
func (r Reader) Absences(ctx context.Context, day domain.Date) ([]domain.Absence, error) {
	return many(ctx, r, scanAbsence, `
		SELECT `+absenceColumns+`
		FROM absences
		WHERE withdrawn_at IS NULL AND last_day >= $2
		ORDER BY first_day, last_day, id`, uuid.Nil, day.In(time.UTC))
}

// AddAbsence enters one.
func (tx *Tx) AddAbsence(ctx context.Context, a domain.Absence) error {
	return tx.exec(ctx, `
		INSERT INTO absences (workshop_id, id, person_id, station_id, places, first_day, last_day, why, created_at)
		VALUES ($1, $2, nullif($3::uuid, $10::uuid), nullif($4::uuid, $10::uuid), nullif($5::integer, 0), $6, $7, $8, $9)`,
		tx.workshop, a.ID, a.Person, a.Station, a.Places, a.First.In(time.UTC), a.Last.In(time.UTC), a.Why, tx.now, uuid.Nil)
}

// WithdrawAbsence keeps that one counts no more, and why; NotFound where none of
// that id stands any more.
func (tx *Tx) WithdrawAbsence(ctx context.Context, id uuid.UUID, why string) (domain.Absence, error) {
	return one(ctx, tx.Reader, "absence that stands", scanAbsence, `
		UPDATE absences
		SET withdrawn_at = $3, withdrawn_why = $4
		WHERE id = $2 AND withdrawn_at IS NULL
		RETURNING `+absenceColumns, uuid.Nil, id, tx.now, why)
}
