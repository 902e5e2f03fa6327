package app_test

import (
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// morning is when everything in these tests happens unless a test says
// otherwise.
var morning = time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)

// opened is an app over a database of the test's own, with a connection for
// each of n requests at once.
func opened(t *testing.T, n int32, now func() time.Time) (*app.App, *pgtest.DB) {
	t.Helper()
	db := pgtest.New(t)
	store, err := postgres.Open(t.Context(), db.Service, n)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	return app.New(store, now, slog.New(slog.DiscardHandler)), db
}

func atMorning() time.Time { return morning }

// founded makes a workshop and returns its owner.
func founded(t *testing.T, a *app.App) app.Actor {
	t.Helper()
	w, err := app.StartingWorkshop("Fernwood Pianos", "Europe/Lisbon", "EUR")
	if err != nil {
		t.Fatal(err)
	}
	owner, err := a.Found(t.Context(), app.Founding{Workshop: w, OwnerName: "Ada Fernwood", PriceRate: decimal.NewFromInt(1)})
	if err != nil {
		t.Fatal(err)
	}
	return owner
}

func someInstrument() domain.Instrument {
	return domain.Instrument{Kind: catalogue.Upright, Owner: domain.Offered, Maker: "Hartvig & Sohn", SizeMM: 1320, Notes: 85}
}

// effects counts the instruments and the events of a workshop.
func effects(t *testing.T, a *app.App, who app.Actor) string {
	t.Helper()
	r := a.Read(t.Context(), who)
	instruments, err := r.Instruments(t.Context(), postgres.InstrumentFilter{}, postgres.Page{Limit: 100})
	if err != nil {
		t.Fatal(err)
	}
	events, err := r.Events(t.Context(), 1, 100) // 1 is the founding
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%d instruments, %d events", len(instruments), len(events))
}

// faultKind is the kind of the Fault in err, "" where there is none.
func faultKind(err error) domain.FaultKind {
	var f *domain.Fault
	if errors.As(err, &f) {
		return f.Kind
	}
	return ""
}

// tablesThatHold lists the tables in which a text stands, in any form that a
// row has as text.
func tablesThatHold(t *testing.T, db *pgtest.DB, text string) []string {
	t.Helper()
	c, err := pgx.Connect(t.Context(), db.Owner)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(t.Context()) //nolint:errcheck // the test has its answer
	rows, _ := c.Query(t.Context(), `SELECT tablename FROM pg_tables WHERE schemaname = 'public'`)
	tables, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	hexadecimal := fmt.Sprintf("%x", text) // how a row shows bytes
	for _, table := range tables {
		rows, _ := c.Query(t.Context(), `SELECT t::text FROM `+table+` AS t`)
		all, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			t.Fatal(err)
		}
		if s := strings.Join(all, "\n"); strings.Contains(s, text) || strings.Contains(s, hexadecimal) {
			found = append(found, table)
		}
	}
	return found
}
