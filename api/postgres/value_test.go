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
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

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
		// Anything that numeric(20,6) can hold: 14 digits and 6 decimals.
		value := decimal.New(rapid.Int64Range(0, 99_999_999_999_999).Draw(r, "whole"), 0).
			Add(decimal.New(rapid.Int64Range(0, 999_999).Draw(r, "millionths"), -6)).
			Mul(decimal.NewFromInt(rapid.SampledFrom([]int64{1, -1}).Draw(r, "sign")))
		yes := rapid.Bool().Draw(r, "flag")
		want := survey.Finding{
			ID: newID(t), Point: "AC-02",
			Where: rapid.SampledFrom([]string{"", "note 88", "bass"}).Draw(r, "where"),
			Value: &value, Unit: "mm", Canonical: &value, Flag: &yes, Raise: catalogue.Attention,
		}
		taken := survey.Survey{
			ID: newID(t), Instrument: rowID(13), TakenOn: someDay, Findings: []survey.Finding{want},
		}
		if err := s.Write(
			t.Context(), actorOf(workshopA), morning,
			func(tx *postgres.Tx) error { return tx.AddSurvey(t.Context(), taken) },
		); err != nil {
			r.Fatal(err)
		}
		v, err := s.Read(workshopA).Survey(t.Context(), taken.ID)
		if err != nil {
			r.Fatal(err)
		}
		got := v.Value.Findings[0]
		if !got.Value.Equal(value) || !got.Canonical.Equal(value) {
			r.Fatalf("%s was read back as %s and %s", value, got.Value, got.Canonical)
		}
		got.Value, got.Canonical = &value, &value // equal numbers may have different representations
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
		share := func(name string) decimal.Decimal {
			return decimal.New(rapid.Int64Range(0, 999_999).Draw(r, name), -6)
		}
		w := someWorkshop(a.Workshop)
		w.Terms.OverheadRate, w.Terms.SellingFixed, w.Terms.StoragePerDay = money("overhead"),
			money("fixed"), money("storage")
		w.Terms.TaxRate, w.Terms.TargetShare, w.Terms.FinanceRate = share("tax"), share("target"),
			share("finance")
		w.Terms.WorkFinanced, w.Terms.LossLimit = share("work financed"), share("loss limit")
		correlation := func(name string) decimal.Decimal {
			return decimal.New(rapid.Int64Range(0, 950_000).Draw(r, name), -6)
		}
		w.Terms.Uncertainty = domain.Uncertainty{
			JobSD: share("job sd"), GroupSD: share("group sd"), PointsWithWear: correlation("points"),
			SaleWithWear: domain.SaleWithWear{
				AsFound: correlation("as found"), Recondition: correlation("recondition"),
				Restore: correlation("restore"),
			},
			SaleSpread: decimal.New(rapid.Int64Range(0, 900_000).Draw(r, "spread"), -6),
			Confidence: share("confidence"),
			RoomToMove: decimal.New(rapid.Int64Range(0, 900_000).Draw(r, "room"), -6),
		}
		w.Terms.LabourRates = map[string]decimal.Decimal{
			// a float would turn it into 21.1 or 21.099999
			"bench": decimal.RequireFromString("21.10"),
			"finish": decimal.New(
				rapid.Int64().Draw(r, "digits"), -rapid.Int32Range(0, 30).Draw(r, "decimals"),
			),
		}
		w.Revenue = rapid.SampledFrom([]domain.RevenuePolicy{domain.OverTime, domain.OnCompletion}).
			Draw(r, "revenue")
		w.Open.Holidays = []domain.Date{someDay}
		w.Open.Special = map[domain.Date][]domain.Interval{
			someDay.AddDays(1): {{From: 540, To: 600}},
		}
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
		// Compared as text, which shows every digit.
		if g, want := fmt.Sprintf("%v", got.Value), fmt.Sprintf("%v", w); g != want ||
			got.Version != version+1 {
			r.Fatalf("version %d\n got %s\nwant %s", got.Version, g, want)
		}
	})
}

// The columns' defaults are those of the settings, so that a workshop founded before there were any
// works with the same figures as a new one.
func TestAWorkshopFromBeforeUncertaintyHasItsDefaults(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db)) // rows that set none of it
	w := must(openStore(t, db, 1).Read(workshopA).Workshop(t.Context()))(t)
	got, want := w.Value.Terms.Uncertainty, domain.DefaultUncertainty()
	if g, d := fmt.Sprintf("%+v", got), fmt.Sprintf("%+v", want); g != d {
		t.Errorf("got %s, want %s", g, d)
	}
}

func TestRatesStandInTheDatabaseAsDecimalStrings(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	s := openStore(t, db, 1)
	a := domain.Actor{Workshop: newID(t), User: newID(t), Role: domain.Owner}
	w := someWorkshop(a.Workshop)
	// more digits than a float has
	exact := decimal.RequireFromString("0.1000000000000000055511151231257827")
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
		// Around the hour that occurs twice in Lisbon, and anywhere else.
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
		// with ==, so that the location counts
		if kept != want || got.CreatedAt != want || *got.ExpiresAt != want {
			r.Fatalf(
				"%v: recorded at %v, made %v, ends %v; want %v", at, kept, got.CreatedAt,
				got.ExpiresAt, want,
			)
		}
	})
}

// The test crosses the two days of the year on which the zones of the database and of the workshop
// have 23 and 25 hours.
func TestADayStaysTheDay(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	owner := connect(t, db.Owner)
	if zone := scan[string](t, owner, `SHOW timezone`); zone == "UTC" || zone == "Etc/UTC" {
		t.Fatalf("the database is in the zone %s, where no mistake would show", zone)
	}
	s := openStore(t, db, 1)
	for _, start := range []domain.Date{
		// St John's, Lisbon: forward
		{Year: 2026, Month: time.March, Day: 6},
		{Year: 2026, Month: time.March, Day: 27},
		// Lisbon, St John's: back
		{Year: 2026, Month: time.October, Day: 23},
		{Year: 2026, Month: time.October, Day: 30},
		{Year: 2028, Month: time.February, Day: 27},
		{Year: 2026, Month: time.December, Day: 30},
	} {
		for n := range 5 {
			day := start.AddDays(n)
			sv := survey.Survey{
				ID: newID(t), Instrument: rowID(13), TakenOn: day, TakenBy: "Ada",
				Findings: []survey.Finding{},
			}
			write(
				t, s, actorOf(workshopA),
				func(tx *postgres.Tx) error { return tx.AddSurvey(t.Context(), sv) },
			)
			diff(t, day.String(), must(s.Read(workshopA).Survey(t.Context(), sv.ID))(t),
				domain.Versioned[survey.Survey]{Value: sv, Version: 1, CreatedAt: morning})
			diff(t, "in the database", scan[string](t, owner, `SELECT taken_on::text FROM surveys WHERE id = $1`, sv.ID), day.String())
		}
	}
}

func TestWhatIsMadeIsReadBackWhole(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	quantity := decimal.RequireFromString("3.5")
	sc := someDecision(newID(t))
	sc.Edits = []scope.Edit{
		{Kind: scope.SetQuantity, Operation: "AC-10", Quantity: &quantity, Why: "half are new"},
	}
	plain := someDecision(newID(t))
	person := domain.Person{
		ID: newID(t), Name: "Rui", Skills: []string{"voice", "bench"},
		ProductiveShare: decimal.New(725, -3),
	}
	station := domain.Station{ID: newID(t), Name: "hoist", Count: 2, Room: "long hall"}
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(tx.AddScope(t.Context(), sc),
			tx.AddScope(t.Context(), plain), tx.AddPerson(t.Context(), person),
			tx.AddStation(t.Context(), station))
	})
	r := s.Read(workshopA)
	plain.Edits = []scope.Edit{} // stored as an empty list, never as null
	same(t, must(r.Scope(t.Context(), sc.ID))(t), sc)
	same(t, must(r.Scope(t.Context(), plain.ID))(t), plain)
	same(t, must(r.Station(t.Context(), station.ID))(t), station)
	got := must(r.Person(t.Context(), person.ID))(t)
	if !got.Value.ProductiveShare.Equal(person.ProductiveShare) {
		t.Errorf("productive share: got %s, want %s", got.Value.ProductiveShare, person.ProductiveShare)
	}
	got.Value.ProductiveShare = person.ProductiveShare
	same(t, got, person)
}

func TestEveryFieldOfAnInstrumentIsKeptWhenItIsEnteredAndWhenItIsCorrected(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	bare := instrument.Instrument{
		ID: newID(t), Kind: catalogue.Upright, Owner: instrument.Client, SizeMM: 1320, Notes: 85,
		State: instrument.Waiting,
	}
	full := someInstrument(newID(t))
	full.StockNumber, full.Party = "S-2", aParty
	for i, v := 0, reflect.ValueOf(full); i < v.NumField(); i++ {
		switch field := v.Type().Field(i).Name; field {
		case "Measured", "Scale": // saved apart from the instrument
		default:
			if v.Field(i).IsZero() {
				t.Errorf("the instrument of this test has no %s: give it one", field)
			}
		}
	}
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(tx.AddInstrument(t.Context(), bare), tx.AddInstrument(t.Context(), full))
	})
	same(t, must(s.Read(workshopA).Instrument(t.Context(), bare.ID))(t), bare)
	same(t, must(s.Read(workshopA).Instrument(t.Context(), full.ID))(t), full)

	corrected := full
	corrected.ID, corrected.StockNumber = bare.ID, "S-3"
	emptied := bare
	emptied.ID = full.ID
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(
			tx.SaveInstrument(t.Context(), corrected, 1), tx.SaveInstrument(t.Context(), emptied, 1),
		)
	})
	for _, want := range []instrument.Instrument{corrected, emptied} {
		diff(t, "corrected", must(s.Read(workshopA).Instrument(t.Context(), want.ID))(t),
			domain.Versioned[instrument.Instrument]{Value: want, Version: 2, CreatedAt: morning})
	}
}

// same checks that a value reads back as it was written, at version 1.
func same[T any](tb testing.TB, got domain.Versioned[T], want T) {
	tb.Helper()
	diff(
		tb, fmt.Sprintf("%T", want), got,
		domain.Versioned[T]{Value: want, Version: 1, CreatedAt: morning},
	)
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
