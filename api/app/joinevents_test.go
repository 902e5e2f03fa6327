package app_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// singly does for each piano of a join what somebody would who enters it by hand.
func (s shop) singly(j job.Join) {
	s.Helper()
	ctx := s.Context()
	for _, p := range j.Pianos {
		in := p.Instrument
		x := app.Acceptance{On: p.AcceptedOn}
		if in.Owner == instrument.Client {
			party, err := s.app.AddParty(ctx, s.who, domain.Party{Name: p.Client})
			s.ok(err)
			in.Party = party.Value.ID
			x.Consent = &job.WorkConsent{
				Consent: job.Consent{Party: in.Party, On: j.JoinedOn, How: "by letter"}, To: "this work",
			}
		}
		i, err := s.app.AddInstrument(ctx, s.who, in)
		s.ok(err)
		v, err := s.app.TakeSurvey(
			ctx, s.who, survey.Survey{Instrument: i.Value.ID, TakenOn: j.JoinedOn},
		)
		s.ok(err)
		d, err := s.app.DrawScope(ctx, s.who, postgres.ScopeRecord{
			Instrument: i.Value.ID, Survey: v.Value.ID, Depth: p.Depth,
		})
		s.ok(err)
		x.Scope = d.Value.ID
		made, err := s.app.AcceptScope(ctx, s.who, x)
		s.ok(err)
		for _, t := range p.Tasks {
			minutes, _ := domain.MinutesOf(t.Done)
			s.worked(made.Value.ID, t.Operation, minutes, "it came to us so")
			_, err := s.app.RecordProgress(ctx, s.who, made.Value.ID, job.Progress{
				Operation: t.Operation, Left: t.Left, Finished: t.Left.IsZero(),
				On: j.JoinedOn, Reason: "it came to us so",
			})
			s.ok(err)
		}
		if p.PromisedOn.IsZero() {
			continue
		}
		_, _, err = s.app.Promise(ctx, s.who, job.Promise{
			Job: made.Value.ID, For: "ready, as promised before the workshop joined", Due: p.PromisedOn,
			Party: in.Party, PromisedOn: p.AcceptedOn,
		})
		s.ok(err)
	}
}

// own are the keys that a join and single work fill differently, by kind. An instrument that joins
// is in work at once; the scope of old work holds it as edits, while rules plan new work, which can
// then be done before its time; and only one of the two has a client's consent or old sums.
var own = map[domain.EventKind][]string{
	domain.InstrumentAdded: {"state"},
	domain.ScopeDrawn:      {"edits"},
	domain.JobJoined: {
		"tasks", "hours_done", "hours_left", "original_price", "cost_so_far", "deposit",
	},
	domain.JobAccepted:    {"tasks", "hours_done", "hours_left", "consent"},
	domain.TaskProgressed: {"ahead", "reason"},
}

// told returns the events after a position, one line each, without ids and what is their own.
func (s shop) told(after int64) []string {
	s.Helper()
	events, err := s.app.Read(s.Context(), s.who).Events(s.Context(), after, 200)
	s.ok(err)
	var list []string
	for _, e := range events {
		var data map[string]any
		s.ok(json.Unmarshal(e.Data, &data))
		for key, v := range data {
			if _, err := uuid.Parse(fmt.Sprint(v)); err == nil {
				data[key] = "an id"
			}
		}
		for _, key := range own[e.Kind] {
			delete(data, key)
		}
		text, err := json.Marshal(data)
		s.ok(err)
		kind := strings.Replace(string(e.Kind), "job.joined", "job.accepted", 1)
		// A join states hours in a sum, of nobody and no day, and what old records say of the cost.
		byHand := []domain.EventKind{
			domain.WorkshopJoined, domain.PersonAdded, domain.TaskWorked, domain.InstrumentCosted,
		}
		if !slices.Contains(byHand, e.Kind) {
			list = append(list, kind+" "+string(text))
		}
	}
	slices.Sort(list)
	return list
}

// Whoever follows the feed sees no difference between a piano that was brought and one that was
// entered.
func TestAJoinTellsWhatItsPianosEnteredSinglyWouldTell(t *testing.T) {
	t.Parallel()
	joined, single := openShop(t), openShop(t)
	before := len(joined.told(0)) // of the workshop that was founded
	j := joining(domain.DateOf(morning))
	_, err := joined.app.Join(t.Context(), joined.who, j, false)
	joined.ok(err)
	single.singly(j)
	got, want := joined.told(int64(before)), single.told(int64(before))
	if !slices.Equal(got, want) {
		t.Errorf("a join tells\n%s\nand single work\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	counts := map[string]int{}
	for _, line := range got {
		kind, _, _ := strings.Cut(line, " ")
		counts[kind]++
	}
	for kind, n := range map[string]int{
		"instrument.added": 2, "party.added": 1, "survey.taken": 2, "scope.drawn": 2,
		"job.accepted": 2, "task.progressed": 4, "promise.made": 1,
	} {
		if counts[kind] != n {
			t.Errorf("%d events %s, want %d", counts[kind], kind, n)
		}
	}
}

// Nothing is told of before it exists, so that a reader can build up its own records in order.
func TestAJoinTellsOfNothingBeforeWhatItBelongsTo(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	_, err := s.app.Join(t.Context(), s.who, joining(domain.DateOf(morning)), false)
	s.ok(err)
	events, err := s.app.Read(t.Context(), s.who).Events(t.Context(), 0, 200)
	s.ok(err)
	known := map[string]bool{}
	checked := 0
	for _, e := range events {
		var data map[string]any
		s.ok(json.Unmarshal(e.Data, &data))
		for _, key := range []string{"party", "instrument", "survey", "scope"} {
			id, named := data[key].(string)
			if !named {
				continue
			}
			checked++
			if !known[id] {
				t.Errorf("%s names the %s %s before the feed told of it", e.Kind, key, id)
			}
		}
		if e.Kind == domain.TaskProgressed || e.Kind == domain.PromiseMade {
			checked++
			if !known[e.Subject.String()] {
				t.Errorf("%s is of a job that the feed hasn't told of", e.Kind)
			}
		}
		known[e.Subject.String()] = true
	}
	if checked == 0 {
		t.Error("no event names what it belongs to")
	}
}
