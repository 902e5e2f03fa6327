package postgres_test

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"reflect"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestAReadingIsReadBackExactlyAsEntered(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	rapid.Check(t, func(r *rapid.T) {
		// All that numeric(20,6) can hold: 14 digits and 6 decimals.
		value := decimal.New(rapid.Int64Range(0, 99_999_999_999_999).Draw(r, "whole"), 0).
			Add(decimal.New(rapid.Int64Range(0, 999_999).Draw(r, "millionths"), -6)).
			Mul(decimal.NewFromInt(rapid.SampledFrom([]int64{1, -1}).Draw(r, "sign")))
		yes := rapid.Bool().Draw(r, "flag")
		want := domain.Finding{
			ID: newID(t), Point: "AC-02", Where: rapid.SampledFrom([]string{"", "note 88", "bass"}).Draw(r, "where"),
			Value: &value, Unit: "mm", Canonical: &value, Flag: &yes, Raise: catalogue.Attention,
		}
		survey := domain.Survey{ID: newID(t), Instrument: rowID(13), TakenOn: someDay, Findings: []domain.Finding{want}}
		if err := s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error { return tx.AddSurvey(t.Context(), survey) }); err != nil {
			r.Fatal(err)
		}
		v, err := s.Read(workshopA).Survey(t.Context(), survey.ID)
		if err != nil {
			r.Fatal(err)
		}
		got := v.Value.Findings[0]
		if !got.Value.Equal(value) || !got.Canonical.Equal(value) {
			r.Fatalf("%s was read back as %s and %s", value, got.Value, got.Canonical)
		}
		got.Value, got.Canonical = &value, &value // the same numbers, whose forms may differ
		if !reflect.DeepEqual(got, want) {
			r.Fatalf("got %+v, want %+v", got, want)
		}
	})
}

func TestSettingsKeepEveryDigitOfTheirRates(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	rapid.Check(t, func(r *rapid.T) {
		money := func(name string) decimal.Decimal {
			return decimal.New(rapid.Int64Range(0, 999_999_9999).Draw(r, name), -4)
		}
		share := func(name string) decimal.Decimal { return decimal.New(rapid.Int64Range(0, 999_999).Draw(r, name), -6) }
		w := someWorkshop(a.Workshop)
		w.Terms.OverheadRate, w.Terms.SellingFixed, w.Terms.StoragePerDay = money("overhead"), money("fixed"), money("storage")
		w.Terms.TaxRate, w.Terms.TargetShare, w.Terms.FinanceRate = share("tax"), share("target"), share("finance")
		w.Terms.WorkFinanced, w.Terms.LossLimit = share("work financed"), share("loss limit")
		w.Terms.LabourRates = map[string]decimal.Decimal{
			"bench":  decimal.RequireFromString("21.10"), // a float would make 21.1 of it, or 21.099999
			"finish": decimal.New(rapid.Int64().Draw(r, "digits"), -rapid.Int32Range(0, 30).Draw(r, "decimals")),
		}
		w.Open.Holidays = []domain.Date{someDay}
		w.Open.Special = map[domain.Date][]domain.Interval{someDay.AddDays(1): {{From: 540, To: 600}}}
		var version int64
		err := s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
			old, err := tx.Workshop(t.Context())
			version = old.Version
			return errors.Join(err, tx.SaveWorkshop(t.Context(), w, version))
		})
		if err != nil {
			r.Fatal(err)
		}
		got, err := s.Read(a.Workshop).Workshop(t.Context())
		if err != nil {
			r.Fatal(err)
		}
		// Compared as text: it holds every digit and no form.
		if g, want := fmt.Sprintf("%v", got.Value), fmt.Sprintf("%v", w); g != want || got.Version != version+1 {
			r.Fatalf("version %d\n got %s\nwant %s", got.Version, g, want)
		}
	})
}

func TestRatesStandInTheDatabaseAsDecimalStrings(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	s := openStore(t, db, 1)
	a := domain.Actor{Workshop: newID(t), User: newID(t), Role: domain.Owner}
	w := someWorkshop(a.Workshop)
	exact := decimal.RequireFromString("0.1000000000000000055511151231257827") // more digits than a float has
	w.Terms.LabourRates = map[string]decimal.Decimal{"bench": exact}
	write(t, s, a, func(tx *postgres.Tx) error { return tx.AddWorkshop(t.Context(), w) })
	got := scan[string](t, connect(t, db.Owner), `SELECT labour_rates::text FROM workshops`)
	diff(t, "labour_rates", got, `{"bench": "0.1000000000000000055511151231257827"}`)
}

func TestAnInstantIsReadBackToTheMicrosecond(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	lisbon, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(r *rapid.T) {
		// Around the hour that Lisbon has twice, and anywhere else.
		at := time.Unix(0, rapid.OneOf(
			rapid.Int64Range(morning.Add(-2*time.Hour).UnixNano(), morning.Add(2*time.Hour).UnixNano()),
			rapid.Int64Range(0, time.Date(2200, 1, 1, 0, 0, 0, 0, time.UTC).UnixNano()),
		).Draw(r, "nanoseconds")).In(lisbon)
		want := at.UTC().Truncate(time.Microsecond)
		token, kept := newID(t), time.Time{}
		err := s.Write(t.Context(), actorOf(workshopA), at, func(tx *postgres.Tx) error {
			kept = tx.Now()
			return tx.AddToken(t.Context(), token, rowID(2), sha256.Sum256(token[:]), "", &kept)
		})
		if err != nil {
			r.Fatal(err)
		}
		got, err := s.Read(workshopA).Token(t.Context(), token)
		if err != nil {
			r.Fatal(err)
		}
		if kept != want || got.CreatedAt != want || *got.ExpiresAt != want { // with ==, so that the location counts
			r.Fatalf("%v: recorded at %v, made %v, ends %v; want %v", at, kept, got.CreatedAt, got.ExpiresAt, want)
		}
	})
}

// TestADayStaysTheDay walks over the two days of the year on which the zone of
// the database, and the workshop's, have 23 and 25 hours.
func TestADayStaysTheDay(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	owner := connect(t, db.Owner)
	if zone := scan[string](t, owner, `SHOW timezone`); zone == "UTC" || zone == "Etc/UTC" {
		t.Fatalf("the database lives in %s, where no mistake would show", zone)
	}
	s := openStore(t, db, 1)
	for _, start := range []domain.Date{
		{Year: 2026, Month: time.March, Day: 6}, {Year: 2026, Month: time.March, Day: 27}, // St John's, Lisbon: forward
		{Year: 2026, Month: time.October, Day: 23}, {Year: 2026, Month: time.October, Day: 30}, // Lisbon, St John's: back
		{Year: 2028, Month: time.February, Day: 27}, {Year: 2026, Month: time.December, Day: 30},
	} {
		for n := range 5 {
			day := start.AddDays(n)
			survey := domain.Survey{ID: newID(t), Instrument: rowID(13), TakenOn: day, TakenBy: "Ada", Findings: []domain.Finding{}}
			write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error { return tx.AddSurvey(t.Context(), survey) })
			diff(t, day.String(), must(s.Read(workshopA).Survey(t.Context(), survey.ID))(t),
				domain.Versioned[domain.Survey]{Value: survey, Version: 1, CreatedAt: morning})
			diff(t, "in the database", scan[string](t, owner, `SELECT taken_on::text FROM surveys WHERE id = $1`, survey.ID), day.String())
		}
	}
}

func TestWhatIsMadeIsReadBackWhole(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	bare := domain.Instrument{ID: newID(t), Kind: catalogue.Upright, Owner: domain.Client, SizeMM: 1320, Notes: 85, State: domain.Waiting}
	full := someInstrument(newID(t))
	full.StockNumber, full.Party = "S-2", aParty
	quantity := decimal.RequireFromString("3.5")
	scope := someDecision(newID(t))
	scope.Edits = []domain.Edit{{Kind: domain.SetQuantity, Operation: "AC-10", Quantity: &quantity, Why: "half are new"}}
	plain := someDecision(newID(t))
	person := domain.Person{ID: newID(t), Name: "Rui", Skills: []string{"voice", "bench"}, ProductiveShare: decimal.New(725, -3)}
	station := domain.Station{ID: newID(t), Name: "hoist", Count: 2}
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(tx.AddInstrument(t.Context(), bare), tx.AddInstrument(t.Context(), full), tx.AddScope(t.Context(), scope),
			tx.AddScope(t.Context(), plain), tx.AddPerson(t.Context(), person), tx.AddStation(t.Context(), station))
	})
	r := s.Read(workshopA)
	plain.Edits = []domain.Edit{} // written as no edits, never as null
	same(t, must(r.Instrument(t.Context(), bare.ID))(t), bare)
	same(t, must(r.Instrument(t.Context(), full.ID))(t), full)
	same(t, must(r.Scope(t.Context(), scope.ID))(t), scope)
	same(t, must(r.Scope(t.Context(), plain.ID))(t), plain)
	same(t, must(r.Station(t.Context(), station.ID))(t), station)
	got := must(r.Person(t.Context(), person.ID))(t)
	if !got.Value.ProductiveShare.Equal(person.ProductiveShare) {
		t.Errorf("productive share: got %s, want %s", got.Value.ProductiveShare, person.ProductiveShare)
	}
	got.Value.ProductiveShare = person.ProductiveShare
	same(t, got, person)
}

// same wants a value as it was made, at version 1.
func same[T any](tb testing.TB, got domain.Versioned[T], want T) {
	tb.Helper()
	diff(tb, fmt.Sprintf("%T", want), got, domain.Versioned[T]{Value: want, Version: 1, CreatedAt: morning})
}

func TestAnAnswerWithoutHeadersOrBodyIsKept(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	key := postgres.Key{Route: "DELETE /findings/{id}", Key: uuid.NewString()}
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		if a, err := tx.Claim(t.Context(), key); a != nil || err != nil {
			return fmt.Errorf("first claim: %v, %w", a, err)
		}
		return tx.KeepAnswer(t.Context(), key, postgres.Answer{Status: 204})
	})
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		a, err := tx.Claim(t.Context(), key)
		if err == nil && (a == nil || a.Status != 204 || len(a.Header) != 0 || len(a.Body) != 0) {
			t.Errorf("got %+v, want status 204 and nothing more", a)
		}
		return err
	})
}
