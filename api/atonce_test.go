package api_test

import (
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// workshopSettings returns the settings as they are sent back, and their tag.
func workshopSettings(t *testing.T, owner *client) (map[string]any, string) {
	t.Helper()
	a := owner.do(http.MethodGet, "/v1/workshop", nil)
	settings := want[map[string]any](t, a, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	return settings, "If-Match: " + a.header.Get("ETag")
}

func pointersIn(p openapi.Problem) string {
	var list []string
	for _, f := range p.Errors {
		list = append(list, strings.TrimPrefix(f.Pointer, "#/"))
	}
	return strings.Join(list, " ")
}

// Whoever types many fields mends them in one round: what breaks the contract and what breaks a
// rule stand together, and nothing that may only follow from a field that is wrong already.
func TestFaultsAtOnce(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", wornGrand()),
		http.StatusCreated)
	at := "/v1/instruments/" + i.ID.String()
	survey := want[openapi.Survey](t, owner.do(http.MethodPost, at+"/surveys",
		map[string]any{"taken_on": "2026-03-02", "findings": []any{}}), http.StatusCreated)
	settings, tag := workshopSettings(t, owner)
	grand := func(change map[string]any) map[string]any { return with(wornGrand(), change) }
	const anew = "If-None-Match: *"
	before := len(feed(t, owner))
	for _, x := range []struct {
		name, method, path string
		body               map[string]any
		header, want       string
	}{
		{
			"a name that is a number, and a skill that no work asks for", http.MethodPut,
			"/v1/people/" + newID(t).String(),
			map[string]any{
				"name": 5, "skills": []string{"stringing", "juggling"}, "productive_share": "0.01",
			},
			anew, "name productive_share skills/1",
		},
		{
			"no maker, and no such country", http.MethodPost, "/v1/instruments",
			grand(map[string]any{"maker": "", "country": "QQ"}), "", "country maker",
		},
		{
			"a kind misspelt: the size is one of an upright", http.MethodPost, "/v1/instruments",
			grand(map[string]any{"kind": "uprigt", "size_mm": 1100, "country": "QQ"}), "",
			"country kind",
		},
		{
			"notes misspelt: the stringing may be of as many", http.MethodPost, "/v1/instruments",
			grand(map[string]any{"notes": "88", "stringing": map[string]any{
				"last_single": 10, "last_pair": 30, "covered": 50,
			}}), "", "notes",
		},
		{
			"three findings, each wrong in its own way", http.MethodPost, at + "/surveys",
			map[string]any{"taken_on": "2026-13-02", "findings": []any{
				map[string]any{"point": "SV-13", "value": 7, "where": "note 30"},
				map[string]any{"point": "SV-99", "value": "1"},
				map[string]any{"point": "SV-29", "value": "3"},
				map[string]any{"point": "SV-29", "flag": true, "wher": "strut"},
			}},
			"", "findings/0/value findings/1/point findings/2/value findings/3/wher taken_on",
		},
		{
			"a note that is a number explains a raise all the same", http.MethodPost,
			"/v1/surveys/" + survey.ID.String() + "/findings",
			map[string]any{"point": "SV-32", "note": 5, "raise": "must_act"},
			"", "note",
		},
		{
			"a unit that is a number may fit the value", http.MethodPost,
			"/v1/surveys/" + survey.ID.String() + "/findings",
			map[string]any{"point": "SV-13", "value": "0.7", "unit": 5},
			"", "unit",
		},
		{
			"settings of a zone that there isn't", http.MethodPut, "/v1/workshop",
			with(settings, map[string]any{"name": 5, "zone": "Nowhere/City", "country": "QQ"}), tag,
			"country name zone",
		},
	} {
		headers := []string{}
		if x.header != "" {
			headers = append(headers, x.header)
		}
		p := wantProblem(t, owner.do(x.method, x.path, x.body, headers...),
			http.StatusUnprocessableEntity, "validation")
		if got := pointersIn(p); got != x.want {
			t.Errorf("%s: wrong at %q, want %q: %+v", x.name, got, x.want, p.Errors)
		}
	}
	if n := len(feed(t, owner)); n != before {
		t.Errorf("%d events were told of what was refused", n-before)
	}
}

// What was only rehearsed leaves nothing, and uses up no key.
func TestARehearsalLeavesNothingBehind(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	const key = `Idempotency-Key: "of-the-worn-grand"`
	bad := with(wornGrand(), map[string]any{"notes": "88"}) // would be written with another number
	before := len(feed(t, owner))
	wantProblem(t, owner.do(http.MethodPost, "/v1/instruments", bad, key),
		http.StatusUnprocessableEntity, "validation")
	list := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments", nil),
		http.StatusOK)
	if n := len(feed(t, owner)); len(list.Items) != 0 || n != before {
		t.Errorf("a rehearsal wrote %d instruments and told %d events", len(list.Items), n-before)
	}
	want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", wornGrand(), key),
		http.StatusCreated)
	viewer := openShop(t).as(domain.Viewer)
	wantProblem(t, viewer.do(http.MethodPost, "/v1/instruments", bad), http.StatusForbidden, "forbidden")
}

// A rehearsal meets bodies that no handler was written for, and none may fail.
func TestNoMemberThatIsMissingOrStrangeFailsARehearsal(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", wornGrand()),
		http.StatusCreated)
	settings, tag := workshopSettings(t, owner)
	at := "/v1/jobs/" + joinOne(t, owner, "recondition", "DS-01", "AC-05 RG-01").ID.String()
	party, sc := clientsGrand(t, owner)
	const anew = "If-None-Match: *"
	stranges := []any{nil, -1, "\u0000", []any{}, map[string]any{"strange": 1}}
	if testing.Short() {
		stranges = stranges[:2]
	}
	for _, x := range []struct {
		method, path, header string
		body                 map[string]any
	}{
		{http.MethodPut, "/v1/workshop", tag, settings},
		{http.MethodPut, "/v1/people/" + newID(t).String(), anew, map[string]any{
			"name": "Ada Fernwood", "skills": []any{"stringing"}, "productive_share": "0.7",
		}},
		{http.MethodPut, "/v1/stations/" + newID(t).String(), anew, map[string]any{
			"name": "bench", "count": 2, "room": "loft",
		}},
		{http.MethodPut, "/v1/parties/" + newID(t).String(), anew, map[string]any{
			"name": "Odile Garriga", "email": "odile@example.org",
		}},
		{http.MethodPost, "/v1/instruments", "X-Nothing: 1", with(wornGrand(), map[string]any{
			"stringing": map[string]any{"last_single": 10, "last_pair": 30, "covered": 50},
		})},
		{http.MethodPost, "/v1/instruments/" + i.ID.String() + "/surveys", "X-Nothing: 1", map[string]any{
			"taken_on": "2026-03-02", "taken_by": "Ines Duarte", "findings": []any{
				map[string]any{"point": "SV-13", "value": "7.05", "unit": "mm", "note": "x"},
			},
		}},
		{http.MethodPost, at + "/proposals", "X-Nothing: 1", map[string]any{
			"says": "the pins turn by hand", "depth": "restore", "price": amount("100.00"),
			"answer_by": "2030-01-01",
		}},
		{http.MethodPost, at + "/tasks/AC-05/progress", "X-Nothing: 1", map[string]any{
			"hours": "1", "done": "1", "left": "2", "finished": false, "note": "x", "reason": "y",
		}},
		{
			http.MethodPost, "/v1/instruments/" + sc.Instrument.String() + "/quotations", "X-Nothing: 1",
			map[string]any{
				"party": party.ID, "valid_until": "2030-12-31", "deposit": amount("100.00"),
				"options": []any{map[string]any{"scope": sc.ID, "title": "x"}},
			},
		},
	} {
		for _, path := range pathsIn(x.body, nil) {
			for _, strange := range stranges {
				body := replacedAt(x.body, path, strange)
				if a := owner.do(x.method, x.path, body, x.header); a.status >= 500 {
					t.Fatalf("%s %s with %v at %v: %d %s", x.method, x.path, strange, path, a.status, a.body)
				}
			}
		}
	}
}

// pathsIn returns the path of every member of an object, those inside others too.
func pathsIn(v any, at []string) [][]string {
	var list [][]string
	if o, is := v.(map[string]any); is {
		for _, name := range slices.Sorted(maps.Keys(o)) {
			path := append(slices.Clone(at), name)
			list = append(append(list, path), pathsIn(o[name], path)...)
		}
	}
	return list
}

// replacedAt returns a copy of an object with another value at a path; nil takes the member out.
func replacedAt(o map[string]any, path []string, v any) map[string]any {
	o = maps.Clone(o)
	inner, is := o[path[0]].(map[string]any)
	switch {
	case len(path) > 1 && is:
		o[path[0]] = replacedAt(inner, path[1:], v)
	case v == nil:
		delete(o, path[0])
	default:
		o[path[0]] = v
	}
	return o
}

// Bookings, proposals, quotations and answers, whose rules need what is worked out or what stands
// in the books: they too are mended in one round.
func TestFaultsAtOnceOfWhatIsWorkedOutOrBooked(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	j := joinOne(t, owner, "recondition", "IN-02 DS-01", "AC-01 AC-05 RG-01")
	at := "/v1/jobs/" + j.ID.String()
	ada := newID(t).String()
	want[openapi.Person](t, owner.do(http.MethodPut, "/v1/people/"+ada, map[string]any{
		"name": "Ada Fernwood", "skills": []any{"action"}, "productive_share": "0.7",
	}, "If-None-Match: *"), http.StatusCreated)
	party, sc := clientsGrand(t, owner)
	quotations := "/v1/instruments/" + sc.Instrument.String() + "/quotations"
	quotation := func(change map[string]any) map[string]any {
		return with(map[string]any{
			"party": party.ID, "valid_until": "2030-12-31", "options": []any{map[string]any{
				"scope": sc.ID, "title": "Reconditioned", "net": amount("4200.00"), "tax_rate": "0.23",
			}},
		}, change)
	}
	early := "2001-01-01"
	before := len(feed(t, owner))
	for _, x := range []struct {
		name, path string
		body       map[string]any
		want       string
	}{
		{
			"a note that is a number, hours of tomorrow, and no reason", at + "/tasks/AC-05/progress",
			map[string]any{
				"hours": "2", "left": "1", "finished": true, "worked_on": "2090-01-01", "person": ada,
				"note": 5,
			},
			"left note reason worked_on",
		},
		{
			"hours misspelt, of a task that something goes before", at + "/tasks/AC-05/progress",
			map[string]any{"hours": "two", "done": "7", "left": "1", "finished": false, "person": ada},
			"hours",
		},
		{
			"neither finished nor unfinished: a finished task has nothing left", at + "/tasks/AC-01/progress",
			map[string]any{"left": "3", "finished": "yes", "done": "12"},
			"done finished",
		},
		{
			"hours to no end, of another person", "/v1/time-entries",
			map[string]any{
				"job": j.ID, "operation": "AC-01", "minutes": 5000, "person": newID(t), "rework": "abnormal",
			},
			"minutes person",
		},
		{
			"abnormal rework of a duty, tomorrow", "/v1/time-entries",
			map[string]any{
				"duty": "upkeep", "minutes": 60, "person": ada, "rework": "abnormal", "correction": 5,
				"worked_on": "2090-01-01",
			},
			"correction note rework worked_on",
		},
		{
			"findings of a proposal, and what it says", at + "/proposals",
			map[string]any{
				"says": 5, "findings": []any{
					map[string]any{"point": "SV-99", "value": "1"},
					map[string]any{"point": "SV-29", "value": "3"},
				}, "recorded": []any{newID(t)},
			},
			"findings/0/point findings/1/value recorded/0 says",
		},
		{
			"an edit of a proposal under another depth", at + "/proposals",
			map[string]any{
				"says": "deeper", "depth": "deep", "edits": []any{
					map[string]any{"kind": "add", "operation": "ZZ-99"},
				},
			},
			"depth",
		},
		{
			"a quotation with everything wrong that can be", quotations,
			quotation(map[string]any{
				"note": 5, "valid_until": early, "party": newID(t), "replaces": []any{newID(t)},
			}), "note party replaces/0 valid_until",
		},
		{
			"a price misspelt: the deposit may be less", quotations,
			quotation(map[string]any{
				"deposit": amount("9000.00"), "valid_until": early,
				"options": []any{map[string]any{
					"scope": newID(t), "title": "Reconditioned", "tax_rate": "0.23",
					"net": map[string]any{"amount": "4.200,00", "currency": "EUR"},
				}},
			}), "options/0/net/amount options/0/scope valid_until",
		},
		{
			"an answer of neither kind", at + "/closing",
			map[string]any{"outcome": "given_up", "closed_on": early},
			"closed_on outcome",
		},
		{
			"a promise to nobody in particular", at + "/promises",
			map[string]any{"for": 5, "due": early, "promised_on": "2026-01-20"},
			"due for",
		},
		{
			"a promise of no day", at + "/promises",
			map[string]any{"for": "ready", "due": early, "promised_on": "soon"},
			"promised_on",
		},
		{
			"away before it begins", "/v1/absences",
			map[string]any{"person": newID(t), "first": "2030-02-03", "last": "2030-02-01", "why": 5},
			"last person why",
		},
		{
			"rest without an end", at + "/suspensions",
			map[string]any{"why": 5, "until": early, "keeps_station": true},
			"keeps_station until why",
		},
	} {
		p := wantProblem(t, owner.do(http.MethodPost, x.path, x.body),
			http.StatusUnprocessableEntity, "validation")
		got := strings.Fields(pointersIn(p))
		slices.Sort(got)
		if strings.Join(got, " ") != x.want {
			t.Errorf("%s: wrong at %q, want %q: %+v", x.name, got, x.want, p.Errors)
		}
	}
	if n := len(feed(t, owner)); n != before {
		t.Errorf("%d events were told of what was refused", n-before)
	}
}
