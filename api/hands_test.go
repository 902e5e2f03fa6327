package api_test

import (
	"net/http"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// A neighbour who answers the telephone agrees to nothing.
func TestOnlyTheWordOfTheClientWhosePianoItIsCounts(t *testing.T) {
	t.Parallel()
	o := offerOf(t, openShop(t).as(domain.Manager))
	other := newID(t)
	want[openapi.Party](t, o.do(http.MethodPut, "/v1/parties/"+other.String(),
		map[string]any{"name": "Ada Fernwood"}, "If-None-Match: *"), http.StatusCreated)
	refused := func(pointer string, a answer) {
		t.Helper()
		p := wantProblem(t, a, http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer {
			t.Errorf("got %+v, want a fault at %s", p.Errors, pointer)
		}
	}
	said := func(party openapi.ID, more map[string]any) map[string]any {
		return with(map[string]any{"party": party, "how": "on the telephone"}, more)
	}
	theirs := o
	theirs.party.ID = other
	refused("#/party", theirs.quote(o.light))
	refused("#/consent/party", o.job(o.light, theirs.consent()))
	j := want[openapi.Job](t, o.job(o.light, o.consent()), http.StatusCreated)
	at := "/v1/jobs/" + j.ID.String()
	p := want[openapi.Proposal](t, o.do(http.MethodPost, at+"/proposals",
		map[string]any{"says": "more was found", "depth": "restore"}), http.StatusCreated)
	for _, c := range []struct {
		path, pointer string
		body          func(openapi.ID) map[string]any
	}{
		{at + "/spending-limits", "#/party", func(party openapi.ID) map[string]any {
			return said(party, map[string]any{"limit": amount("400.00"), "agreed_on": o.today})
		}},
		{
			at + "/proposals/" + p.ID.String() + "/decision", "#/consent/party",
			func(party openapi.ID) map[string]any {
				return map[string]any{
					"accept": true, "reason": "it is worth it",
					"consent": said(party, map[string]any{"given_on": o.today}),
				}
			},
		},
	} {
		refused(c.pointer, o.do(http.MethodPost, c.path, c.body(other)))
		want[map[string]any](t, o.do(http.MethodPost, c.path, c.body(o.party.ID)), http.StatusCreated)
	}
}

// Quotation, limit and consents are the client's, so the piano stays theirs until the
// job is closed.
func TestAClientsPianoChangesHandsOnceItsJobIsClosed(t *testing.T) {
	t.Parallel()
	o := offerOf(t, openShop(t).as(domain.Owner))
	other := newID(t)
	want[openapi.Party](t, o.do(http.MethodPut, "/v1/parties/"+other.String(),
		map[string]any{"name": "Ada Fernwood"}, "If-None-Match: *"), http.StatusCreated)
	correct := func(change map[string]any) answer {
		t.Helper()
		tag := o.do(http.MethodGet, o.at(), nil).header.Get("ETag")
		body := with(wornGrand(), map[string]any{"owner": "client", "party": o.party.ID})
		return o.do(http.MethodPut, o.at(), with(body, change), "If-Match: "+tag)
	}
	stale := o.quoted(o.deep)
	j := want[openapi.Quotation](t, o.yes(o.quoted(o.light), 1), http.StatusCreated).Job
	wantConflict(t, correct(map[string]any{"party": other}), "change hands", j.String())
	wantConflict(t, correct(map[string]any{"owner": "stock"}), "change hands", j.String())
	want[openapi.Instrument](t, correct(map[string]any{"colour": "walnut"}), http.StatusOK)
	o.closed(j)
	want[openapi.Instrument](t, correct(map[string]any{"party": other}), http.StatusOK)
	wantConflict(t, o.yes(stale, 1), "no longer", o.party.ID.String())
}
