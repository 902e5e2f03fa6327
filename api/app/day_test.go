package app_test

import (
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/job"
)

// The workshop is in Lisbon, where it is half past midnight on 2 July already.
func TestTheDayIsTheWorkshopsAndNotUTCs(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, time.July, 1, 23, 30, 0, 0, time.UTC)
	today := domain.Date{Year: 2026, Month: time.July, Day: 2}
	a, db := opened(t, 2, func() time.Time { return now })
	s := shop{T: t, app: a, db: db, who: founded(t, a)}
	ctx := t.Context()
	if got, err := a.Today(ctx, s.who); err != nil || got != today {
		t.Errorf("today is %s, %v; want %s", got, err, today)
	}
	p, err := a.AddPerson(ctx, s.who, somebody())
	s.ok(err)
	if _, err := a.AddAbsence(ctx, s.who, domain.Absence{
		Person: p.Value.ID, First: today.AddDays(-3), Last: today.AddDays(-1),
	}); faultKind(err) != domain.Invalid {
		t.Errorf("leave that ended yesterday: got %v, want it refused", err)
	}
	last, err := a.AddAbsence(
		ctx, s.who, domain.Absence{Person: p.Value.ID, First: today, Last: today},
	)
	s.ok(err)
	list, err := a.Absences(ctx, s.who, postgres.Whole)
	s.ok(err)
	if len(list) != 1 || list[0].ID != last.ID {
		t.Errorf("got %+v, want the leave of today", list)
	}

	scope := drawnUp(t, a, s.who, clientsPiano())
	q := s.quoted(scope)
	j := acceptedOn(t, a, s.who, scope, today)
	code := j.Tasks[0].Operation
	_, err = a.RecordProgress(
		ctx, s.who, j.ID, job.Progress{Operation: code, Minutes: 60, Person: p.Value.ID},
	)
	s.ok(err)
	entries, err := a.Read(ctx, s.who).Progress(ctx, j.ID, code, postgres.Whole)
	s.ok(err)
	promise, _, err := a.Promise(ctx, s.who, job.Promise{Job: j.ID, For: "ready", Due: today})
	s.ok(err)
	for what, got := range map[string]domain.Date{
		"progress": entries[0].On, "the promise": promise.PromisedOn, "the quotation": q.QuotedOn,
	} {
		if got != today {
			t.Errorf("%s without a date is dated %s, want %s", what, got, today)
		}
	}

	now = now.Add(24 * time.Hour)
	if list, err := a.Absences(ctx, s.who, postgres.Whole); err != nil || len(list) != 0 {
		t.Errorf("a day later: %+v, %v; want the leave over", list, err)
	}
}
