package postgres_test

import (
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

func TestAClearanceIsReadBackAsItWasRecorded(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	worst := decimal.RequireFromString("3")
	first := clearance.Clearance{
		ID: newID(t), Instrument: rowID(13), Stop: "ivory-register",
		Finding: survey.Judgement{
			Point: "SV-42", Severity: catalogue.MustAct, Readings: 1, Worst: &worst, Answer: "ivory",
			Text: "ivory",
		},
		Places: []string{"note 1", "note 88"}, Owner: instrument.Offered, Party: aParty, Country: "GB",
		Until: "it is registered", By: "Ada Fernwood", Says: "the seller's registration, seen",
		On: someDay, Reference: "REG-1", Dated: someDay.AddDays(-3), RecordedBy: rowID(2),
		RecordedAt: morning,
	}
	withdrawal := first
	withdrawal.ID, withdrawal.Withdraws, withdrawal.Party = newID(t), first.ID, uuid.Nil
	withdrawal.Reference, withdrawal.Dated, withdrawal.Places = "", first.Dated.AddDays(1), []string{}
	for _, c := range []clearance.Clearance{first, withdrawal} {
		err := s.Write(t.Context(), actorOf(workshopA), morning, func(tx *postgres.Tx) error {
			return tx.AddClearance(t.Context(), c)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	got := must(s.Read(workshopA).Clearances(t.Context(), rowID(13), postgres.Whole))(t)
	got = got[len(got)-2:] // the fixture's row stands before them
	for i := range got {
		got[i].RecordedAt = got[i].RecordedAt.UTC()
	}
	diff(t, "the clearances", got, []clearance.Clearance{first, withdrawal})
}

// The surveys that a stop is judged by come with their findings and who entered each in which role,
// the one that was taken last at the end.
func TestTheSurveysOfAnInstrumentComeInTheOrderInWhichTheyWereTaken(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	i := newID(t)
	taken := func(id uuid.UUID, day int, points ...catalogue.PointCode) survey.Survey {
		v := survey.Survey{
			ID: id, Instrument: i, TakenOn: someDay.AddDays(day), TakenBy: "Ines Duarte",
		}
		for _, p := range points {
			v.Findings = append(v.Findings, survey.Finding{
				ID: newID(t), Point: p, Note: "seen",
				Entered: survey.Authorship{By: a.User, As: a.Role, At: morning},
			})
		}
		return v
	}
	later, empty := taken(newID(t), 9, "SV-29"), taken(newID(t), 5)
	earlier := taken(newID(t), 2, "SV-29", "SV-42")
	write(t, s, a, func(tx *postgres.Tx) error {
		return tx.AddInstrument(t.Context(), someInstrument(i))
	})
	for _, v := range []survey.Survey{later, empty, earlier} {
		write(t, s, a, func(tx *postgres.Tx) error { return tx.AddSurvey(t.Context(), v) })
	}
	got := must(s.Read(a.Workshop).SurveysOf(t.Context(), i))(t)
	for n := range got {
		got[n].Instrument = i
		for f := range got[n].Findings {
			e := &got[n].Findings[f].Entered
			e.At = e.At.UTC()
		}
	}
	diff(t, "the surveys with findings", got, []survey.Survey{earlier, later})
}
