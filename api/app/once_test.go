package app_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgconn"
)

// keyOf returns a key with a name and the fingerprint of a request.
func keyOf(name, what string) app.Key {
	return app.Key{Route: "createInstrument", Key: name, Fingerprint: sha256.Sum256([]byte(what))}
}

// adding returns a request that adds an instrument and answers with its id.
func adding(a *app.App, who app.Actor) func(context.Context) (app.Answer, error) {
	return func(ctx context.Context) (app.Answer, error) {
		made, err := a.AddInstrument(ctx, who, someInstrument())
		if err != nil {
			return app.Answer{}, err
		}
		return app.Answer{Status: 201, Header: map[string]string{"ETag": `"1"`}, Body: []byte(made.Value.ID.String())}, nil
	}
}

// neverRun returns a request that must be answered without being run.
func neverRun(t *testing.T) func(context.Context) (app.Answer, error) {
	return func(context.Context) (app.Answer, error) {
		t.Error("the request was run again")
		return app.Answer{}, errors.New("run again")
	}
}

func wantEffects(t *testing.T, a *app.App, who app.Actor, want string) {
	t.Helper()
	if got := effects(t, a, who); got != want {
		t.Errorf("the workshop has %s; want %s", got, want)
	}
}

func TestTheSameKeyTwiceHasOneEffectAndOneAnswer(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	who := founded(t, a)
	first, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), adding(a, who))
	if err != nil || replayed || first.Status != 201 {
		t.Fatalf("first: %+v, replayed %v, %v", first, replayed, err)
	}
	wantEffects(t, a, who, "1 instruments, 1 events")
	again, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), neverRun(t))
	if err != nil || !replayed || !reflect.DeepEqual(again, first) {
		t.Errorf("again: %+v, replayed %v, %v; want %+v, replayed", again, replayed, err, first)
	}
	wantEffects(t, a, who, "1 instruments, 1 events")
}

func TestAKeyOfAnotherRequestIsRefused(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	who := founded(t, a)
	if _, _, err := a.Once(t.Context(), who, keyOf("k", "one piano"), adding(a, who)); err != nil {
		t.Fatal(err)
	}
	if _, _, err := a.Once(
		t.Context(), who, keyOf("k", "another piano"), neverRun(t),
	); faultKind(err) != domain.KeyReused {
		t.Errorf("got %v, want the key refused as used", err)
	}
	wantEffects(t, a, who, "1 instruments, 1 events")
}

func TestWhileTheFirstRequestRunsItsKeyIsBusy(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	who := founded(t, a)
	running, finish, done := make(chan struct{}), make(chan struct{}), make(chan error, 1)
	go func() {
		_, _, err := a.Once(t.Context(), who, keyOf("k", "x"), func(
			ctx context.Context,
		) (app.Answer, error) {
			close(running)
			<-finish
			return adding(a, who)(ctx)
		})
		done <- err
	}()
	<-running
	_, _, busy := a.Once(t.Context(), who, keyOf("k", "x"), neverRun(t))
	_, _, other := a.Once(t.Context(), who, keyOf("other", "x"), adding(a, who))
	close(finish)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if faultKind(busy) != domain.KeyBusy {
		t.Errorf("meanwhile: got %v, want the key busy", busy)
	}
	if other != nil {
		t.Errorf("meanwhile with another key: %v", other)
	}
	if _, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), neverRun(t)); !replayed ||
		err != nil {
		t.Errorf("afterwards: replayed %v, %v; want the stored answer", replayed, err)
	}
	wantEffects(t, a, who, "2 instruments, 2 events")
}

func TestARefusedRequestKeepsItsAnswerAndLeavesNoEffect(t *testing.T) {
	t.Parallel()
	for _, status := range []int{400, 404, 409, 412, 422, 499} {
		t.Run(fmt.Sprint(status), func(t *testing.T) {
			t.Parallel()
			a, _ := opened(t, 2, atMorning)
			who := founded(t, a)
			want := app.Answer{Status: status, Header: map[string]string{"Content-Type": "application/problem+json"}, Body: []byte(`{"title":"no"}`)}
			first, _, err := a.Once(t.Context(), who, keyOf("k", "x"), func(
				ctx context.Context,
			) (app.Answer, error) {
				if _, err := adding(a, who)(ctx); err != nil {
					return app.Answer{}, err
				}
				return want, nil
			})
			if err != nil || !reflect.DeepEqual(first, want) {
				t.Errorf("first: %+v, %v; want %+v", first, err, want)
			}
			wantEffects(t, a, who, "0 instruments, 0 events")
			again, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), neverRun(t))
			if err != nil || !replayed || !reflect.DeepEqual(again, want) {
				t.Errorf("again: %+v, replayed %v, %v; want %+v, replayed", again, replayed, err, want)
			}
		})
	}
}

// When the failure is the service's own, the same key may succeed later.
func TestARequestThatGoesWrongLeavesNothing(t *testing.T) {
	t.Parallel()
	wrong := errors.New("the disk is full")
	for what, goWrong := range map[string]func() (app.Answer, error){
		"an error":         func() (app.Answer, error) { return app.Answer{}, wrong },
		"an answer of 500": func() (app.Answer, error) { return app.Answer{Status: 500}, nil },
		"an answer of 503": func() (app.Answer, error) { return app.Answer{Status: 503}, nil },
		"a panic":          func() (app.Answer, error) { panic(wrong) },
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			a, db := opened(t, 1, atMorning) // one connection: it must come back too
			who := founded(t, a)
			func() {
				defer func() {
					if r := recover(); r != nil && what != "a panic" {
						t.Errorf("panic: %v", r)
					}
				}()
				_, _, err := a.Once(t.Context(), who, keyOf("k", "x"), func(
					ctx context.Context,
				) (app.Answer, error) {
					if _, err := adding(a, who)(ctx); err != nil {
						return app.Answer{}, err
					}
					return goWrong()
				})
				if err == nil {
					t.Error("no error came back")
				}
			}()
			wantEffects(t, a, who, "0 instruments, 0 events")
			if held := tablesThatHold(t, db, "createInstrument"); len(held) != 0 {
				t.Errorf("the key is stored in %v", held)
			}
			if _, replayed, err := a.Once(
				t.Context(), who, keyOf("k", "x"), adding(a, who),
			); err != nil || replayed {
				t.Errorf("the same key later: replayed %v, %v; want the request run", replayed, err)
			}
			wantEffects(t, a, who, "1 instruments, 1 events")
		})
	}
}

func TestTheUseCasesOfOneRequestStandOrFallTogether(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	who := founded(t, a)
	wrong := someInstrument()
	wrong.Notes = 12
	_, _, err := a.Once(t.Context(), who, keyOf("k", "x"), func(
		ctx context.Context,
	) (app.Answer, error) {
		made, err := a.AddInstrument(ctx, who, someInstrument())
		if err != nil {
			return app.Answer{}, err
		}
		if _, err := a.Read(ctx, who).Instrument(ctx, made.Value.ID); err != nil {
			t.Errorf("the request does not see what it made: %v", err)
		}
		if _, err := a.Read(t.Context(), who).Instrument(
			t.Context(), made.Value.ID,
		); faultKind(err) != domain.NotFound {
			t.Errorf("somebody else sees it before the commit: %v", err)
		}
		_, err = a.AddInstrument(ctx, who, wrong)
		return app.Answer{}, err
	})
	if faultKind(err) != domain.Invalid {
		t.Errorf("got %v, want the second use case's refusal", err)
	}
	wantEffects(t, a, who, "0 instruments, 0 events")
}

func TestSomebodyElsesKeyIsAnotherKey(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	owner, elsewhere := founded(t, a), founded(t, a)
	token, err := a.IssueToken(
		t.Context(), owner, app.NewToken{Name: "Bruno Vale", Role: domain.Buyer},
	)
	if err != nil {
		t.Fatal(err)
	}
	buyer := app.Actor{Workshop: owner.Workshop, User: token.User, Role: domain.Buyer}
	for _, who := range []app.Actor{owner, buyer, elsewhere} {
		if _, replayed, err := a.Once(
			t.Context(), who, keyOf("k", who.User.String()), adding(a, who),
		); err != nil || replayed {
			t.Errorf("%s: replayed %v, %v; want the request run", who.Role, replayed, err)
		}
	}
	otherRoute := keyOf("k", "something else")
	otherRoute.Route = "createSurvey"
	if _, replayed, err := a.Once(t.Context(), owner, otherRoute, adding(a, owner)); err != nil ||
		replayed {
		t.Errorf("at another route: replayed %v, %v; want the request run", replayed, err)
	}
	wantEffects(t, a, owner, "3 instruments, 4 events") // one event is the token's
	wantEffects(t, a, elsewhere, "1 instruments, 1 events")
}

func TestAStoredAnswerHoldsNoSecret(t *testing.T) {
	t.Parallel()
	a, db := opened(t, 2, atMorning)
	who := founded(t, a)
	var secret string
	first, _, err := a.Once(t.Context(), who, keyOf("k", "x"), func(
		ctx context.Context,
	) (app.Answer, error) {
		token, err := a.IssueToken(ctx, who, app.NewToken{Note: "telephone"})
		secret = token.Secret
		return app.Answer{
			Status: 201, Body: []byte("secret " + secret), Stored: []byte("it was shown once"),
		}, err
	})
	if err != nil || secret == "" || !strings.Contains(string(first.Body), secret) {
		t.Fatalf("first: %s, %v; want the secret shown", first.Body, err)
	}
	again, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), neverRun(t))
	if err != nil || !replayed || string(again.Body) != "it was shown once" {
		t.Errorf(
			"again: %s, replayed %v, %v; want what is stored in the secret's place", again.Body,
			replayed, err,
		)
	}
	if held := tablesThatHold(t, db, secret); len(held) != 0 {
		t.Errorf("the secret stands in %v", held)
	}
	if held := tablesThatHold(t, db, "it was shown once"); !reflect.DeepEqual(
		held, []string{"idempotency_keys"},
	) {
		t.Errorf(
			"what is stored in its place was found in %v, so the search for the secret proves nothing",
			held,
		)
	}
}

func TestAnAnswerIsKeptFor30DaysAndThenMakesWay(t *testing.T) {
	t.Parallel()
	now := morning
	a, db := opened(t, 2, func() time.Time { return now })
	who := founded(t, a)
	send := func(name string) (replayed bool) {
		t.Helper()
		_, replayed, err := a.Once(t.Context(), who, keyOf(name, "x"), adding(a, who))
		if err != nil {
			t.Fatal(err)
		}
		return replayed
	}
	send("spring")
	now = morning.Add(30 * 24 * time.Hour)
	if send("april"); !send("spring") {
		t.Error("after thirty days the request was run again, want its answer kept")
	}
	now = now.Add(time.Second)
	if send("a day in May"); send("spring") {
		t.Error(
			"after more than thirty days the answer was given again, want it gone and the request run",
		)
	}
	if held := tablesThatHold(t, db, "april"); !reflect.DeepEqual(held, []string{"idempotency_keys"}) {
		t.Errorf("the younger key stands in %v, want it kept", held)
	}
	wantEffects(t, a, who, "4 instruments, 4 events")
}

func TestSixteenRequestsWithOneKeyHaveOneEffect(t *testing.T) {
	t.Parallel()
	const requests = 16
	a, _ := opened(t, requests, atMorning)
	who := founded(t, a)
	var all sync.WaitGroup
	var ran, busy atomic.Int64
	bodies := make([]string, requests)
	for n := range requests {
		all.Go(func() {
			for {
				answer, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), adding(a, who))
				if faultKind(err) == domain.KeyBusy {
					busy.Add(1)
					continue
				}
				if err != nil {
					t.Errorf("request %d: %v", n, err)
					return
				}
				if !replayed {
					ran.Add(1)
				}
				bodies[n] = string(answer.Body)
				return
			}
		})
	}
	all.Wait()
	if ran.Load() != 1 {
		t.Errorf("%d requests were run (%d found the key busy); want 1", ran.Load(), busy.Load())
	}
	for n, body := range bodies {
		if _, err := uuid.Parse(body); err != nil || body != bodies[0] {
			t.Errorf("request %d was answered with %q, the first with %q", n, body, bodies[0])
		}
	}
	wantEffects(t, a, who, "1 instruments, 1 events")
}

func TestARequestIsRunAgainWherePostgreSQLAsksForIt(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	who := founded(t, a)
	tries := 0
	_, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), func(
		ctx context.Context,
	) (app.Answer, error) {
		tries++
		answer, err := adding(a, who)(ctx)
		if tries == 1 {
			err = errors.Join(err, &pgconn.PgError{Code: "40P01"})
		}
		return answer, err
	})
	if err != nil || replayed || tries != 2 {
		t.Errorf("%d tries, replayed %v, %v; want 2 tries of one request", tries, replayed, err)
	}
	wantEffects(t, a, who, "1 instruments, 1 events")
}
