package postgres_test

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/shopspring/decimal"
)

// morning is when everything in these tests is recorded unless a test says otherwise.
var morning = time.Date(2026, 10, 25, 0, 30, 0, 123456000, time.UTC)

// openStore opens the store as the service role with a pool of n connections.
func openStore(tb testing.TB, db *pgtest.DB, n int32) *postgres.Store {
	tb.Helper()
	s, err := postgres.Open(tb.Context(), db.Service, n)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(s.Close)
	return s
}

// connect opens one raw connection.
func connect(tb testing.TB, url string) *pgx.Conn {
	tb.Helper()
	config, err := pgx.ParseConfig(url)
	if err != nil {
		tb.Fatal(err)
	}
	return connectWith(tb, config)
}

// connectWith opens one raw connection that may be listened to.
func connectWith(tb testing.TB, config *pgx.ConnConfig) *pgx.Conn {
	tb.Helper()
	c, err := pgx.ConnectConfig(tb.Context(), config)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { _ = c.Close(context.WithoutCancel(tb.Context())) })
	return c
}

// asOwner opens a raw connection as the role that owns the tables.
func asOwner(tb testing.TB, db *pgtest.DB) *pgx.Conn {
	tb.Helper()
	c := connect(tb, db.Migrator)
	mustExec(tb, c, `SET ROLE `+postgres.OwnerRole)
	return c
}

func mustExec(tb testing.TB, c *pgx.Conn, sql string, args ...any) int64 {
	tb.Helper()
	tag, err := c.Exec(tb.Context(), sql, args...)
	if err != nil {
		tb.Fatalf("%s: %v", sql, err)
	}
	return tag.RowsAffected()
}

// scan reads the single value of a query.
func scan[T any](tb testing.TB, c *pgx.Conn, sql string, args ...any) T {
	tb.Helper()
	var v T
	if err := c.QueryRow(tb.Context(), sql, args...).Scan(&v); err != nil {
		tb.Fatalf("%s: %v", sql, err)
	}
	return v
}

// list reads the first column of a query.
func list[T any](tb testing.TB, c *pgx.Conn, sql string, args ...any) []T {
	tb.Helper()
	rows, err := c.Query(tb.Context(), sql, args...)
	if err != nil {
		tb.Fatalf("%s: %v", sql, err)
	}
	vs, err := pgx.CollectRows(rows, pgx.RowTo[T])
	if err != nil {
		tb.Fatalf("%s: %v", sql, err)
	}
	return vs
}

// forWorkshop runs fn in a transaction of a workshop on a raw connection and rolls it back.
func forWorkshop(tb testing.TB, c *pgx.Conn, workshop uuid.UUID, fn func(pgx.Tx)) {
	tb.Helper()
	tx, err := c.Begin(tb.Context())
	if err != nil {
		tb.Fatal(err)
	}
	defer tx.Rollback(context.WithoutCancel(tb.Context())) //nolint:errcheck // the test has its answer
	if _, err := tx.Exec(tb.Context(), `SELECT set_config('app.workshop', $1, true)`, workshop.String()); err != nil {
		tb.Fatal(err)
	}
	fn(tx)
}

// refusedWith reports whether the database refused with an SQLSTATE and a text.
func refusedWith(err error, code, text string) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && pg.Code == code && strings.Contains(pg.Message, text)
}

// faultKind returns the kind of the Fault in err, or "" if there is none.
func faultKind(err error) domain.FaultKind {
	var f *domain.Fault
	if errors.As(err, &f) {
		return f.Kind
	}
	return ""
}

// querier is implemented by a raw connection and a transaction on it.
type querier interface {
	Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

// actorOf returns an actor in a workshop.
func actorOf(workshop uuid.UUID) domain.Actor {
	return domain.Actor{
		Workshop: workshop, User: rowID(2), Role: domain.Owner, RequestID: "req-1",
		Reason: "told so",
	}
}

// newID returns an id in order of time.
func newID(tb testing.TB) uuid.UUID {
	tb.Helper()
	id, err := uuid.NewV7()
	if err != nil {
		tb.Fatal(err)
	}
	return id
}

// found creates a workshop with its owner.
func found(tb testing.TB, s *postgres.Store) domain.Actor {
	tb.Helper()
	a := domain.Actor{
		Workshop: newID(tb), User: newID(tb), Role: domain.Owner, RequestID: "req-1",
		Reason: "told so",
	}
	write(tb, s, a, func(tx *postgres.Tx) error {
		return errors.Join(
			tx.AddWorkshop(tb.Context(), someWorkshop(a.Workshop)),
			tx.AddMember(tb.Context(), a.User, "Ada Fernwood", domain.Owner))
	})
	return a
}

// write commits fn or fails the test.
func write(tb testing.TB, s *postgres.Store, a domain.Actor, fn func(*postgres.Tx) error) {
	tb.Helper()
	if err := s.Write(tb.Context(), a, morning, fn); err != nil {
		tb.Fatal(err)
	}
}

func someWorkshop(id uuid.UUID) domain.Workshop {
	d := decimal.RequireFromString
	w := domain.Workshop{ID: id, Name: "Fernwood Pianos", Zone: "Europe/Lisbon", Terms: domain.Terms{
		Currency: "EUR", LabourRates: map[string]decimal.Decimal{
			"bench": d("21.50"),
		}, OverheadRate: d("12.25"),
		TaxRegime: domain.MarginTax, TaxRate: d("0.23"), TargetShare: d("0.15"), SellingShare: d("0.03"),
		SellingFixed: d("240"), FinanceRate: d("0.06"), StoragePerDay: d("2.1250"), DaysOnFloor: 120,
		BiddingStep: d("50"), UnknownOdds: domain.OddsFromChance(d("0.5")), WorkFinanced: d("0.5"),
		LossLimit: d("0.2"), Uncertainty: domain.DefaultUncertainty(),
	}}
	w.Country = "PT"
	w.Open.Week[time.Monday] = []domain.Interval{{From: 480, To: 720}}
	return w
}

func someInstrument(id uuid.UUID) instrument.Instrument {
	return instrument.Instrument{
		ID: id, Kind: catalogue.Grand, Owner: instrument.Offered, Maker: "Hartvig & Sohn", Model: "IV",
		Serial: "40213", Year: 1911,
		SizeMM: 1830, Notes: 88, Stringing: &instrument.Stringing{
			LastSingle: 8, LastPair: 20, Covered: 32,
		},
		Covering: "celluloid", Finish: "shellac", Colour: "walnut", Decorated: true, Action: "roller",
		Country: "FR", State: instrument.Considered,
	}
}

// diff compares whole values, including the locations of instants.
func diff(tb testing.TB, what string, got, want any) {
	tb.Helper()
	if !reflect.DeepEqual(got, want) {
		tb.Errorf("%s\n got %+v\nwant %+v", what, got, want)
	}
}

var (
	half    = decimal.RequireFromString("0.5")
	someDay = domain.Date{Year: 2026, Month: time.October, Day: 25}
)

// someDecision returns a scope of the fixture's survey.
func someDecision(id uuid.UUID) postgres.ScopeRecord {
	return postgres.ScopeRecord{
		ID: id, Instrument: rowID(13), Survey: rowID(14), Revision: 1, Depth: catalogue.Restore,
	}
}

// addBid stores a bid on the fixture's survey.
func addBid(ctx context.Context, tx *postgres.Tx, id uuid.UUID) error {
	hash, err := tx.KeepDocument(ctx, []byte(`{"bid": 1}`))
	if err != nil {
		return err
	}
	return tx.AddBid(
		ctx,
		postgres.Bid{
			ID: id, Instrument: rowID(13), Survey: rowID(14), Engine: "1", Inputs: hash,
			Result: hash,
		},
	)
}
