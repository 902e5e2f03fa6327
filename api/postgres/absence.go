package postgres

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// absenceColumns expect the nil UUID as $1.
const absenceColumns = `id, coalesce(person_id, $1::uuid), coalesce(station_id, $1::uuid), coalesce(places, 0), first_day, last_day, why`

func scanAbsence(row pgx.CollectableRow) (a domain.Absence, err error) {
	var first, last time.Time
	err = row.Scan(&a.ID, &a.Person, &a.Station, &a.Places, &first, &last, &a.Why)
	a.First, a.Last = domain.DateOf(first), domain.DateOf(last)
	return a, err
}

// Absences returns a page of the absences in force that end on or after day, ordered by first day.
func (r Reader) Absences(ctx context.Context, day domain.Date, p Page) ([]domain.Absence, error) {
	q := absencePage(r.workshop, day, p)
	return many(ctx, r, scanAbsence, q.sql, q.args...)
}

// byDays sorts absences; Place.Key is an AbsenceKey.
var byDays = order{
	column: "first_day, last_day", tie: "id",
	key: "split_part(%[1]s, ' ', 1)::date, split_part(%[1]s, ' ', 2)::date",
}

// AbsenceKey returns the key by which an absence is sorted.
func AbsenceKey(a domain.Absence) string { return a.First.String() + " " + a.Last.String() }

func absencePage(workshop uuid.UUID, day domain.Date, p Page) *query {
	q := &query{sql: `
		SELECT ` + absenceColumns + `
		FROM absences`, args: []any{uuid.Nil}}
	q.where("workshop_id = " + q.arg(workshop))
	q.where("withdrawn_at IS NULL AND last_day >= " + q.arg(day.In(time.UTC)))
	q.page(byDays, p)
	return q
}

// AddAbsence adds an absence.
func (tx *Tx) AddAbsence(ctx context.Context, a domain.Absence) error {
	return tx.exec(ctx, `
		INSERT INTO absences (workshop_id, id, person_id, station_id, places, first_day, last_day, why,
		created_at)
		VALUES (@workshop_id, @id, nullif(@person_id::uuid, @none::uuid),
		nullif(@station_id::uuid, @none::uuid), nullif(@places::integer, 0), @first_day, @last_day,
		@why, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": a.ID, "person_id": a.Person, "station_id": a.Station,
			"places": a.Places, "first_day": a.First.In(time.UTC), "last_day": a.Last.In(time.UTC),
			"why": a.Why, "created_at": tx.now, "none": uuid.Nil,
		})
}

// WithdrawAbsence marks an absence as withdrawn and says why. If it doesn't exist or is already
// withdrawn, it returns a NotFound Fault.
func (tx *Tx) WithdrawAbsence(
	ctx context.Context, id uuid.UUID, why string,
) (domain.Absence, error) {
	return one(ctx, tx.Reader, "absence in force", scanAbsence, `
		UPDATE absences
		SET withdrawn_at = $3, withdrawn_why = $4
		WHERE id = $2 AND withdrawn_at IS NULL
		RETURNING `+absenceColumns, uuid.Nil, id, tx.now, why)
}
