package app_test

import (
	"testing"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// change changes something at a version and returns the version after that.
type change func(version int64) (int64, error)

// changes makes one thing of each kind that is changed at the version that was read, and returns
// how it is changed.
var changes = map[string]func(shop) change{
	"person": func(s shop) change {
		p, err := s.app.AddPerson(s.Context(), s.who, somebody())
		s.ok(err)
		return func(version int64) (int64, error) {
			now, err := s.app.ChangePerson(s.Context(), s.who, p.Value, version)
			return now.Version, err
		}
	},
	"station": func(s shop) change {
		x, err := s.app.AddStation(s.Context(), s.who, domain.Station{Name: "bench", Count: 2})
		s.ok(err)
		return func(version int64) (int64, error) {
			now, err := s.app.ChangeStation(s.Context(), s.who, x.Value, version)
			return now.Version, err
		}
	},
	"party": func(s shop) change {
		p, err := s.app.AddParty(s.Context(), s.who, domain.Party{Name: "Odile Garriga"})
		s.ok(err)
		return func(version int64) (int64, error) {
			now, err := s.app.ChangeParty(s.Context(), s.who, p.Value, version)
			return now.Version, err
		}
	},
	"workshop": func(s shop) change {
		w, err := s.app.Read(s.Context(), s.who).Workshop(s.Context())
		s.ok(err)
		return func(version int64) (int64, error) {
			now, err := s.app.ChangeWorkshop(s.Context(), s.who, w.Value, version)
			return now.Version, err
		}
	},
	"instrument": func(s shop) change {
		i, err := s.app.AddInstrument(s.Context(), s.who, someInstrument())
		s.ok(err)
		return func(version int64) (int64, error) {
			now, err := s.app.ChangeInstrument(s.Context(), s.who, i.Value, version)
			return now.Version, err
		}
	},
	"measurements": func(s shop) change {
		i, err := s.app.AddInstrument(s.Context(), s.who, someInstrument())
		s.ok(err)
		list := []instrument.Measurement{
			{Driver: "kg of instrument", Value: decimal.NewFromInt(240), By: "Ada Fernwood"},
		}
		return func(version int64) (int64, error) {
			now, err := s.app.Measure(s.Context(), s.who, i.Value.ID, list, version)
			return now.Version, err
		}
	},
	"scale": func(s shop) change {
		i, err := s.app.AddInstrument(s.Context(), s.who, someInstrument())
		s.ok(err)
		return func(version int64) (int64, error) {
			now, err := s.app.MeasureScale(s.Context(), s.who, i.Value.ID, nil, version)
			return now.Version, err
		}
	},
	"edits": func(s shop) change {
		id := drawnUp(s.T, s.app, s.who, ownPiano())
		return func(version int64) (int64, error) {
			now, err := s.app.EditScope(s.Context(), s.who, id, []scope.Edit{}, version)
			return now.Version, err
		}
	},
	"move of a scope": func(s shop) change {
		id := drawnUp(s.T, s.app, s.who, ownPiano())
		return func(version int64) (int64, error) {
			now, err := s.app.MoveScope(s.Context(), s.who, id, 1, false, version)
			return now.Version, err
		}
	},
	"survey": func(s shop) change {
		i, err := s.app.AddInstrument(s.Context(), s.who, someInstrument())
		s.ok(err)
		v, err := s.app.TakeSurvey(s.Context(), s.who, survey.Survey{
			Instrument: i.Value.ID, TakenOn: domain.DateOf(morning), Findings: []survey.Finding{
				{Point: "SV-42", Answer: "plastic"}, {Point: "SV-42", Answer: "bone"},
			},
		})
		s.ok(err)
		struck := 0
		return func(version int64) (int64, error) {
			id := v.Value.Findings[struck].ID
			err := s.app.StrikeFinding(s.Context(), s.who, v.Value.ID, id, version)
			if err == nil {
				struck++
			}
			now, readErr := s.app.Read(s.Context(), s.who).SurveyHead(s.Context(), v.Value.ID)
			s.ok(readErr)
			return now.Version, err
		}
	},
	"revision": func(s shop) change {
		return func(version int64) (int64, error) {
			c, err := s.app.Catalogue(s.Context(), s.who)
			s.ok(err)
			now, err := s.app.ReviseCatalogue(s.Context(), s.who, c.Catalogue, "", int(version))
			return int64(now.Number), err
		}
	},
	"edit of the catalogue": func(s shop) change {
		return func(version int64) (int64, error) {
			now, err := s.app.EditCatalogue(s.Context(), s.who, []catalogue.Change{{
				Set: &catalogue.Setting{Operation: "BD-02", Crew: int(version) + 1}, Why: "heavy",
			}}, "", int(version))
			return int64(now.Number), err
		}
	},
}

func somebody() domain.Person {
	return domain.Person{
		Name: "Bo", Skills: []string{"action"}, ProductiveShare: decimal.NewFromInt(1),
	}
}

func TestAChangeIsMadeToTheVersionThatWasReadAndOnce(t *testing.T) {
	t.Parallel()
	for name, made := range changes {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := openShop(t)
			apply := made(s)
			before := effects(t, s.app, s.who)
			for _, version := range []int64{2, 0} {
				if _, err := apply(version); faultKind(err) != domain.Stale {
					t.Errorf("at version %d: got %v, want a stale version", version, err)
				}
			}
			wantEffects(t, s.app, s.who, before)
			now, err := apply(1)
			s.ok(err)
			if now != 2 {
				t.Errorf("after the change the version is %d, want 2", now)
			}
			if _, err := apply(1); faultKind(err) != domain.Stale {
				t.Errorf("a second time at version 1: got %v, want a stale version", err)
			}
			if now, err := apply(2); err != nil || now != 3 {
				t.Errorf("at version 2: version %d, %v; want 3", now, err)
			}
		})
	}
}

func TestAChangeOfWhatIsNotThereIsNotFound(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	ctx, who := t.Context(), s.who
	elsewhere := s
	elsewhere.who = founded(t, s.app)
	drawn := drawnUp(t, s.app, elsewhere.who, ownPiano())
	theirs := elsewhere.scope(drawn).Value
	before := effects(t, s.app, elsewhere.who)
	for what, ids := range map[string]struct{ instrument, survey, scope uuid.UUID }{
		"nobody's":           {uuid.Max, uuid.Max, uuid.Max},
		"another workshop's": {theirs.Instrument, theirs.Survey, theirs.ID},
	} {
		in := someInstrument()
		in.ID = ids.instrument
		for name, call := range map[string]func() error{
			"ChangeInstrument": func() error {
				_, err := s.app.ChangeInstrument(ctx, who, in, 1)
				return err
			},
			"Measure": func() error {
				_, err := s.app.Measure(ctx, who, ids.instrument, nil, 1)
				return err
			},
			"MeasureScale": func() error {
				_, err := s.app.MeasureScale(ctx, who, ids.instrument, nil, 1)
				return err
			},
			"TakeSurvey": func() error {
				_, err := s.app.TakeSurvey(ctx, who, survey.Survey{
					Instrument: ids.instrument, TakenOn: domain.DateOf(morning),
				})
				return err
			},
			"AddFinding": func() error {
				_, err := s.app.AddFinding(ctx, who, ids.survey, survey.Finding{Point: "SV-42", Answer: "bone"})
				return err
			},
			"StrikeFinding": func() error { return s.app.StrikeFinding(ctx, who, ids.survey, uuid.Max, 1) },
			"EditScope": func() error {
				_, err := s.app.EditScope(ctx, who, ids.scope, nil, 1)
				return err
			},
			"MoveScope": func() error {
				_, err := s.app.MoveScope(ctx, who, ids.scope, 0, false, 1)
				return err
			},
			"AcceptScope": func() error {
				_, err := s.app.AcceptScope(
					ctx, who, app.Acceptance{Scope: ids.scope, On: domain.DateOf(morning)},
				)
				return err
			},
			"WorkOutBid": func() error {
				_, err := s.app.WorkOutBid(ctx, who, app.BidRequest{
					Instrument: ids.instrument, Survey: ids.survey,
				})
				return err
			},
		} {
			if err := call(); faultKind(err) != domain.NotFound {
				t.Errorf("%s of %s: got %v, want not found", name, what, err)
			}
		}
	}
	wantEffects(t, s.app, who, "0 instruments, 0 events")
	wantEffects(t, s.app, elsewhere.who, before)
}
