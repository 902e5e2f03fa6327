package postgres

import (
	"context"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// personColumns end with the flags that no date rests on.
const personColumns = `
	SELECT id, name, skills, productive_share, version, created_at, NOT on_payroll, user_id
	FROM people`

func scanPerson(row pgx.CollectableRow) (v domain.Versioned[domain.Person], err error) {
	p := &v.Value
	var user *uuid.UUID
	err = row.Scan(
		&p.ID, &p.Name, &p.Skills, &p.ProductiveShare, &v.Version, &v.CreatedAt, &p.OffPayroll, &user,
	)
	if user != nil {
		p.User = *user
	}
	return v, err
}

// People returns a page of the crew in the order in which they were added.
func (r Reader) People(ctx context.Context, p Page) ([]domain.Versioned[domain.Person], error) {
	q := peoplePage(r.workshop, p)
	return many(ctx, r, scanPerson, q.sql, q.args...)
}

func peoplePage(workshop uuid.UUID, p Page) *query {
	q := &query{sql: personColumns}
	q.where("workshop_id = " + q.arg(workshop))
	q.page(byCreation, p)
	return q
}

// Person returns one member of the crew.
func (r Reader) Person(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Person], error) {
	return one(ctx, r, "person", scanPerson, personColumns+` WHERE id = $1`, id)
}

// AddPerson adds a member of the crew.
func (tx *Tx) AddPerson(ctx context.Context, p domain.Person) error {
	return tx.exec(ctx, `
		INSERT INTO people (workshop_id, id, name, skills, productive_share, on_payroll, user_id,
		created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`, tx.workshop, p.ID, p.Name, p.Skills,
		p.ProductiveShare, !p.OffPayroll, orNull(p.User), tx.now)
}

// SavePerson replaces a member of the crew, at the version that was read.
func (tx *Tx) SavePerson(ctx context.Context, p domain.Person, version int64) error {
	return tx.update(ctx, "person", `
		UPDATE people
		SET name = $2, skills = $3, productive_share = $4, on_payroll = $6, user_id = $7,
		version = version + 1
		WHERE id = $1 AND version = $5`, p.ID, p.Name, p.Skills, p.ProductiveShare, version,
		!p.OffPayroll, orNull(p.User))
}

const stationColumns = `SELECT id, name, count, room, version, created_at FROM stations`

func scanStation(row pgx.CollectableRow) (v domain.Versioned[domain.Station], err error) {
	s := &v.Value
	err = row.Scan(&s.ID, &s.Name, &s.Count, &s.Room, &v.Version, &v.CreatedAt)
	return v, err
}

// Stations returns a page of the stations by name. No two stations share a name.
func (r Reader) Stations(ctx context.Context, p Page) ([]domain.Versioned[domain.Station], error) {
	q := stationPage(r.workshop, p)
	return many(ctx, r, scanStation, q.sql, q.args...)
}

func stationPage(workshop uuid.UUID, p Page) *query {
	q := &query{sql: stationColumns}
	q.where("workshop_id = " + q.arg(workshop))
	q.page(order{column: "name", key: "%s"}, p)
	return q
}

// Station returns one station.
func (r Reader) Station(ctx context.Context, id uuid.UUID) (
	domain.Versioned[domain.Station], error,
) {
	return one(ctx, r, "station", scanStation, stationColumns+` WHERE id = $1`, id)
}

// AddStation adds a station.
func (tx *Tx) AddStation(ctx context.Context, s domain.Station) error {
	return tx.exec(ctx, `
		INSERT INTO stations (workshop_id, id, name, count, room, created_at)
		VALUES ($1, $2, $3, $4, $5, $6)`, tx.workshop, s.ID, s.Name, s.Count, s.Room, tx.now)
}

// SaveStation replaces a station, at the version that was read.
func (tx *Tx) SaveStation(ctx context.Context, s domain.Station, version int64) error {
	return tx.update(ctx, "station", `
		UPDATE stations
		SET name = $2, count = $3, room = $4, version = version + 1
		WHERE id = $1 AND version = $5`, s.ID, s.Name, s.Count, s.Room, version)
}
