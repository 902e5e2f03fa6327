package api_test

import (
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"bentside/api"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
)

// TestPagesSkipNothingAndRepeatNothingWhileThereIsMore walks a list while new
// rows come in.
func TestPagesSkipNothingAndRepeatNothingWhileThereIsMore(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	var entered []uuid.UUID
	enter := func() {
		i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", wornGrand()), http.StatusCreated)
		entered = append(entered, i.ID)
	}
	for range 7 {
		enter()
	}
	var seen []uuid.UUID
	path := "/v1/instruments?owner=offered&limit=3"
	for path != "" {
		a := owner.do(http.MethodGet, path, nil)
		page := want[openapi.InstrumentPage](t, a, http.StatusOK)
		for _, i := range page.Items {
			seen = append(seen, i.ID)
		}
		if len(seen) < 7 {
			enter()
		}
		link := a.header.Get("Link")
		if (link == "") != (page.NextCursor == "") {
			t.Errorf("the Link is %q and the cursor %q", link, page.NextCursor)
		}
		path = strings.TrimSuffix(strings.TrimPrefix(link, "<"), ">; rel=\"next\"")
	}
	if fmt.Sprint(seen) != fmt.Sprint(entered) {
		t.Errorf("got  %v\nwant %v", seen, entered)
	}
	grands := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments?kind=upright", nil), http.StatusOK)
	if len(grands.Items) != 0 {
		t.Errorf("the filter let %d grands through", len(grands.Items))
	}
}

func TestACursorServesItsOwnListOnly(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	for range 2 {
		owner.do(http.MethodPost, "/v1/instruments", wornGrand())
	}
	page := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments?limit=1", nil), http.StatusOK)
	cursor := url.QueryEscape(page.NextCursor)
	flipped := "B" + page.NextCursor[1:]
	if page.NextCursor[0] == 'B' {
		flipped = "C" + page.NextCursor[1:]
	}
	_, others := s.found("The other workshop")
	for name, a := range map[string]answer{
		"changed":            owner.do(http.MethodGet, "/v1/instruments?cursor="+url.QueryEscape(flipped), nil),
		"cut":                owner.do(http.MethodGet, "/v1/instruments?cursor="+cursor[:20], nil),
		"of another filter":  owner.do(http.MethodGet, "/v1/instruments?owner=stock&cursor="+cursor, nil),
		"of another list":    owner.do(http.MethodGet, "/v1/instruments/"+page.Items[0].ID.String()+"/surveys?cursor="+cursor, nil),
		"in another's hands": newClient(t, s.url, others[domain.Owner]).do(http.MethodGet, "/v1/instruments?cursor="+cursor, nil),
	} {
		if p := wantProblem(t, a, http.StatusBadRequest, "malformed"); !strings.Contains(p.Detail, "cursor") {
			t.Errorf("a cursor %s: %s", name, p.Detail)
		}
	}
	// Another size of page is the same list.
	rest := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments?limit=5&cursor="+cursor, nil), http.StatusOK)
	if len(rest.Items) != 1 {
		t.Errorf("got %d, want the one that is left", len(rest.Items))
	}
}

func TestTheFeedIsReadOnWithoutGaps(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	surveyed(t, owner)
	var position int64
	path := "/v1/events?limit=3"
	for path != "" {
		a := owner.do(http.MethodGet, path, nil)
		for _, e := range want[openapi.EventList](t, a, http.StatusOK).Items {
			if e.Position != position+1 {
				t.Fatalf("position %d after %d", e.Position, position)
			}
			position = e.Position
		}
		path = strings.TrimSuffix(strings.TrimPrefix(a.header.Get("Link"), "<"), ">; rel=\"next\"")
	}
	if position < 8 { // founded, six tokens, instrument, survey
		t.Errorf("got %d events", position)
	}
	last := want[openapi.EventList](t, owner.do(http.MethodGet, fmt.Sprintf("/v1/events?after=%d", position-1), nil), http.StatusOK).Items
	if len(last) != 1 || last[0].Kind != "survey.taken" {
		t.Errorf("got %+v, want the survey last", last)
	}
}

func TestTheFeedKeepsWhoAskedAndWhy(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	owner.do(http.MethodPost, "/v1/instruments", wornGrand(), "X-Request-Id: phone-17", "Change-Reason: seen at the auction")
	events := feed(t, owner)
	last := events[len(events)-1]
	if last.RequestID != "phone-17" || last.Reason != "seen at the auction" {
		t.Errorf("got %+v, want the request's id and reason", last)
	}
}

func FuzzCursor(f *testing.F) {
	cursors, err := api.NewCursors([]byte("the key of this test"))
	if err != nil {
		f.Fatal(err)
	}
	at := time.Date(2026, 11, 25, 9, 12, 0, 123456000, time.UTC)
	place := postgres.Place{CreatedAt: at, ID: uuid.MustParse("01938f5e-7c1a-7e2b-9c3d-4e5f60718293")}
	f.Add("instruments", cursors.Seal("instruments", place))
	f.Add("instruments", "")
	f.Add("surveys", "AAAA")
	f.Add("surveys", cursors.Seal("instruments", place)+"=")
	f.Fuzz(func(t *testing.T, list, cursor string) {
		got, err := cursors.Open(list, cursor)
		if err == nil && cursors.Seal(list, got) != cursor {
			t.Errorf("%q of %q opens as %+v, which is sealed otherwise", cursor, list, got)
		}
		back, err := cursors.Open(list, cursors.Seal(list, place))
		if err != nil || back != place {
			t.Errorf("got %+v, %v, want %+v", back, err, place)
		}
		if _, err := cursors.Open(list+"x", cursors.Seal(list, place)); err == nil {
			t.Error("a cursor opens another list")
		}
	})
}

func TestACursorOfAnotherKeyIsRefused(t *testing.T) {
	t.Parallel()
	one, err := api.NewCursors(nil)
	if err != nil {
		t.Fatal(err)
	}
	two, err := api.NewCursors(bytes.Repeat([]byte{7}, 32))
	if err != nil {
		t.Fatal(err)
	}
	place := postgres.Place{CreatedAt: time.Unix(0, 0).UTC(), ID: uuid.Nil}
	if _, err := two.Open("list", one.Seal("list", place)); err == nil {
		t.Error("a cursor opens with another key")
	}
}
