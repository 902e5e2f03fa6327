package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// TestBadInputOfAShopAtWorkIsRefusedAndNothingIsHalfWritten uses a shop with a closed job, a
// client's job with an expensive variation, a scope with an edit that the catalogue no longer
// supports, and a stock number that is taken. Each refusal names what is wrong, and nothing is
// written.
func TestBadInputOfAShopAtWorkIsRefusedAndNothingIsHalfWritten(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, sv := surveyed(t, owner)
	cases := slices.Concat(badTerms(t, owner), badMeasurements(i), changesOfAClosedJob(t, owner),
		badVariation(t, owner), badMove(t, owner, i, sv), badSkills(t, owner, i, sv),
		badStock(t, owner), badFiles(t))
	before := feed(t, owner)
	allRefused(t, owner, cases)
	if after := feed(t, owner); len(after) != len(before) {
		t.Errorf("refused requests left %d events: %+v", len(after)-len(before), after[len(before):])
	}
	if off := want[openapi.Takeoff](t,
		owner.do(http.MethodGet, "/v1/instruments/"+i.ID.String()+"/take-off", nil),
		http.StatusOK); len(off.Measurements) != 0 || off.Version != 1 {
		t.Errorf("refused measurements left %+v at version %d", off.Measurements, off.Version)
	}
}

// badTerms asks for more profit than the sale brings.
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

// badSkills names skills that no work asks for.
func badSkills(
	tb testing.TB, owner *client, i openapi.Instrument, sv openapi.Survey,
) []badInput {
	tb.Helper()
	read := owner.do(http.MethodGet, "/v1/workshop", nil)
	shop := want[map[string]any](tb, read, http.StatusOK)
	terms := shop["terms"].(map[string]any)
	rates := with(terms["labour_rates"].(map[string]any), map[string]any{"juggling": "20.00"})
	none := map[string]any{"low": "0", "likely": "0", "high": "0"}
	smoking := map[string]any{
		"code": "OW-01", "name": "Smoke the case", "phase": "casework", "skill": "smoking",
		"station": "", "subassembly": "case_parts", "driver": "instrument", "crew": 1, "tail": none,
		"hours": map[string]any{"grand": map[string]any{
			"baseline": "1", "setup": "2", "rate": "0", "low": "1", "high": "3",
		}},
		"making": "in_house", "standing": "the workshop's own",
	}
	euros := amount("900.00")
	donor := map[string]any{
		"parts": []any{map[string]any{
			"name": "action", "worth": map[string]any{"low": euros, "likely": euros, "high": euros},
			"usable": "1",
		}},
		"hours": map[string]any{"low": "4", "likely": "6", "high": "10"}, "skill": "juggling",
		"disposal": amount("90.00"),
	}
	const known = "survey, general, stringing, belly, action, cabinet, finishing, gilding, tuning"
	refused := func(
		name, method, path string, body any, text, pointer string, headers ...string,
	) badInput {
		return badInput{
			name, method, path, body, headers, 422, "validation", []string{pointer}, text,
		}
	}
	return []badInput{
		refused("a person who smokes", http.MethodPut, "/v1/people/"+newID(tb).String(), map[string]any{
			"name": "Rui Lobo", "skills": []string{"tuning", "smoking"}, "productive_share": "0.75",
		}, known, "#/skills/1", "If-None-Match: *"),
		refused("a rate for jugglers", http.MethodPut, "/v1/workshop", map[string]any{
			"name": shop["name"], "zone": shop["zone"], "open": shop["open"],
			"terms": with(terms, map[string]any{"labour_rates": rates}),
		}, known, "#/terms/labour_rates/juggling", "If-Match: "+read.header.Get("ETag")),
		refused("smoking as an operation", http.MethodPatch, "/v1/catalogue",
			catalogueEdits("smoke", map[string]any{
				"why": "ours", "put": map[string]any{"operation": smoking},
			}), known, "#/edits/0/put/operation/skill",
			"If-Match: "+owner.do(http.MethodGet, "/v1/catalogue", nil).header.Get("ETag")),
		refused("a juggler who breaks a donor up", http.MethodPost,
			"/v1/instruments/"+i.ID.String()+"/bids",
			map[string]any{"survey": sv.ID, "form": "donor", "donor": donor},
			"action, belly, cabinet", "#/donor/skill"),
	}
}

func badMeasurements(i openapi.Instrument) []badInput {
	path := "/v1/instruments/" + i.ID.String()
	measured := func(driver, value string) map[string]any {
		return map[string]any{
			"measurements": []any{
				map[string]any{"driver": driver, "value": value, "by": "Ines Duarte"},
			},
		}
	}
	note := func(core, overall string) map[string]any {
		return map[string]any{"notes": []any{map[string]any{
			"note": 1, "strings": 1, "wound": true, "length_mm": "1385", "core_mm": core,
			"overall_mm": overall,
		}}}
	}
	const put = http.MethodPut
	match := []string{`If-Match: "v1"`}
	return []badInput{
		{
			"a string thinner over its covering than its core", put, path + "/scale", note("1.24", "1.1"),
			match, 422, "validation",
			[]string{"#/notes/0/overall_mm"},
			"",
		},
		{
			"fewer rest pins than strings", put, path + "/measurements", measured("hole (rest pin)", "200"),
			match, 422, "validation",
			[]string{"#/measurements/0/value"},
			"fewer than the 236",
		},
		{
			"next to no case", put, path + "/measurements", measured("m2 of case", "0.000001"), match, 422,
			"validation",
			[]string{"#/measurements/0/value"},
			"less than the",
		},
		{
			"a grand that one person carries", put, path + "/measurements",
			measured("kg of instrument", "30"), match, 422, "validation",
			[]string{"#/measurements/0/value"},
			"half of what its size comes to",
		},
	}
}

// changesOfAClosedJob returns every request that changes a job.
func changesOfAClosedJob(tb testing.TB, owner *client) []badInput {
	tb.Helper()
	j := jobUnderWay(tb, owner)
	path, today := "/v1/jobs/"+j.ID.String(), domain.DateOf(j.CreatedAt)
	later := today.AddDays(14).String()
	rest := map[string]any{
		"operation": j.Tasks[0].Operation, "why": "the glue is late", "until": later,
	}
	resting := want[openapi.Job](tb, owner.do(http.MethodPost, path+"/suspensions", rest),
		http.StatusCreated)
	end := map[string]any{
		"outcome": "abandoned", "closed_on": "2026-11-24", "why": "sold as it stands",
	}
	want[openapi.Job](tb, owner.do(http.MethodPost, path+"/closing", end), http.StatusOK)
	var list []badInput
	for name, c := range map[string]struct {
		path string
		body map[string]any
	}{
		"work booked": {
			"/tasks/" + j.Tasks[0].Operation + "/progress",
			map[string]any{"left": "1", "finished": false},
		},
		"a task rests": {"/suspensions", rest},
		"it is held":   {"/suspensions", map[string]any{"why": "no room", "until": later}},
		"it goes on": {
			"/suspensions/" + resting.Suspensions[0].ID.String() + "/resumption",
			map[string]any{"why": "it came"},
		},
		"a change asked": {
			"/proposals",
			map[string]any{
				"says":     "loose pins",
				"findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}},
			},
		},
		"a date given": {"/promises", map[string]any{"for": "ready", "due": later}},
		"closed again": {"/closing", end},
	} {
		list = append(list, badInput{
			"a closed job: " + name, http.MethodPost, path +
				c.path, c.body, nil, 409, "conflict", nil,
			"closed",
		})
	}
	return append(list, badInput{
		"a closed job: its scope edited", http.MethodPut, "/v1/scopes/" + j.Scope.String() +
			"/edits",
		map[string]any{"edits": []any{}},
		[]string{`If-Match: "v1"`},
		409, "conflict", nil, "job",
	})
}

// badVariation exceeds the client's spending limit and has no consent.
func badVariation(tb testing.TB, owner *client) []badInput {
	tb.Helper()
	party, scope := clientsGrand(tb, owner)
	today := domain.DateOf(scope.CreatedAt)
	j := clientsJob(tb, owner, party, scope)
	path := "/v1/jobs/" + j.ID.String() + "/proposals"
	p := want[openapi.Proposal](tb, owner.do(http.MethodPost, path, map[string]any{
		"says":     "the pins turn by hand",
		"findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}},
	}), http.StatusCreated)
	decide := func(more map[string]any) map[string]any {
		return with(map[string]any{"accept": true, "reason": "it would not hold its tuning"}, more)
	}
	path += "/" + p.ID.String() + "/decision"
	return []badInput{
		{
			"a variation without a limit", http.MethodPost, path, decide(nil), nil, 409, "conflict",
			nil, "no spending limit was agreed",
		},
		{
			"a consent from before it was asked for", http.MethodPost, path,
			decide(map[string]any{
				"consent": map[string]any{
					"party": party.ID, "given_on": today.AddDays(-3).String(), "how": "by letter",
				},
			}),
			nil, 422, "validation",
			[]string{"#/consent/given_on"},
			"the day of the proposal",
		},
	}
}

// badMove moves a scope to a revision without an operation that its edits name.
func badMove(tb testing.TB, owner *client, i openapi.Instrument, sv openapi.Survey) []badInput {
	tb.Helper()
	ours := map[string]any{"why": "ours", "put": map[string]any{"operation": map[string]any{
		"code": "OW-01", "name": "Smoke the case", "phase": "casework", "skill": "finishing",
		"station": "", "subassembly": "case_parts", "driver": "instrument",
		"hours": map[string]any{
			"grand": map[string]any{
				"baseline": "1", "setup": "2", "rate": "0", "low": "1", "high": "3",
			},
		},
		"crew": 1, "tail": map[string]any{
			"low": "0", "likely": "0", "high": "0",
		}, "making": "in_house",
		"standing": "the workshop's own",
	}}}
	gone := map[string]any{
		"why": "never again", "remove": map[string]any{"table": "operations", "row": "OW-01"},
	}
	want[openapi.RevisionHead](tb,
		owner.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("smoke", ours), `If-Match: "v1"`),
		http.StatusOK)
	scope := drawnAt(tb, owner, i, sv, "recondition", map[string]any{
		"kind": "add", "operation": "OW-01", "why": "musty",
	})
	want[openapi.RevisionHead](tb,
		owner.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("no smoke", gone), `If-Match: "v2"`),
		http.StatusOK)
	return []badInput{{
		"a move to a catalogue without the operation", http.MethodPost,
		"/v1/scopes/" + scope.ID.String() + "/catalogue-move",
		map[string]any{"to": 3},
		[]string{`If-Match: "v1"`},
		409, "conflict", nil, "",
	}}
}

// badStock uses the stock number of another instrument.
func badStock(tb testing.TB, owner *client) []badInput {
	tb.Helper()
	ours := with(wornGrand(), map[string]any{"owner": "stock", "stock_number": "K-127"})
	want[openapi.Instrument](tb, owner.do(http.MethodPost, "/v1/instruments", ours),
		http.StatusCreated)
	other := with(ours, map[string]any{"serial": "7"})
	return []badInput{
		{
			"a stock number that is taken", http.MethodPost, "/v1/instruments", other, nil, 409, "conflict",
			nil, "has this stock number",
		},
	}
}

// badFiles returns faulty files of pianos in pieces, as spreadsheets export them.
func badFiles(tb testing.TB) []badInput {
	tb.Helper()
	good := strings.Replace(tenPianos(tb), "K-127", "K-327", 1)
	csv := []string{asCSV}
	return []badInput{
		{
			"a file in Latin-1", http.MethodPost, "/v1/joins",
			strings.Replace(good, "Orbell", "Orb\xe9ll", 1), csv, 422, "validation",
			[]string{"#/lines/2"},
			"UTF-8",
		},
		{
			"a file in UTF-16", http.MethodPost, "/v1/joins", "\xff\xfer\x00o\x00w\x00", csv, 422,
			"validation",
			[]string{"#/lines/1"},
			"UTF-16",
		},
		{
			"a maker that is a formula", http.MethodPost, "/v1/joins",
			strings.Replace(good, "Orbell", "=HYPERLINK(1)", 1), csv, 422, "validation",
			[]string{"#/lines/2"},
			"formula",
		},
		{
			"a stock number of the workshop's", http.MethodPost, "/v1/joins", tenPianos(tb), csv, 422,
			"validation",
			[]string{"#/pianos/7/stock_number"},
			"K-127",
		},
	}
}
