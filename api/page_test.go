package api_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
)

// TestPagesSkipNothingAndRepeatNothingWhileThereIsMore reads a list while new rows are added.
func TestPagesSkipNothingAndRepeatNothingWhileThereIsMore(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	var entered []uuid.UUID
	enter := func() {
		i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", wornGrand()),
			http.StatusCreated)
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
	grands := want[openapi.InstrumentPage](t,
		owner.do(http.MethodGet, "/v1/instruments?kind=upright", nil), http.StatusOK)
	if len(grands.Items) != 0 {
		t.Errorf("the filter let %d grands through", len(grands.Items))
	}
}

func TestACursorServesItsOwnWorkshopOnly(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	for range 2 {
		owner.do(http.MethodPost, "/v1/instruments", wornGrand())
	}
	page := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments?limit=1", nil),
		http.StatusOK)
	_, others := s.found("The other workshop")
	a := newClient(t, s.url, others[domain.Owner]).do(http.MethodGet,
		"/v1/instruments?cursor="+url.QueryEscape(page.NextCursor), nil)
	wantProblem(t, a, http.StatusBadRequest, "malformed")
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
	last := want[openapi.EventList](t,
		owner.do(http.MethodGet, fmt.Sprintf("/v1/events?after=%d", position-1), nil),
		http.StatusOK).Items
	if len(last) != 1 || last[0].Kind != "survey.taken" {
		t.Errorf("got %+v, want the survey last", last)
	}
}

func TestTheFeedKeepsWhoAskedAndWhy(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	owner.do(http.MethodPost, "/v1/instruments", wornGrand(), "X-Request-Id: phone-17",
		"Change-Reason: seen at the auction")
	events := feed(t, owner)
	last := events[len(events)-1]
	if last.RequestID != "phone-17" || last.Reason != "seen at the auction" {
		t.Errorf("got %+v, want the request's id and reason", last)
	}
}
