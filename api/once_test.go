package api_test

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"bentside/api/app"
	"bentside/domain"
	"bentside/openapi"
)

func TestARequestSentAgainGetsTheSameAnswerAndDoesNothingTwice(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	key := "Idempotency-Key: \"" + newID(t).String() + "\""
	first := owner.do(http.MethodPost, "/v1/instruments", wornGrand(), key)
	before := len(feed(t, owner))
	// It is the same request whatever the order of members, the white space or the quotes.
	bare := strings.ReplaceAll(key, "\"", "")
	reordered := "\n" + string(mustRead(t, encode(t, with(wornGrand(), nil))))
	for _, again := range []answer{
		owner.do(http.MethodPost, "/v1/instruments", wornGrand(), key),
		owner.do(http.MethodPost, "/v1/instruments", reordered, bare),
	} {
		if again.status != first.status || !bytes.Equal(again.body, first.body) {
			t.Errorf("got %d %s, want %d %s", again.status, again.body, first.status, first.body)
		}
		for _, name := range []string{"ETag", "Location", "Content-Type"} {
			if again.header.Get(name) != first.header.Get(name) {
				t.Errorf("%s: got %q, want %q", name, again.header.Get(name), first.header.Get(name))
			}
		}
		if again.header.Get("Idempotency-Replayed") != "true" {
			t.Error("a replay is not marked")
		}
	}
	if first.header.Get("Idempotency-Replayed") != "" {
		t.Error("the first answer is marked as a replay")
	}
	if after := len(feed(t, owner)); after != before {
		t.Errorf("sending again made %d events", after-before)
	}
	wantProblem(t,
		owner.do(http.MethodPost, "/v1/instruments", with(wornGrand(), map[string]any{"year": 1912}),
			key),
		http.StatusUnprocessableEntity, "idempotency-key-reused")
}

func mustRead(tb testing.TB, r interface{ Read([]byte) (int, error) }) []byte {
	tb.Helper()
	var b bytes.Buffer
	if _, err := b.ReadFrom(r); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func TestAKeyBelongsToOnePersonAndOneOperation(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	key := "Idempotency-Key: shared"
	one := want[openapi.Instrument](t,
		s.as(domain.Owner).do(http.MethodPost, "/v1/instruments", wornGrand(), key), http.StatusCreated)
	two := want[openapi.Instrument](t,
		s.as(domain.Buyer).do(http.MethodPost, "/v1/instruments", wornGrand(), key), http.StatusCreated)
	if one.ID == two.ID {
		t.Error("another person's key gave away an answer")
	}
	other := s.as(domain.Owner).do(http.MethodPost, "/v1/instruments/"+one.ID.String()+"/surveys",
		map[string]any{"taken_on": "2026-11-25"}, key)
	if other.status != http.StatusCreated {
		t.Errorf("the key of another operation is taken: %d %s", other.status, other.body)
	}
}

func TestARefusalIsKeptTooAndLeavesNothing(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	_, s := surveyed(t, owner)
	before := len(feed(t, owner))
	for range 2 {
		a := owner.do(http.MethodPost, "/v1/surveys/"+s.ID.String()+"/findings",
			map[string]any{"point": "SV-03", "value": "4.7", "unit": "m"}, "Idempotency-Key: once")
		p := wantRefusal(t, a)
		if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/value" {
			t.Errorf("got %+v, want the one fault at #/value", p.Errors)
		}
	}
	if after := len(feed(t, owner)); after != before {
		t.Errorf("a refused request left %d events", after-before)
	}
}

// wantRefusal returns wantProblem without the check of the request's id, which a replay keeps.
func wantRefusal(tb testing.TB, a answer) openapi.Problem {
	tb.Helper()
	return want[openapi.Problem](tb, a, http.StatusUnprocessableEntity)
}

func TestAReplayHoldsNoSecret(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	ask := func() openapi.IssuedToken {
		return want[openapi.IssuedToken](t,
			owner.do(http.MethodPost, "/v1/tokens", map[string]any{"note": "phone"},
				"Idempotency-Key: phone"),
			http.StatusCreated)
	}
	first, again := ask(), ask()
	if !strings.HasPrefix(first.Secret, "bentside_") || again.Secret != "" ||
		again.Token.ID != first.Token.ID {
		t.Errorf("got %+v and then %+v, want the secret once and the same token twice", first, again)
	}
}

func TestAReplayIsAuthorisedAnew(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	issued := want[openapi.IssuedToken](t,
		owner.do(http.MethodPost, "/v1/tokens", map[string]any{"note": "phone"}), http.StatusCreated)
	phone := newClient(t, s.url, issued.Secret)
	want[openapi.Instrument](t,
		phone.do(http.MethodPost, "/v1/instruments", wornGrand(), "Idempotency-Key: k"),
		http.StatusCreated)
	owner.do(http.MethodDelete, "/v1/tokens/"+issued.Token.ID.String(), nil)
	wantProblem(t, phone.do(http.MethodPost, "/v1/instruments", wornGrand(), "Idempotency-Key: k"),
		http.StatusUnauthorized, "unauthenticated")
}

// TestManyAtOnceWithOneKeyDoItOnce checks that each answer is the first one's, or says that the
// first request is still running.
func TestManyAtOnceWithOneKeyDoItOnce(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	const n = 12
	answers := make([]answer, n)
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() {
			answers[i] = owner.do(http.MethodPost, "/v1/instruments", wornGrand(), "Idempotency-Key: rush")
		})
	}
	all.Wait()
	made := 0
	for _, a := range answers {
		switch {
		case a.status == http.StatusCreated && a.header.Get("Idempotency-Replayed") == "":
			made++
		case a.status == http.StatusCreated:
		default:
			wantProblem(t, a, http.StatusConflict, "idempotency-key-busy")
		}
	}
	list := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments", nil),
		http.StatusOK)
	if made != 1 || len(list.Items) != 1 {
		t.Errorf("made %d times, %d instruments; want one of each", made, len(list.Items))
	}
}

// TestWhileTheFirstRunsItsKeyIsBusy holds the first request open until the second was refused.
func TestWhileTheFirstRunsItsKeyIsBusy(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	key := app.Key{Route: "createInstrument", Key: "held"}
	actor, err := s.app.Authenticate(t.Context(), s.tokens[domain.Owner])
	if err != nil {
		t.Fatal(err)
	}
	stop := errors.New("stop")
	_, _, err = s.app.Once(t.Context(), actor, key, func(context.Context) (app.Answer, error) {
		wantProblem(t,
			s.as(domain.Owner).do(http.MethodPost, "/v1/instruments", wornGrand(), "Idempotency-Key: held"),
			http.StatusConflict, "idempotency-key-busy")
		return app.Answer{}, stop
	})
	if !errors.Is(err, stop) {
		t.Fatal(err)
	}
	// A failure is not stored: the key is free again.
	want[openapi.Instrument](t,
		s.as(domain.Owner).do(http.MethodPost, "/v1/instruments", wornGrand(), "Idempotency-Key: held"),
		http.StatusCreated)
}

func TestWhatWasWrittenOfflineIsSentAsOftenAsItTakes(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	path := "/v1/instruments/" + newID(t).String()
	want[openapi.Instrument](t, owner.do(http.MethodPut, path, wornGrand(), "If-None-Match: *"),
		http.StatusCreated)
	want[openapi.Instrument](t, owner.do(http.MethodPut, path, wornGrand(), "If-None-Match: *"),
		http.StatusOK)

	s := want[openapi.Survey](t,
		owner.do(http.MethodPost, path+"/surveys", map[string]any{"taken_on": "2026-11-25"}),
		http.StatusCreated)
	finding := "/v1/surveys/" + s.ID.String() + "/findings/" + newID(t).String()
	blow := map[string]any{"point": "SV-03", "value": "4.70", "unit": "cm"}
	want[openapi.Finding](t, owner.do(http.MethodPut, finding, blow, "If-None-Match: *"),
		http.StatusCreated)
	again := want[openapi.Finding](t,
		owner.do(http.MethodPut, finding, with(blow, map[string]any{"value": "4.7"}), "If-None-Match: *"),
		http.StatusOK)
	if again.Canonical == nil || again.Canonical.String() != "47" {
		t.Errorf("got %+v, want the finding as it was entered", again)
	}
	wantProblem(t,
		owner.do(http.MethodPut, finding, with(blow, map[string]any{"value": "4.8"}), "If-None-Match: *"),
		http.StatusPreconditionFailed, "stale-version")

	bench := "/v1/stations/" + newID(t).String()
	want[openapi.Station](t,
		owner.do(http.MethodPut, bench, map[string]any{"name": "bench", "count": 4}, "If-None-Match: *"),
		http.StatusCreated)
	want[openapi.Station](t,
		owner.do(http.MethodPut, bench, map[string]any{"name": "bench", "count": 4}, "If-None-Match: *"),
		http.StatusOK)
	// A new id with a taken name is a conflict about the name.
	wantProblem(t,
		owner.do(http.MethodPut, "/v1/stations/"+newID(t).String(),
			map[string]any{"name": "bench", "count": 1}, "If-None-Match: *"),
		http.StatusConflict, "conflict")

	rui := "/v1/people/" + newID(t).String()
	person := map[string]any{
		"name": "Rui Salgado", "skills": []string{"belly"}, "productive_share": "0.7",
	}
	want[openapi.Person](t, owner.do(http.MethodPut, rui, person, "If-None-Match: *"),
		http.StatusCreated)
	want[openapi.Person](t,
		owner.do(http.MethodPut, rui, with(person, map[string]any{"productive_share": "0.70"}),
			"If-None-Match: *"),
		http.StatusOK)
	changed := want[openapi.Person](t,
		owner.do(http.MethodPut, rui, with(person, map[string]any{"skills": []string{"belly", "action"}}),
			`If-Match: "v1"`),
		http.StatusOK)
	if changed.Version != 2 || !slices.Equal(changed.Skills, []string{"belly", "action"}) {
		t.Errorf("got %+v, want version 2 with both skills", changed)
	}
}
