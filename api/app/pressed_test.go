package app_test

import (
	"log/slog"
	"testing"

	"bentside/api/app"
	"bentside/domain"

	"github.com/google/uuid"
)

func TestAFloodBeyondTheQuotaIsRefusedWithoutAskingWhoSendsIt(t *testing.T) {
	t.Parallel()
	const dates, plan = "getScopeDates", "getPlan"
	limits := app.Limits{Workers: 2, Quota: 2}
	a := app.NewWithin(limits, nil, atMorning, slog.New(slog.DiscardHandler)) // nobody to ask
	owner := app.Actor{Workshop: uuid.New()}
	early := func(operation string) domain.FaultKind {
		return faultKind(a.RefuseEarly(t.Context(), "secret", operation))
	}
	if early(dates) != "" {
		t.Error("a token that nobody knows anything of is refused")
	}
	refused := domain.Refuse(domain.TooMany, "as many as there may be")
	a.RefusedATurn(owner, "secret", dates, refused)
	if early(dates) != "" {
		t.Error("it is refused although the workshop has no computation under way any more")
	}
	leave := takeAll(t, a, owner.Workshop, limits.Quota)
	a.RefusedATurn(owner, "secret", plan, domain.Refuse(domain.Conflict, "no plan yet"))
	if early(dates) != domain.TooMany {
		t.Error("beyond the quota it isn't refused")
	}
	if early(plan) != "" {
		t.Error("what was refused for another reason is refused as too many")
	}
	if a.Turns().OverQuota == 0 {
		t.Error("early refusals aren't counted")
	}
	a.Age(app.PressedFor)
	if early(dates) != "" || early(dates) != domain.TooMany {
		t.Error("after a second one request, and no other, asks anew whose token it is")
	}
	a.RefusedATurn(owner, "secret", dates, refused)
	if early(dates) != domain.TooMany {
		t.Error("the one that asked anew was refused, and the next isn't")
	}
	a.Age(2 * app.PressedFor)
	if early(dates) != "" {
		t.Error("an old refusal is believed for ever")
	}
	a.RefusedATurn(owner, "secret", dates, refused)
	leave()
	if early(dates) != "" {
		t.Error("it is refused although there are turns again")
	}
}

// takeAll takes as many turns as a workshop may have.
func takeAll(t *testing.T, a *app.App, workshop uuid.UUID, quota int) (leave func()) {
	t.Helper()
	all := make([]func(), quota)
	for i := range all {
		var err error
		if all[i], err = a.TakeTurn(t.Context(), workshop); err != nil {
			t.Fatal(err)
		}
	}
	return func() {
		for _, leave := range all {
			leave()
		}
	}
}
