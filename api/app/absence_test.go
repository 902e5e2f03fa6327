package app_test

import (
	"sync"
	"sync/atomic"
	"testing"

	"bentside/domain"

	"github.com/shopspring/decimal"
)

func TestOfManyWhoWithdrawOneAbsenceAtOnceOneDoes(t *testing.T) {
	t.Parallel()
	const callers = 8
	a, _ := opened(t, callers, atMorning)
	who := founded(t, a)
	p, err := a.AddPerson(
		t.Context(), who,
		domain.Person{
			Name: "Bo", Skills: []string{"action"}, ProductiveShare: decimal.NewFromInt(1),
		},
	)
	if err != nil {
		t.Fatal(err)
	}
	day := domain.DateOf(morning)
	x, err := a.AddAbsence(
		t.Context(), who, domain.Absence{Person: p.Value.ID, First: day, Last: day.AddDays(5)},
	)
	if err != nil {
		t.Fatal(err)
	}
	before := effects(t, a, who)
	var all sync.WaitGroup
	var done atomic.Int64
	for range callers {
		all.Go(func() {
			_, err := a.WithdrawAbsence(t.Context(), who, x.ID, "back early")
			switch {
			case err == nil:
				done.Add(1)
			case faultKind(err) != domain.NotFound:
				t.Error(err)
			}
		})
	}
	all.Wait()
	if done.Load() != 1 {
		t.Errorf(
			"%d of %d withdrew it, want 1; %s before, %s now", done.Load(), callers, before,
			effects(t, a, who),
		)
	}
}
