package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// Absences are those of people and stations that stand and are not over today,
// the one that begins first, first.
func (a *App) Absences(ctx context.Context, actor Actor) ([]domain.Absence, error) {
	r := a.Read(ctx, actor)
	w, err := r.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return nil, err
	}
	return r.Absences(ctx, domain.DateOf(a.now().In(zone)))
}

// AddAbsence enters that a person will be away or a station out of use.
func (a *App) AddAbsence(ctx context.Context, actor Actor, x domain.Absence) (domain.Absence, error) {
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		x.ID = newID(uuid.Nil)
		people, err := tx.People(ctx)
		if err != nil {
			return err
		}
		stations, err := tx.Stations(ctx)
		if err != nil {
			return err
		}
		today, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if err := x.Check(values(people), values(stations), today); err != nil {
			return err
		}
		tx.Note("absence.added", x.ID, map[string]any{"person": x.Person, "station": x.Station, "first": x.First, "last": x.Last})
		return tx.AddAbsence(ctx, x)
	})
	return x, err
}

// WithdrawAbsence lets an absence count no more. One that was withdrawn before
// is NotFound.
func (a *App) WithdrawAbsence(ctx context.Context, actor Actor, id uuid.UUID, why string) (domain.Absence, error) {
	var x domain.Absence
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		var err error
		if x, err = tx.WithdrawAbsence(ctx, id, why); err != nil {
			return err
		}
		tx.Note("absence.withdrawn", id, map[string]any{"first": x.First, "last": x.Last})
		return nil
	})
	return x, err
}

// values are what is versioned, without the versions.
func values[T any](list []Versioned[T]) []T {
	out := make([]T, len(list))
	for i, x := range list {
		out[i] = x.Value
	}
	return out
}
