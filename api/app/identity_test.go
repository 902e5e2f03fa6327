package app_test

import (
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/auth"
	"bentside/domain"

	"github.com/google/uuid"
)

func TestATokenLetsItsHolderInUntilItEnds(t *testing.T) {
	t.Parallel()
	now := morning
	a, db := opened(t, 1, func() time.Time { return now })
	owner := founded(t, a)
	evening := morning.Add(10 * time.Hour)
	own, err := a.IssueToken(t.Context(), owner, app.NewToken{Note: "desk", ExpiresAt: &evening})
	if err != nil {
		t.Fatal(err)
	}
	bench, err := a.IssueToken(
		t.Context(), owner, app.NewToken{Name: "Rui Prado", Role: domain.Bench, Note: "tablet"},
	)
	if err != nil {
		t.Fatal(err)
	}
	wantActor(
		t, a, own.Secret,
		app.Actor{Workshop: owner.Workshop, User: owner.User, Token: own.ID, Role: domain.Owner},
	)
	wantActor(
		t, a, bench.Secret,
		app.Actor{Workshop: owner.Workshop, User: bench.User, Token: bench.ID, Role: domain.Bench},
	)
	if bench.User == owner.User || bench.UserName != "Rui Prado" {
		t.Errorf("the bench's token belongs to %s %q", bench.User, bench.UserName)
	}
	wantNobody(t, a, auth.Prefix+"made up")
	now = evening
	wantNobody(t, a, own.Secret)
	if err := a.RevokeToken(t.Context(), owner, bench.ID); err != nil {
		t.Fatal(err)
	}
	wantNobody(t, a, bench.Secret)
	if err := a.RevokeToken(t.Context(), owner, bench.ID); err != nil {
		t.Errorf("revoking it again: %v", err)
	}
	for _, secret := range []string{own.Secret, bench.Secret} {
		if held := tablesThatHold(t, db, secret); len(held) != 0 {
			t.Errorf("the secret stands in %v", held)
		}
	}
}

func TestNobodyRevokesATokenOfAnotherWorkshop(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 1, atMorning)
	here, there := founded(t, a), founded(t, a)
	token, err := a.IssueToken(t.Context(), here, app.NewToken{})
	if err != nil {
		t.Fatal(err)
	}
	for what, id := range map[string]uuid.UUID{
		"another workshop's": token.ID, "nobody's": uuid.Max,
	} {
		if err := a.RevokeToken(t.Context(), there, id); faultKind(err) != domain.NotFound {
			t.Errorf("%s token: got %v, want not found", what, err)
		}
	}
	wantActor(
		t, a, token.Secret,
		app.Actor{Workshop: here.Workshop, User: here.User, Token: token.ID, Role: domain.Owner},
	)
}

func TestOnlyWhoMayIssueTokensDoes(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 1, atMorning)
	owner := founded(t, a)
	for _, role := range domain.Roles {
		who := owner
		who.Role = role
		_, err := a.IssueToken(t.Context(), who, app.NewToken{})
		if role == domain.Owner {
			if err != nil {
				t.Errorf("%s: %v", role, err)
			}
			continue
		}
		if faultKind(err) != domain.Forbidden {
			t.Errorf("%s issued a token: %v", role, err)
		}
		if err := a.RevokeToken(t.Context(), who, uuid.Max); faultKind(err) != domain.Forbidden {
			t.Errorf("%s was let in to revoke one: %v", role, err)
		}
	}
}

func TestAMemberWithoutARoleIsNotMade(t *testing.T) {
	t.Parallel()
	a, db := opened(t, 1, atMorning)
	owner := founded(t, a)
	_, err := a.IssueToken(t.Context(), owner, app.NewToken{Name: "Nobody Known", Role: "tuner"})
	if faultKind(err) != domain.Invalid {
		t.Errorf("got %v, want the role refused", err)
	}
	if held := tablesThatHold(t, db, "Nobody Known"); len(held) != 0 {
		t.Errorf("the member is left in %v", held)
	}
	if held := tablesThatHold(t, db, "Ada Fernwood"); len(held) != 1 {
		t.Errorf("the owner's name stands in %v; it has one place, where it can be erased", held)
	}
}

func wantActor(t *testing.T, a *app.App, secret string, want app.Actor) {
	t.Helper()
	if got, err := a.Authenticate(t.Context(), secret); got != want || err != nil {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
}

func wantNobody(t *testing.T, a *app.App, secret string) {
	t.Helper()
	if got, err := a.Authenticate(t.Context(), secret); got != (app.Actor{}) ||
		faultKind(err) != domain.Unauthenticated {
		t.Errorf("got %+v, %v; want nobody", got, err)
	}
}
