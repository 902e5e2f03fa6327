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
	"bentside/domain/instrument"

	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// morning is when everything in these tests happens unless a test says otherwise.
var morning = time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)

// surveyDay lies before every day on which a test begins.
var surveyDay = domain.DateOf(time.Date(2026, 2, 25, 8, 0, 0, 0, time.UTC))

// opened returns an app over a database of the test's own, with a pool of n connections.
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

// founded creates a workshop and returns its owner.
func founded(t *testing.T, a *app.App) app.Actor {
	t.Helper()
	w, err := app.DefaultWorkshop("Fernwood Pianos", "Europe/Lisbon", "EUR")
	if err != nil {
		t.Fatal(err)
	}
	owner, err := a.CreateWorkshop(
		t.Context(),
		app.WorkshopDraft{Workshop: w, OwnerName: "Ada Fernwood", PriceRate: decimal.NewFromInt(1)},
	)
	if err != nil {
		t.Fatal(err)
	}
	return owner
}

func someInstrument() instrument.Instrument {
	return instrument.Instrument{
		Kind: catalogue.Upright, Owner: instrument.Offered, Maker: "Hartvig & Sohn", SizeMM: 1320,
		Notes: 85,
	}
}

// ownPiano returns an instrument of the workshop's own, which may be worked on.
func ownPiano() instrument.Instrument {
	i := someInstrument()
	i.Owner = instrument.Stock
	return i
}

// effects counts the instruments of a workshop and its events after the founding.
func effects(t *testing.T, a *app.App, who app.Actor) string {
	t.Helper()
	r := a.Read(t.Context(), who)
	instruments, err := r.Instruments(
		t.Context(), postgres.InstrumentFilter{}, postgres.Page{Limit: 100},
	)
	if err != nil {
		t.Fatal(err)
	}
	events, err := r.Events(t.Context(), 1, 100) // 1 is the founding
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%d instruments, %d events", len(instruments), len(events))
}

// faultKind returns the kind of the Fault in err, or "" if there is none.
func faultKind(err error) domain.FaultKind {
	var f *domain.Fault
	if errors.As(err, &f) {
		return f.Kind
	}
	return ""
}

// tablesThatHold lists the tables that hold a text in any column, as text or as bytes.
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
		if s := strings.Join(all, "\n"); strings.Contains(s, text) ||
			strings.Contains(s, hexadecimal) {
			found = append(found, table)
		}
	}
	return found
}
