package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
)

// AddPerson adds a member of the crew.
func (a *App) AddPerson(
	ctx context.Context, actor Actor, p domain.Person,
) (Versioned[domain.Person], error) {
	var made Versioned[domain.Person]
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		p.ID = newID(p.ID)
		if err := p.Check(); err != nil {
			return err
		}
		made = created(p, tx)
		tx.Note(domain.PersonAdded, p.ID, personNoted(p, 1))
		return tx.AddPerson(ctx, p)
	})
	return made, err
}

// ChangePerson replaces a member of the crew, at the version that was read.
func (a *App) ChangePerson(
	ctx context.Context, actor Actor, p domain.Person, version int64,
) (Versioned[domain.Person], error) {
	var now Versioned[domain.Person]
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		old, err := tx.Person(ctx, p.ID)
		if err != nil {
			return err
		}
		if err := p.Check(); err != nil {
			return err
		}
		now = Versioned[domain.Person]{Value: p, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.PersonChanged, p.ID, personNoted(p, version+1))
		return tx.SavePerson(ctx, p, version)
	})
	return now, err
}

// AddStation adds a station.
func (a *App) AddStation(
	ctx context.Context, actor Actor, s domain.Station,
) (Versioned[domain.Station], error) {
	var made Versioned[domain.Station]
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		s.ID = newID(s.ID)
		if err := s.Check(); err != nil {
			return err
		}
		made = created(s, tx)
		tx.Note(domain.StationAdded, s.ID, stationNoted(s, 1))
		return tx.AddStation(ctx, s)
	})
	return made, err
}

// ChangeStation replaces a station, at the version that was read.
func (a *App) ChangeStation(
	ctx context.Context, actor Actor, s domain.Station, version int64,
) (Versioned[domain.Station], error) {
	var now Versioned[domain.Station]
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		old, err := tx.Station(ctx, s.ID)
		if err != nil {
			return err
		}
		if err := s.Check(); err != nil {
			return err
		}
		now = Versioned[domain.Station]{Value: s, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.StationChanged, s.ID, stationNoted(s, version+1))
		return tx.SaveStation(ctx, s, version)
	})
	return now, err
}
