package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// TestBadInputOfAShopAtWorkIsRefusedAndNothingIsHalfWritten has a shop with a
// job that is closed, a client's job with an expensive variation, a scope whose
// edit the catalogue has lost, and a stock number that is taken. Whatever is
// refused names what is wrong and leaves nothing.
func TestBadInputOfAShopAtWorkIsRefusedAndNothingIsHalfWritten(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, sv := surveyed(t, owner)
	cases := slices.Concat(badTerms(t, owner), badMeasurements(i), changesOfAClosedJob(t, owner), badVariation(t, owner), badRebase(t, owner, i, sv), badStock(t, owner), badFiles(t))
	before := feed(t, owner)
	allRefused(t, owner, cases)
	if after := feed(t, owner); len(after) != len(before) {
		t.Errorf("refused requests left %d events: %+v", len(after)-len(before), after[len(before):])
	}
	if off := want[openapi.Takeoff](t, owner.do(http.MethodGet, "/v1/instruments/"+i.ID.String()+"/takeoff", nil), http.StatusOK); len(off.Measurements) != 0 || off.Version != 1 {
		t.Errorf("refused measurements left %+v at version %d", off.Measurements, off.Version)
	}
}

// badTerms wants more profit than the sale brings.
func badTerms(tb testing.TB, owner *client) []badInput {
	tb.Helper()
	read := owner.do(http.MethodGet, "/v1/workshop", nil)
	shop := want[map[string]any](tb, read, http.StatusOK)
	settings := func(target string) map[string]any {
		return map[string]any{
			"name": shop["name"], "zone": shop["zone"], "open": shop["open"],
			"terms": with(shop["terms"].(map[string]any), map[string]any{"target_share": target}),
		}
	}
	list := make([]badInput, 0, 2)
	for _, target := range []string{"1", "1.2"} {
		list = append(list, badInput{
			"a target of " + target, http.MethodPut, "/v1/workshop", settings(target),
			[]string{"If-Match: " + read.header.Get("ETag")},
			422, "validation",
			[]string{"#/terms/target_share"},
			"share",
		})
	}
	return list
}

func badMeasurements(i openapi.Instrument) []badInput {
	path := "/v1/instruments/" + i.ID.String()
	measured := func(driver, value string) map[string]any {
		return map[string]any{"measurements": []any{map[string]any{"driver": driver, "value": value, "by": "Ines Duarte"}}}
	}
	note := func(core, overall string) map[string]any {
		return map[string]any{"notes": []any{map[string]any{
			"note": 1, "strings": 1, "wound": true, "length_mm": "1385", "core_mm": core, "overall_mm": overall,
		}}}
	}
	const put = http.MethodPut
	match := []string{`If-Match: "v1"`}
	return []badInput{
		{"a string thinner over its covering than its core", put, path + "/scale", note("1.24", "1.1"), match, 422, "validation", []string{"#/notes/0/overall_mm"}, ""},
		{"fewer rest pins than strings", put, path + "/measurements", measured("hole (rest pin)", "200"), match, 422, "validation", []string{"#/measurements/0/value"}, "fewer than the 236"},
		{"next to no case", put, path + "/measurements", measured("m2 of case", "0.000001"), match, 422, "validation", []string{"#/measurements/0/value"}, "less than the"},
		{"a grand that one person carries", put, path + "/measurements", measured("kg of instrument", "30"), match, 422, "validation", []string{"#/measurements/0/value"}, "half of what its size comes to"},
	}
}

// changesOfAClosedJob are all that a job can be told.
func changesOfAClosedJob(tb testing.TB, owner *client) []badInput {
	tb.Helper()
	j := jobUnderWay(tb, owner)
	path, today := "/v1/jobs/"+j.ID.String(), domain.DateOf(j.CreatedAt)
	later := today.AddDays(14).String()
	rest := map[string]any{"operation": j.Tasks[0].Operation, "why": "the glue is late", "until": later}
	resting := want[openapi.Job](tb, owner.do(http.MethodPost, path+"/suspensions", rest), http.StatusCreated)
	end := map[string]any{"outcome": "abandoned", "closed_on": "2026-11-24", "why": "sold as it stands"}
	want[openapi.Job](tb, owner.do(http.MethodPost, path+"/close", end), http.StatusOK)
	var list []badInput
	for name, c := range map[string]struct {
		path string
		body map[string]any
	}{
		"work booked":    {"/tasks/" + j.Tasks[0].Operation + "/progress", map[string]any{"done": "1", "left": "1", "finished": false}},
		"a task rests":   {"/suspensions", rest},
		"it is held":     {"/suspensions", map[string]any{"why": "no room", "until": later}},
		"it goes on":     {"/suspensions/" + resting.Suspensions[0].ID.String() + "/resumption", map[string]any{"why": "it came"}},
		"a change asked": {"/proposals", map[string]any{"says": "loose pins", "findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}}}},
		"a date given":   {"/promises", map[string]any{"for": "ready", "due": later}},
		"closed again":   {"/close", end},
	} {
		list = append(list, badInput{"a closed job: " + name, http.MethodPost, path + c.path, c.body, nil, 409, "conflict", nil, "closed"})
	}
	return append(list, badInput{
		"a closed job: its scope edited", http.MethodPut, "/v1/scopes/" + j.Scope.String() + "/edits",
		map[string]any{"edits": []any{}},
		[]string{`If-Match: "v1"`},
		409, "conflict", nil, "job",
	})
}

// badVariation is one above what the client lets us spend, without a word from
// the client.
func badVariation(tb testing.TB, owner *client) []badInput {
	tb.Helper()
	_, scope := clientsGrand(tb, owner)
	today := domain.DateOf(scope.CreatedAt)
	j := want[openapi.Job](tb, owner.do(http.MethodPost, "/v1/jobs", map[string]any{"scope": scope.ID, "accepted_on": today.String()}), http.StatusCreated)
	path := "/v1/jobs/" + j.ID.String() + "/proposals"
	p := want[openapi.Proposal](tb, owner.do(http.MethodPost, path, map[string]any{
		"says": "the pins turn by hand", "findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}},
	}), http.StatusCreated)
	decide := func(more map[string]any) map[string]any {
		return with(map[string]any{"accept": true, "reason": "it would not hold its tuning"}, more)
	}
	path += "/" + p.ID.String() + "/decision"
	return []badInput{
		{"a variation above the spending limit", http.MethodPost, path, decide(nil), nil, 409, "conflict", nil, "above the spending limit"},
		{
			"a consent from before it was asked for", http.MethodPost, path,
			decide(map[string]any{"consent": map[string]any{"party": newID(tb), "given_on": today.AddDays(-3).String(), "how": "by letter"}}),
			nil, 422, "validation",
			[]string{"#/consent/given_on"},
			"before the proposal",
		},
	}
}

// badRebase goes onto a revision that has lost an operation of the edits.
func badRebase(tb testing.TB, owner *client, i openapi.Instrument, sv openapi.Survey) []badInput {
	tb.Helper()
	ours := map[string]any{"why": "ours", "put": map[string]any{"operation": map[string]any{
		"code": "OW-01", "name": "Smoke the case", "phase": "casework", "skill": "finishing", "station": "", "subassembly": "case_parts", "driver": "instrument",
		"hours": map[string]any{"grand": map[string]any{"baseline": "1", "setup": "2", "rate": "0", "low": "1", "high": "3"}},
		"crew":  1, "tail": map[string]any{"low": "0", "likely": "0", "high": "0"}, "making": "in_house", "standing": "the workshop's own",
	}}}
	gone := map[string]any{"why": "never again", "remove": map[string]any{"table": "operations", "row": "OW-01"}}
	want[openapi.RevisionHead](tb, owner.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("smoke", ours), `If-Match: "v1"`), http.StatusOK)
	scope := drawnAt(tb, owner, i, sv, "recondition", map[string]any{"kind": "add", "operation": "OW-01", "why": "musty"})
	want[openapi.RevisionHead](tb, owner.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("no smoke", gone), `If-Match: "v2"`), http.StatusOK)
	return []badInput{{
		"a rebase onto a catalogue without the operation", http.MethodPost, "/v1/scopes/" + scope.ID.String() + "/rebase",
		map[string]any{"to": 3},
		[]string{`If-Match: "v1"`},
		409, "conflict", nil, "",
	}}
}

// badStock is a stock number that another instrument has.
func badStock(tb testing.TB, owner *client) []badInput {
	tb.Helper()
	ours := with(wornGrand(), map[string]any{"owner": "stock", "stock_number": "K-127"})
	want[openapi.Instrument](tb, owner.do(http.MethodPost, "/v1/instruments", ours), http.StatusCreated)
	other := with(ours, map[string]any{"serial": "7"})
	return []badInput{
		{"a stock number that is taken", http.MethodPost, "/v1/instruments", other, nil, 409, "conflict", nil, "has that stock number"},
	}
}

// badFiles are files of pianos in pieces as they come out of a spreadsheet.
func badFiles(tb testing.TB) []badInput {
	tb.Helper()
	good := strings.Replace(tenPianos(tb), "K-127", "K-327", 1)
	csv := []string{asCSV}
	return []badInput{
		{"a file in Latin-1", http.MethodPost, "/v1/joins", strings.Replace(good, "Orbell", "Orb\xe9ll", 1), csv, 422, "validation", []string{"#/lines/2"}, "UTF-8"},
		{"a file in UTF-16", http.MethodPost, "/v1/joins", "\xff\xfer\x00o\x00w\x00", csv, 422, "validation", []string{"#/lines/1"}, "UTF-16"},
		{"a maker that is a formula", http.MethodPost, "/v1/joins", strings.Replace(good, "Orbell", "=HYPERLINK(1)", 1), csv, 422, "validation", []string{"#/lines/2"}, "formula"},
		{"a stock number of the workshop's", http.MethodPost, "/v1/joins", tenPianos(tb), csv, 422, "validation", []string{"#/pianos/7/stock_number"}, "K-127"},
	}
}
