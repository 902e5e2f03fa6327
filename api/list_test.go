package api_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// pagedList is a list of the contract with what adds one more to it.
type pagedList struct {
	operation string
	path      string
	add       func()
}

// pagedLists are all lists that come in pages, and some of them filtered or sorted.
func pagedLists(tb testing.TB, s *shop) []pagedList {
	tb.Helper()
	c := s.as(domain.Owner)
	party, scope := clientsGrand(tb, c)
	j := clientsJob(tb, c, party, scope)
	_, sv := surveyed(tb, c)
	bid := bidOn(tb, c, sv, nil)
	place := newID(tb).String()
	put := func(path string, body map[string]any) {
		want[any](tb, c.do(http.MethodPut, path, body, "If-None-Match: *"), http.StatusCreated)
	}
	put("/v1/stations/"+place, map[string]any{"name": "glue bench", "count": 1})
	crew := hand(tb, c, "")
	n := 0
	// next counts up and down in turn, so that names and days are not added in their own order
	next := func() int {
		n++
		return 500 + n*(1-2*(n%2))
	}
	post := func(path string, body func() map[string]any) func() {
		return func() { want[any](tb, c.do(http.MethodPost, path, body()), http.StatusCreated) }
	}
	today := domain.DateOf(scope.CreatedAt)
	instrument := "/v1/instruments/" + scope.Instrument.String()
	ivory := "/v1/instruments/" + want[openapi.Instrument](tb, c.do(http.MethodPost,
		"/v1/instruments", with(wornGrand(), map[string]any{"covering": "ivory", "country": "GB"})),
		http.StatusCreated).ID.String() + "/clearances"
	job := "/v1/jobs/" + j.ID.String()
	addInstrument := post("/v1/instruments", func() map[string]any {
		return with(wornGrand(), map[string]any{
			"maker": fmt.Sprint("Aldermere ", next()), "serial": fmt.Sprint(next()),
		})
	})
	addScope := func() openapi.Scope {
		return want[openapi.Scope](tb, c.do(http.MethodPost, instrument+"/scopes", map[string]any{
			"survey": scope.Survey, "depth": "recondition",
		}), http.StatusCreated)
	}
	addParty := func() {
		put("/v1/parties/"+newID(tb).String(), map[string]any{"name": fmt.Sprint("Client ", next())})
	}
	class := newID(tb).String()
	put("/v1/part-classes/"+class, map[string]any{"name": "wire", "method": "fifo"})
	wire := partOf(tb, c, class, "W-17")
	addPart := func() { partOf(tb, c, class, fmt.Sprint("P-", next())) }
	addBid := func() { bidOn(tb, c, sv, nil) }
	addJob := func() { jobUnderWay(tb, c) }
	quote := post(instrument+"/quotations", func() map[string]any {
		return map[string]any{
			"party": party.ID, "valid_until": today.AddDays(30).String(), "deposit": amount("500.00"),
			"options": []any{map[string]any{
				"scope": addScope().ID, "title": "Reconditioned", "net": amount("4200.00"), "tax_rate": "0.23",
			}},
		}
	})
	closeJob := func() {
		made := jobUnderWay(tb, c)
		want[any](tb, c.do(http.MethodPost, "/v1/jobs/"+made.ID.String()+"/closing", map[string]any{
			"outcome": "abandoned", "closed_on": today.String(), "why": "called off",
		}), http.StatusOK)
	}
	more := append(costLists(tb, c, strings.TrimPrefix(wire, "/v1/parts/")), contractLists(c, s)...)
	away, firm := outsideJob(tb, c)
	late, other := outsideJob(tb, c)
	days := "/v1/sendings/" + sendKeyboard(tb, c, late, other).ID.String() + "/due-days"
	return append(more, []pagedList{
		{"listTokens", "/v1/tokens", post("/v1/tokens", func() map[string]any {
			return map[string]any{
				"note": "another", "member": map[string]any{"name": "Rui Bastos", "role": "viewer"},
			}
		})},
		{"listPeople", "/v1/people", func() {
			put("/v1/people/"+newID(tb).String(), map[string]any{
				"name": "Bruno Vale", "skills": []string{"stringing"}, "productive_share": "0.72",
			})
		}},
		{"listParties", "/v1/parties", addParty},
		{"listParties", "/v1/parties?name=client", addParty},
		{"listAbsences", "/v1/absences", post("/v1/absences", func() map[string]any {
			first := today.AddDays(next())
			return map[string]any{
				"station": place, "first": first.String(), "last": first.AddDays(1).String(),
			}
		})},
		{"listStations", "/v1/stations", func() {
			put("/v1/stations/"+newID(tb).String(), map[string]any{
				"name": fmt.Sprint("bench ", next()), "count": 1,
			})
		}},
		{"listCatalogueRevisions", "/v1/catalogue/revisions", func() {
			latest := c.do(http.MethodGet, "/v1/catalogue", nil)
			high := fmt.Sprint(5 + n)
			n++
			want[any](tb, c.do(http.MethodPatch, "/v1/catalogue", map[string]any{
				"note": "slower", "edits": []any{map[string]any{"why": "slower", "set": map[string]any{
					"operation": "TU-01", "hours": map[string]any{"grand": map[string]any{
						"low": "2", "high": high, "baseline": "1", "setup": "2.5", "rate": "0",
					}},
				}}},
			}, "If-Match: "+latest.header.Get("ETag")), http.StatusOK)
		}},
		{"listInstruments", "/v1/instruments", addInstrument},
		{"listInstruments", "/v1/instruments?sort=newest", addInstrument},
		{"listInstruments", "/v1/instruments?sort=maker", addInstrument},
		{"listInstruments", "/v1/instruments?sort=serial&maker=alder", addInstrument},
		{"listInstruments", "/v1/instruments?sort=stock_number", addInstrument},
		{"listInstruments", "/v1/instruments?find=alder&owner=offered", addInstrument},
		{"listSurveys", instrument + "/surveys", post(instrument+"/surveys", func() map[string]any {
			return map[string]any{"taken_on": today.String(), "findings": []any{}}
		})},
		{"listScopes", instrument + "/scopes", func() { addScope() }},
		{"listClearances", ivory, post(ivory, func() map[string]any {
			return map[string]any{
				"stop": "ivory-register", "by": "Ines Duarte", "says": "the registration, seen",
				"reference": "7QX4-2M", "dated": "2026-02-11",
			}
		})},
		{"listInstrumentBids", "/v1/instruments/" + sv.Instrument.String() + "/bids", addBid},
		{"listBids", "/v1/bids", addBid},
		{"listBids", "/v1/bids?state=open", addBid},
		{"listBids", "/v1/bids?instrument=" + sv.Instrument.String(), addBid},
		{
			"listBidOffers", "/v1/bids/" + bid.ID.String() + "/offers",
			post("/v1/bids/"+bid.ID.String()+"/offers", func() map[string]any {
				return map[string]any{"kind": "countered", "amount": amount("4000.00")}
			}),
		},
		{"listJobs", "/v1/jobs", addJob},
		{"listJobs", "/v1/jobs?closed=true", closeJob},
		{
			"listProgress", job + "/tasks/" + j.Tasks[0].Operation + "/progress",
			post(job+"/tasks/"+j.Tasks[0].Operation+"/progress", func() map[string]any {
				return map[string]any{"left": "1.5", "finished": false}
			}),
		},
		{"listJobHours", job + "/time-entries", post("/v1/time-entries", func() map[string]any {
			return map[string]any{
				"person": crew, "job": j.ID, "operation": j.Tasks[0].Operation, "minutes": 10,
			}
		})},
		{"listSentOut", "/v1/sendings", func() {
			other, firm := outsideJob(tb, c)
			sendKeyboard(tb, c, other, firm)
		}},
		{"listJobSendings", "/v1/jobs/" + away.ID.String() + "/sendings", func() {
			sent := sendKeyboard(tb, c, away, firm)
			want[any](tb, c.do(http.MethodPost, "/v1/sendings/"+sent.ID.String()+"/end",
				map[string]any{"outcome": "done"}), http.StatusCreated)
		}},
		{"listSendingDays", days, post(days, func() map[string]any {
			return map[string]any{
				"due_on": today.AddDays(60 + next()).String(), "reason": "late again",
			}
		})},
		{"listSuspensions", job + "/suspensions", post(job+"/suspensions", func() map[string]any {
			n++
			return map[string]any{
				"operation": j.Tasks[n%len(j.Tasks)].Operation, "why": "the glue is late",
				"until": today.AddDays(30).String(),
			}
		})},
		{"listProposals", job + "/proposals", post(job+"/proposals", func() map[string]any {
			return map[string]any{
				"says": "new fittings", "edits": []any{map[string]any{"kind": "add", "operation": "CS-11"}},
			}
		})},
		{
			"listSpendingLimits", job + "/spending-limits",
			post(job+"/spending-limits", func() map[string]any {
				return map[string]any{
					"limit": amount("400.00"), "party": party.ID, "agreed_on": today.String(),
					"how": "by letter",
				}
			}),
		},
		{"listPromises", job + "/promises", post(job+"/promises", func() map[string]any {
			return map[string]any{"for": "ready", "due": today.AddDays(200).String()}
		})},
		{"listInstrumentQuotations", instrument + "/quotations", quote},
		{"listQuotations", "/v1/quotations", quote},
		{"listQuotations", "/v1/quotations?state=open&instrument=" + scope.Instrument.String(), quote},
		{"listPartClasses", "/v1/part-classes", func() {
			put("/v1/part-classes/"+newID(tb).String(), map[string]any{
				"name": fmt.Sprint("class ", next()), "method": "fifo",
			})
		}},
		{"listCounterSales", "/v1/counter-sales", func() {
			post(wire+"/moves", func() map[string]any {
				return map[string]any{"kind": "receipt", "quantity": "1", "value": amount("7.00")}
			})()
			post("/v1/counter-sales", func() map[string]any {
				return map[string]any{"lines": []any{map[string]any{
					"part": strings.TrimPrefix(wire, "/v1/parts/"), "quantity": "1", "price": amount("9.00"),
				}}}
			})()
		}},
		{"listKits", "/v1/kits", func() {
			put("/v1/kits/"+newID(tb).String(), map[string]any{
				"name":  fmt.Sprint("kit ", next()),
				"lines": []any{map[string]any{"part": strings.TrimPrefix(wire, "/v1/parts/"), "quantity": "1"}},
			})
		}},
		{"listParts", "/v1/parts", addPart},
		{"listParts", "/v1/parts?code=p-", addPart},
		{"listStock", "/v1/stock", addPart},
		{"listStockMoves", wire + "/moves", post(wire+"/moves", func() map[string]any {
			return map[string]any{"kind": "receipt", "quantity": "1", "value": amount("7.00")}
		})},
		{"listEvents", "/v1/events", addParty},
	}...)
}

// TestAListReadOneByOneIsTheListReadAtOnce reads every list of the contract twice: as one page, and
// in pages of one while another comes in.
func TestAListReadOneByOneIsTheListReadAtOnce(t *testing.T) {
	t.Parallel()
	s := openShopAt(t, inSteps())
	owner := s.as(domain.Owner)
	lists := pagedLists(t, s)
	for _, l := range lists {
		for range 3 {
			l.add()
		}
		var whole []string
		for _, page := range pagesOf(t, owner, l, 200, nil) {
			whole = append(whole, page...)
		}
		if len(whole) < 3 {
			t.Errorf("%s has %d elements, want those that were added", l.path, len(whole))
		}
		var single []string
		pages := pagesOf(t, owner, l, 1, func(n int) {
			if n == 2 {
				l.add()
			}
		})
		for _, page := range pages {
			if len(page) > 1 {
				t.Errorf("%s: a page of %d, want one element", l.path, len(page))
			}
			single = append(single, page...)
		}
		if twice := doubled(single); twice != "" {
			t.Errorf("%s shows %s twice", l.path, twice)
		}
		old := slices.DeleteFunc(slices.Clone(single), func(id string) bool {
			return !slices.Contains(whole, id)
		})
		if !slices.Equal(old, whole) {
			t.Errorf("%s one by one\n got %v\nwant %v", l.path, old, whole)
		}
		if more := len(single) - len(old); more > 1 {
			t.Errorf("%s shows %d more than there were, want one at most", l.path, more)
		}
	}
	for _, o := range contractOperations(t) {
		if o.Parameters.GetByInAndName("query", "limit") != nil &&
			!slices.ContainsFunc(lists, func(l pagedList) bool { return l.operation == o.OperationID }) {
			t.Errorf("nobody reads %s", o.OperationID)
		}
	}
}

// inSteps returns a clock that shows each instant many times, so that some elements of a list are
// equally old.
func inSteps() func() time.Time {
	monday := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	var ticks atomic.Int64
	return func() time.Time { return monday.Add(time.Duration(ticks.Add(1)/20) * time.Millisecond) }
}

// pagesOf reads a list to its end by the links from page to page, and returns the keys of the
// elements of each. before, unless nil, runs before each page.
func pagesOf(tb testing.TB, c *client, l pagedList, limit int, before func(n int)) [][]string {
	tb.Helper()
	at, err := url.Parse(l.path)
	if err != nil {
		tb.Fatal(err)
	}
	q := at.Query()
	q.Set("limit", fmt.Sprint(limit))
	at.RawQuery = q.Encode()
	var pages [][]string
	for path := at.String(); path != ""; {
		if len(pages) > 1000 {
			tb.Fatalf("%s does not come to an end", l.path)
		}
		if before != nil {
			before(len(pages))
		}
		a := c.do(http.MethodGet, path, nil)
		body := want[struct {
			Items []map[string]any `json:"items"`
		}](tb, a, http.StatusOK)
		keys := make([]string, len(body.Items))
		for i, item := range body.Items {
			keys[i] = keyOf(item)
		}
		pages = append(pages, keys)
		path = strings.TrimSuffix(strings.TrimPrefix(a.header.Get("Link"), "<"), ">; rel=\"next\"")
	}
	return pages
}

// keyOf returns what tells an element of a list from the others.
func keyOf(item map[string]any) string {
	for _, name := range []string{"id", "position", "number"} {
		if v, ok := item[name]; ok {
			return fmt.Sprint(v)
		}
	}
	b, _ := json.Marshal(item) //nolint:errchkjson // it was decoded from JSON
	return string(b)
}

// doubled returns the first value that is there twice, or nothing.
func doubled(list []string) string {
	seen := map[string]bool{}
	for _, v := range list {
		if seen[v] {
			return v
		}
		seen[v] = true
	}
	return ""
}

// TestACursorOpensNoOtherList tries the cursor of every list, and of every choice of its filters,
// on all others.
func TestACursorOpensNoOtherList(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	lists := pagedLists(t, s)
	address := func(path string, add url.Values) string {
		at, err := url.Parse(path)
		if err != nil {
			t.Fatal(err)
		}
		q := at.Query()
		maps.Copy(q, add)
		at.RawQuery = q.Encode()
		return at.String()
	}
	cursors := map[string]string{}
	for _, l := range lists {
		if l.operation == "listEvents" {
			continue // read on from a position, not from a cursor
		}
		l.add()
		l.add()
		page := want[struct {
			NextCursor string `json:"next_cursor"`
		}](t, owner.do(http.MethodGet, address(l.path, url.Values{"limit": {"1"}}), nil), http.StatusOK)
		if page.NextCursor == "" {
			t.Fatalf("%s has no second page", l.path)
		}
		cursors[l.path] = page.NextCursor
	}
	for path, cursor := range cursors {
		refused := map[string]string{
			"garbage": "garbage", "cut": cursor[:len(cursor)-1], "longer": cursor + "A",
			"of all that a cursor may be": "-_" + strings.Repeat("A", 60),
		}
		for other, c := range cursors {
			if other != path {
				refused["of "+other] = c
			}
		}
		for name, c := range refused {
			a := owner.do(http.MethodGet, address(path, url.Values{"cursor": {c}}), nil)
			p := wantProblem(t, a, http.StatusBadRequest, "malformed")
			if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/query/cursor" {
				t.Errorf("%s with a cursor %s: got %+v, want the cursor named", path, name, p.Errors)
			}
		}
		if a := owner.do(http.MethodGet, address(path, url.Values{
			"cursor": {cursor}, "limit": {"200"},
		}), nil); a.status != http.StatusOK {
			t.Errorf("%s with its own cursor and another limit: %d %s", path, a.status, a.body)
		}
	}
}
