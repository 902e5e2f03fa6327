package app_test

import (
	"slices"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

func TestAWorkshopThatCannotWorkIsNotFounded(t *testing.T) {
	t.Parallel()
	a, db := opened(t, 1, atMorning)
	for name, c := range map[string]struct {
		spoil func(*domain.Workshop)
		at    string
	}{
		"a zone of nowhere": {func(w *domain.Workshop) { w.Zone = "Europe/Atlantis" }, "#/zone"},
		"odds of a point that there isn't": {func(w *domain.Workshop) {
			w.Terms.UnknownOdds.Points = map[catalogue.PointCode]domain.Odds{"SV-99": {Sound: dec("1")}}
		}, "#/terms/unknown_odds/points/SV-99"},
		"no name": {func(w *domain.Workshop) { w.Name = "" }, "#/name"},
	} {
		w, err := app.DefaultWorkshop("Fernwood Pianos", "Europe/Lisbon", "EUR")
		if err != nil {
			t.Fatal(err)
		}
		c.spoil(&w)
		_, err = a.CreateWorkshop(t.Context(), app.WorkshopDraft{
			Workshop: w, OwnerName: "Ada Fernwood", PriceRate: decimal.NewFromInt(1),
		})
		if !slices.Contains(pointers(err), c.at) {
			t.Errorf("%s: got %v, want a fault at %s", name, err, c.at)
		}
	}
	if held := tablesThatHold(t, db, "Ada Fernwood"); len(held) != 0 {
		t.Errorf("a refused workshop left its owner in %v", held)
	}
}

func TestSettingsThatWouldBreakWhatIsKeptAreRefused(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	w, err := s.app.Read(t.Context(), s.who).Workshop(t.Context())
	s.ok(err)
	for name, c := range map[string]struct {
		spoil func(*domain.Workshop)
		at    string
	}{
		"another currency":  {func(w *domain.Workshop) { w.Terms.Currency = "GBP" }, "#/terms/currency"},
		"a zone of nowhere": {func(w *domain.Workshop) { w.Zone = "Europe/Atlantis" }, "#/zone"},
		"odds of a point that there isn't": {func(w *domain.Workshop) {
			w.Terms.UnknownOdds.Points = map[catalogue.PointCode]domain.Odds{"SV-99": {Sound: dec("1")}}
		}, "#/terms/unknown_odds/points/SV-99"},
	} {
		spoiled := w.Value
		c.spoil(&spoiled)
		_, err := s.app.ChangeWorkshop(t.Context(), s.who, spoiled, w.Version)
		if !slices.Contains(pointers(err), c.at) {
			t.Errorf("%s: got %v, want a fault at %s", name, err, c.at)
		}
	}
	now, err := s.app.Read(t.Context(), s.who).Workshop(t.Context())
	s.ok(err)
	if now.Version != w.Version {
		t.Errorf("refused changes left version %d, want %d", now.Version, w.Version)
	}
	moved := w.Value
	moved.ID, moved.Name = uuid.Max, "Fernwood & Bo"
	changed, err := s.app.ChangeWorkshop(t.Context(), s.who, moved, w.Version)
	s.ok(err)
	if changed.Value.ID != s.who.Workshop {
		t.Errorf("the settings are those of %v, want the actor's own workshop", changed.Value.ID)
	}
}

func TestBadRecordsLeaveNothing(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	ctx, who := t.Context(), s.who
	i, err := s.app.AddInstrument(ctx, who, someInstrument())
	s.ok(err)
	v, err := s.app.TakeSurvey(ctx, who, survey.Survey{
		Instrument: i.Value.ID, TakenOn: domain.DateOf(morning),
	})
	s.ok(err)
	p, err := s.app.AddPerson(ctx, who, somebody())
	s.ok(err)
	x, err := s.app.AddStation(ctx, who, domain.Station{Name: "bench", Count: 2})
	s.ok(err)
	party, err := s.app.AddParty(ctx, who, domain.Party{Name: "Odile Garriga"})
	s.ok(err)
	before := effects(t, s.app, who)
	for name, c := range map[string]struct {
		call func() error
		at   string
	}{
		"a person who can do nothing": {func() error {
			_, err := s.app.AddPerson(ctx, who, domain.Person{Name: "Bo", ProductiveShare: dec("1")})
			return err
		}, "#/skills"},
		"a person who forgets": {func() error {
			p.Value.Skills = nil
			_, err := s.app.ChangePerson(ctx, who, p.Value, 1)
			return err
		}, "#/skills"},
		"no station": {func() error {
			_, err := s.app.AddStation(ctx, who, domain.Station{Name: "booth"})
			return err
		}, "#/count"},
		"a station that goes": {func() error {
			x.Value.Count = 0
			_, err := s.app.ChangeStation(ctx, who, x.Value, 1)
			return err
		}, "#/count"},
		"a party without a name": {func() error {
			_, err := s.app.AddParty(ctx, who, domain.Party{Email: "odile@example.org"})
			return err
		}, "#/name"},
		"a party that loses its name": {func() error {
			party.Value.Name = " "
			_, err := s.app.ChangeParty(ctx, who, party.Value, 1)
			return err
		}, "#/name"},
		"a piano of 12 notes": {func() error {
			in := someInstrument()
			in.Notes = 12
			_, err := s.app.AddInstrument(ctx, who, in)
			return err
		}, "#/notes"},
		"a piano that shrinks": {func() error {
			in := i.Value
			in.Notes = 12
			_, err := s.app.ChangeInstrument(ctx, who, in, 1)
			return err
		}, "#/notes"},
		"a measurement of nothing known": {func() error {
			_, err := s.app.Measure(ctx, who, i.Value.ID, []instrument.Measurement{
				{Driver: "kg of dust", Value: dec("3"), By: "Bo"},
			}, 1)
			return err
		}, "#/measurements/0/driver"},
		"a string of no length": {func() error {
			_, err := s.app.MeasureScale(ctx, who, i.Value.ID, []instrument.ScaleNote{
				{Note: 40, Strings: 3, CoreMM: dec("1")},
			}, 1)
			return err
		}, "#/notes/0/length_mm"},
		"a survey of no day": {func() error {
			_, err := s.app.TakeSurvey(ctx, who, survey.Survey{Instrument: i.Value.ID})
			return err
		}, "#/taken_on"},
		"a survey with a reading of nothing": {func() error {
			_, err := s.app.TakeSurvey(ctx, who, survey.Survey{
				Instrument: i.Value.ID, TakenOn: domain.DateOf(morning),
				Findings: []survey.Finding{{Point: "SV-42", Answer: "plastic"}, {Point: "SV-11"}},
			})
			return err
		}, "#/findings/1/value"},
		"one finding that is a reading of nothing": {func() error {
			_, err := s.app.AddFinding(ctx, who, v.Value.ID, survey.Finding{Point: "SV-11"})
			return err
		}, "#/value"},
		"a scope by another piano's survey": {func() error {
			other, err := s.app.AddInstrument(ctx, who, someInstrument())
			if err != nil {
				return err
			}
			before = effects(t, s.app, who)
			_, err = s.app.DrawScope(ctx, who, postgres.ScopeRecord{
				Instrument: other.Value.ID, Survey: v.Value.ID, Depth: catalogue.Restore,
			})
			return err
		}, "#/survey"},
	} {
		if err := c.call(); !slices.Equal(pointers(err), []string{c.at}) {
			t.Errorf("%s: got %v at %v, want a fault at %s", name, err, pointers(err), c.at)
		}
		wantEffects(t, s.app, who, before)
	}
}

func TestAChangeOfOwnerMovesAnInstrumentThatNothingWasDoneWith(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	id := drawnUp(t, s.app, s.who, ownPiano())
	i := s.instrument(s.scope(id).Value.Instrument)
	for _, c := range []struct {
		owner instrument.Ownership
		want  instrument.State
	}{
		{instrument.Client, instrument.Waiting},
		{instrument.Offered, instrument.Considered},
		{instrument.Stock, instrument.Waiting},
	} {
		i.Value.Owner = c.owner
		now, err := s.app.ChangeInstrument(t.Context(), s.who, i.Value, i.Version)
		s.ok(err)
		if now.Value.State != c.want || s.instrument(i.Value.ID).Value.State != c.want {
			t.Errorf("owned by %s it is %s, want %s", c.owner, now.Value.State, c.want)
		}
		i.Version = now.Version
	}
	accepted(t, s.app, s.who, id)
	i.Value.Owner, i.Value.State = instrument.Client, instrument.Gone
	now, err := s.app.ChangeInstrument(t.Context(), s.who, i.Value, i.Version)
	s.ok(err)
	if now.Value.State != instrument.InWork {
		t.Errorf("with a job under way it is %s, want it in work whoever owns it", now.Value.State)
	}
}

func TestARecordKeepsWhatWasMeasured(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	i, err := s.app.AddInstrument(t.Context(), s.who, someInstrument())
	s.ok(err)
	measured := []instrument.Measurement{
		{Driver: "kg of instrument", Value: dec("240"), By: "Ada Fernwood"},
	}
	_, err = s.app.Measure(t.Context(), s.who, i.Value.ID, measured, 1)
	s.ok(err)
	i.Value.Model = "Salon" // as it was read before it was measured
	now, err := s.app.ChangeInstrument(t.Context(), s.who, i.Value, 2)
	s.ok(err)
	stored := s.instrument(i.Value.ID).Value
	if stored.Model != "Salon" || len(stored.Measured) != 1 || len(now.Value.Measured) != 1 {
		t.Errorf("got %+v, want the model changed and the measurement kept", stored)
	}
}

// The clock moves, so that the order of surveys shows.
func TestTheNewestSurveyOfAnInstrumentCounts(t *testing.T) {
	t.Parallel()
	now := morning
	a, db := opened(t, 2, func() time.Time { return now })
	s := shop{T: t, app: a, db: db, who: founded(t, a)}
	in := someInstrument()
	in.Covering = "plastic"
	i, err := a.AddInstrument(t.Context(), s.who, in)
	s.ok(err)
	today := domain.DateOf(morning)
	for _, v := range []struct {
		on     domain.Date
		answer string
	}{{today.AddDays(-1), "bone"}, {today, "ivory"}, {today.AddDays(-7), "plastic"}} {
		now = now.Add(time.Minute)
		_, err := a.TakeSurvey(t.Context(), s.who, survey.Survey{
			Instrument: i.Value.ID, TakenOn: v.on,
			Findings: []survey.Finding{{Point: "SV-42", Answer: v.answer}},
		})
		s.ok(err)
	}
	taken, err := a.TakeOff(t.Context(), s.who, i.Value.ID)
	s.ok(err)
	if got := taken.Value.Judgements.Of("SV-42").Answer; got != "ivory" {
		t.Errorf("the take-off follows the survey that found %s, want the newest, ivory", got)
	}
	cautions, err := a.SaleCautions(t.Context(), s.who, i.Value.ID)
	s.ok(err)
	if cautions[0].Key != "ivory_law" || !cautions[0].Stop {
		t.Errorf("got %+v first, want ivory to stop the sale", cautions[0])
	}
}
