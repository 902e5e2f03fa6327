package postgres

import (
	"context"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const personColumns = `SELECT id, name, skills, productive_share, version, created_at FROM people`

func scanPerson(row pgx.CollectableRow) (v domain.Versioned[domain.Person], err error) {
	p := &v.Value
	err = row.Scan(&p.ID, &p.Name, &p.Skills, &p.ProductiveShare, &v.Version, &v.CreatedAt)
	return v, err
}

// People lists the crew in order of joining.
func (r Reader) People(ctx context.Context) ([]domain.Versioned[domain.Person], error) {
	return many(ctx, r, scanPerson, personColumns+` ORDER BY created_at, id`)
}

// Person is one member of the crew.
func (r Reader) Person(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Person], error) {
	return one(ctx, r, "person", scanPerson, personColumns+` WHERE id = $1`, id)
}

// AddPerson adds to the crew.
func (tx *Tx) AddPerson(ctx context.Context, p domain.Person) error {
	return tx.exec(ctx, `
		INSERT INTO people (workshop_id, id, name, skills, productive_share, created_at)
		VALUES ($1, $2, $3, $4, $5, $6)`, tx.workshop, p.ID, p.Name, p.Skills, p.ProductiveShare, tx.now)
}

// SavePerson replaces a member of the crew at the version that was read.
func (tx *Tx) SavePerson(ctx context.Context, p domain.Person, version int64) error {
	return tx.update(ctx, "person", `
		UPDATE people
		SET name = $2, skills = $3, productive_share = $4, version = version + 1
		WHERE id = $1 AND version = $5`, p.ID, p.Name, p.Skills, p.ProductiveShare, version)
}

const stationColumns = `SELECT id, name, count, version, created_at FROM stations`

func scanStation(row pgx.CollectableRow) (v domain.Versioned[domain.Station], err error) {
	s := &v.Value
	err = row.Scan(&s.ID, &s.Name, &s.Count, &v.Version, &v.CreatedAt)
	return v, err
}

// Stations lists the stations by name.
func (r Reader) Stations(ctx context.Context) ([]domain.Versioned[domain.Station], error) {
	return many(ctx, r, scanStation, stationColumns+` ORDER BY name, id`)
}

// Station is one station.
func (r Reader) Station(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Station], error) {
	return one(ctx, r, "station", scanStation, stationColumns+` WHERE id = $1`, id)
}

// AddStation adds a station.
func (tx *Tx) AddStation(ctx context.Context, s domain.Station) error {
	return tx.exec(ctx, `
		INSERT INTO stations (workshop_id, id, name, count, created_at)
		VALUES ($1, $2, $3, $4, $5)`, tx.workshop, s.ID, s.Name, s.Count, tx.now)
}

// SaveStation replaces a station at the version that was read.
func (tx *Tx) SaveStation(ctx context.Context, s domain.Station, version int64) error {
	return tx.update(ctx, "station", `
		UPDATE stations
		SET name = $2, count = $3, version = version + 1
		WHERE id = $1 AND version = $4`, s.ID, s.Name, s.Count, version)
}
