package postgres_test

import (
	"encoding/json"
	"errors"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

func TestWhatWasMeasuredIsReadBackWithItsInstrument(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	d := decimal.RequireFromString
	gauge := d("16.5")
	measured := []instrument.Measurement{
		{Driver: "damper", Value: d("66"), By: "Ada"},
		{Driver: "m2 of case", Value: d("8.85"), By: "Rui", Why: "lid apart"},
	}
	scale := []instrument.ScaleNote{
		{
			Note: 2, Strings: 1, Wound: true, LengthMM: d("1371.5"), CoreMM: d("1.2446"),
			OverallMM: d("5.67"), Section: "bass",
		},
		{Note: 53, Strings: 3, LengthMM: d("327"), CoreMM: d("0.9652"), Gauge: &gauge},
	}
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(
			tx.SaveMeasurements(t.Context(), rowID(13), measured, 1),
			tx.SaveScale(t.Context(), rowID(13), scale, 2),
		)
	})
	got := must(s.Read(workshopA).Instrument(t.Context(), rowID(13)))(t)
	if got.Version != 3 {
		t.Errorf("version %d after two changes of version 1", got.Version)
	}
	diff(t, "measured", asJSON(t, got.Value.Measured), asJSON(t, measured))
	diff(t, "scale", asJSON(t, got.Value.Scale), asJSON(t, scale))
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(
			tx.SaveMeasurements(t.Context(), rowID(13), nil, 3),
			tx.SaveScale(t.Context(), rowID(13), nil, 4),
		)
	})
	if got = must(
		s.Read(workshopA).Instrument(t.Context(), rowID(13)),
	)(t); got.Value.Measured != nil || got.Value.Scale != nil {
		t.Errorf("what was removed is still there: %+v, %+v", got.Value.Measured, got.Value.Scale)
	}
	err := s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error {
		return tx.SaveScale(t.Context(), rowID(13), scale, 4)
	})
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Stale {
		t.Errorf("at an old version: %v, want Stale", err)
	}
}

func TestTheLatestSurveyIsTheOneThatWasTakenLast(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	late := survey.Survey{
		ID: newID(t), Instrument: rowID(13), TakenOn: someDay.AddDays(3), TakenBy: "Ada",
	}
	early := survey.Survey{
		ID: newID(t), Instrument: rowID(13), TakenOn: someDay.AddDays(1), TakenBy: "Ada",
	}
	none := someInstrument(newID(t))
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(
			tx.AddSurvey(t.Context(), late), tx.AddSurvey(t.Context(), early),
			tx.AddInstrument(t.Context(), none),
		)
	})
	if got := must(s.Read(workshopA).LatestSurvey(t.Context(), rowID(13)))(t); got == nil ||
		got.Value.ID != late.ID {
		t.Errorf("got %+v, want the survey of %s", got, late.TakenOn)
	}
	if got := must(s.Read(workshopA).LatestSurvey(t.Context(), none.ID))(t); got != nil {
		t.Errorf("an instrument without a survey has %+v", got)
	}
}

// asJSON lets decimals be compared by value.
func asJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
