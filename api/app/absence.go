package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// Absences returns a page of the absences of people and stations that are in force and not yet
// over, ordered by first day.
func (a *App) Absences(
	ctx context.Context, actor Actor, p postgres.Page,
) ([]domain.Absence, error) {
	r := a.Read(ctx, actor)
	w, err := r.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return nil, err
	}
	return r.Absences(ctx, domain.DateOf(a.now().In(zone)), p)
}

// AddAbsence records that a person will be away or a station out of use.
func (a *App) AddAbsence(
	ctx context.Context, actor Actor, x domain.Absence,
) (domain.Absence, error) {
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		x.ID = newID(uuid.Nil)
		people, err := tx.People(ctx, postgres.Whole)
		if err != nil {
			return err
		}
		stations, err := tx.Stations(ctx, postgres.Whole)
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
		tx.Note(domain.AbsenceAdded, x.ID, absenceNoted(x))
		return tx.AddAbsence(ctx, x)
	})
	return x, err
}

// WithdrawAbsence ends the effect of an absence. One that is already withdrawn is a NotFound Fault.
func (a *App) WithdrawAbsence(
	ctx context.Context, actor Actor, id uuid.UUID, why string,
) (domain.Absence, error) {
	var x domain.Absence
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		var err error
		if x, err = tx.WithdrawAbsence(ctx, id, why); err != nil {
			return err
		}
		tx.Note(domain.AbsenceWithdrawn, id, absenceNoted(x))
		return nil
	})
	return x, err
}

// values strips the versions from a list.
func values[T any](list []Versioned[T]) []T {
	out := make([]T, len(list))
	for i, x := range list {
		out[i] = x.Value
	}
	return out
}
