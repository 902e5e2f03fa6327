package app_test

import (
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"

	"github.com/google/uuid"
)

// shop is an app with a workshop in a database of its own.
type shop struct {
	*testing.T
	app *app.App
	db  *pgtest.DB
	who app.Actor // the owner
}

func openShop(t *testing.T) shop {
	t.Helper()
	a, db := opened(t, 6, atMorning)
	return shop{T: t, app: a, db: db, who: founded(t, a)}
}

// ok fails the test on an error.
func (s shop) ok(err error) {
	s.Helper()
	if err != nil {
		s.Fatal(err)
	}
}

// scopeOf draws a scope of an instrument that has a survey.
func (s shop) scopeOf(i, survey uuid.UUID) uuid.UUID {
	s.Helper()
	d, err := s.app.DrawScope(s.Context(), s.who, postgres.ScopeRecord{
		Instrument: i, Survey: survey, Depth: catalogue.Recondition,
	})
	s.ok(err)
	return d.Value.ID
}

func (s shop) scope(id uuid.UUID) domain.Versioned[postgres.ScopeRecord] {
	s.Helper()
	d, err := s.app.Read(s.Context(), s.who).Scope(s.Context(), id)
	s.ok(err)
	return d
}

func (s shop) instrument(id uuid.UUID) domain.Versioned[instrument.Instrument] {
	s.Helper()
	i, err := s.app.Read(s.Context(), s.who).Instrument(s.Context(), id)
	s.ok(err)
	return i
}
