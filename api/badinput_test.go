package api_test

import (
	"encoding/json"
	"maps"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"testing"

	"bentside/api"
	"bentside/domain"
	"bentside/openapi"
)

// badInput is a request that must be refused, with the expected refusal.
type badInput struct {
	name     string
	method   string
	path     string
	body     any
	headers  []string
	status   int
	problem  string
	pointers []string // of every field that is wrong, in order
	text     string   // part of the detail of the first of them, or of the problem's
}

// invalid returns a request that breaks a rule; text is part of the detail at the first pointer.
func invalid(name, method, path string, body any, text string, pointers ...string) badInput {
	return badInput{
		name: name, method: method, path: path, body: body, status: http.StatusUnprocessableEntity,
		problem: "validation", pointers: pointers, text: text,
	}
}

// with returns a copy of a body with some members changed; nil removes one.
func with(body map[string]any, changes map[string]any) map[string]any {
	out := maps.Clone(body)
	for name, value := range changes {
		if value == nil {
			delete(out, name)
			continue
		}
		out[name] = value
	}
	return out
}

// TestBadInputIsRefusedAndNothingIsHalfWritten sends every kind of bad input as the owner, who may
// do everything, and then checks in the feed that nothing has happened.
func TestBadInputIsRefusedAndNothingIsHalfWritten(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	i, sv := surveyed(t, owner)
	before := feed(t, owner)
	allRefused(t, owner,
		slices.Concat(badBodies(), badInstruments(i),
			badFindings(sv), badMoney(i, sv), badScopes(i, sv), badVersions(i, sv), badAddresses(i)))
	if after := feed(t, owner); len(after) != len(before) {
		t.Errorf("refused requests left %d events", len(after)-len(before))
	}
}

// allRefused sends each request and checks that it is refused as expected.
func allRefused(t *testing.T, owner *client, list []badInput) {
	t.Helper()
	for _, c := range list {
		t.Run(c.name, func(t *testing.T) {
			client := newClient(t, owner.url, owner.token)
			a := client.do(c.method, c.path, c.body, c.headers...)
			p := wantProblem(t, a, c.status, c.problem)
			var got []string
			for _, f := range p.Errors {
				got = append(got, f.Pointer)
			}
			if !slices.Equal(got, c.pointers) {
				t.Errorf("got faults %+v, want them at %q", p.Errors, c.pointers)
			}
			text := p.Detail
			if len(p.Errors) > 0 {
				text = p.Errors[0].Detail
			}
			if !strings.Contains(text, c.text) {
				t.Errorf("got %q, want it to say %q", text, c.text)
			}
		})
	}
}

// feed returns the events of the workshop.
func feed(tb testing.TB, c *client) []openapi.Event {
	tb.Helper()
	return want[openapi.EventList](tb, c.do(http.MethodGet, "/v1/events?limit=200", nil),
		http.StatusOK).Items
}

func badBodies() []badInput {
	const post, path = http.MethodPost, "/v1/instruments"
	instrument, _ := json.Marshal(wornGrand())
	return []badInput{
		{"no JSON", post, path, "{\"kind\":", nil, 400, "malformed", nil, "ends in the middle"},
		{
			"a comma too many", post, path, "{\"kind\":\"grand\",}", nil, 400, "malformed", nil,
			"byte 17",
		},
		{
			"nothing at all", post, path, "",
			[]string{"Content-Type: application/json"},
			400, "malformed",
			nil, "empty",
		},
		{
			"two values", post, path, string(instrument) + "{}", nil, 400, "malformed", nil,
			"more at byte",
		},
		{"not UTF-8", post, path, "{\"maker\":\"\xff\"}", nil, 400, "malformed", nil, "UTF-8"},
		invalid("a list", post, path, "[]", "object", "#"),
		{
			"a form", post, path, "kind=grand",
			[]string{"Content-Type: application/x-www-form-urlencoded"},
			415, "unsupported-media-type", nil, "application/json",
		},
		{
			"no media type", post, path, string(instrument),
			[]string{"Content-Type: "},
			415,
			"unsupported-media-type", nil, "application/json",
		},
		{
			"larger than a mebibyte", post, path, `{"maker":"` + strings.Repeat("a", 1<<20) + `"}`, nil, 413,
			"too-large", nil, "1048576",
		},
		invalid("U+0000 in a text", post, path, with(wornGrand(), map[string]any{"serial": "a\x00b"}),
			"U+0000", "#/serial"),
	}
}

func badInstruments(i openapi.Instrument) []badInput {
	const post, path = http.MethodPost, "/v1/instruments"
	bad := func(changes map[string]any) map[string]any { return with(wornGrand(), changes) }
	return []badInput{
		invalid("an unknown member", post, path, bad(map[string]any{"owner_name": "x"}),
			"unknown member", "#/owner_name"),
		invalid("a member in capitals", post, path,
			bad(map[string]any{"maker": nil, "MAKER": "Aldermere"}), "unknown member", "#/MAKER", "#/maker"),
		invalid("a read-only member", post, path, bad(map[string]any{"version": 7}),
			"unknown member", "#/version"),
		invalid(
			"null", post, path, bad(map[string]any{"maker": json.RawMessage("null")}), "",
			"#/maker",
		),
		{
			"everything wrong at once", post, path,
			map[string]any{
				"kind": "harpsichord", "maker": "", "size_mm": "long", "notes": 0, "owner": "mine",
				"year": 1911.5,
			},
			nil, 422, "validation",
			[]string{"#/kind", "#/maker", "#/notes", "#/owner", "#/size_mm", "#/year"},
			"allowed values",
		},
		invalid("a number beyond all bounds",
			post, path, bad(map[string]any{"year": json.RawMessage("1e400")}), "", "#/year"),
		invalid("a grand as long as a bus", post, path, bad(map[string]any{"size_mm": 3999}),
			"a size of a grand", "#/size_mm"),
		invalid("a client nobody knows", post, path,
			bad(map[string]any{"party": "ffffffff-ffff-4fff-8fff-ffffffffffff"}), "no party found",
			"#/party"),
		invalid("an action of the other kind", post, path, bad(map[string]any{"action": "over_damper"}),
			"must be one of roller, tied, obsolete on a grand", "#/action"),
		invalid("more singles than notes", post, path,
			bad(map[string]any{
				"stringing": map[string]any{"last_single": 20, "last_pair": 8, "covered": 3},
			}),
			"singles", "#/stringing"),
		{
			"another's body for a known one", http.MethodPut, "/v1/instruments/" +
				i.ID.String(), "{}",
			[]string{`If-Match: "v1"`},
			422, "validation",
			[]string{"#/kind", "#/maker", "#/notes", "#/owner", "#/size_mm"},
			"is missing",
		},
	}
}

func badFindings(s openapi.Survey) []badInput {
	const post = http.MethodPost
	path := "/v1/surveys/" + s.ID.String() + "/findings"
	blow := func(changes map[string]any) map[string]any {
		return with(map[string]any{"point": "SV-03", "value": "47", "unit": "mm"}, changes)
	}
	return []badInput{
		invalid("a blow distance of 4.7 m", post, path, blow(map[string]any{"value": "4.7", "unit": "m"}),
			"outside that range", "#/value"),
		invalid("a negative reading", post, path, blow(map[string]any{"value": "-47"}),
			"outside that range", "#/value"),
		invalid("a unit of something else", post, path, blow(map[string]any{"unit": "kg"}),
			"use mm", "#/unit"),
		invalid("NaN", post, path, blow(map[string]any{"value": "NaN"}), "decimal", "#/value"),
		invalid("an exponent", post, path, blow(map[string]any{"value": "1e1000000000"}),
			"decimal", "#/value"),
		invalid("a hundred digits", post, path, blow(map[string]any{"value": strings.Repeat("9", 100)}),
			"decimal", "#/value"),
		invalid("seven decimals", post, path, blow(map[string]any{"value": "47.0000001"}),
			"decimal", "#/value"),
		invalid(
			"a JSON number", post, path, blow(map[string]any{"value": 47}), "JSON string",
			"#/value",
		),
		invalid("a point that does not exist", post, path, blow(map[string]any{"point": "SV-999"}),
			"a point of the survey", "#/point"),
		invalid("no code at all", post, path, blow(map[string]any{"point": "blow distance"}),
			"SV-13", "#/point"),
		invalid("a point of an upright", post, path, blow(map[string]any{"point": "SV-04"}),
			"grand", "#/point"),
		invalid("raised to sound", post, path, blow(map[string]any{"raise": "sound"}),
			"allowed values", "#/raise"),
		invalid("an answer in place of a number", post, path,
			blow(map[string]any{"value": nil, "unit": nil, "answer": "roller"}), "wants", "#/answer"),
		invalid("an id that is none", post, path, blow(map[string]any{"id": "7"}), "UUID", "#/id"),
		{
			"one of several in a survey", post, "/v1/instruments/" + s.Instrument.String() +
				"/surveys",
			map[string]any{
				"taken_on": "2026-11-25", "findings": []any{
					blow(nil), blow(map[string]any{"value": "4700"}),
				},
			},
			nil, 422, "validation",
			[]string{"#/findings/1/value"},
			"outside that range",
		},
		{
			"the 30th of February", post, "/v1/instruments/" + s.Instrument.String() + "/surveys",
			map[string]any{"taken_on": "2026-02-30"},
			nil, 422, "validation",
			[]string{"#/taken_on"},
			"a day such as",
		},
	}
}

// takenOn is a point that somebody takes on without a look.
func takenOn(point string) map[string]any {
	return map[string]any{"taken_on": []any{
		map[string]any{"point": point, "by": "Ines Duarte", "why": "knows the house"},
	}}
}

func badMoney(i openapi.Instrument, s openapi.Survey) []badInput {
	const post = http.MethodPost
	path := "/v1/instruments/" + i.ID.String() + "/bids"
	bid := func(sale any, changes map[string]any) map[string]any {
		way := map[string]any{"depth": "restore", "sale_price": sale}
		return with(map[string]any{"survey": s.ID, "ways": []any{way}}, changes)
	}
	return []badInput{
		invalid("a JSON number for money",
			post, path, bid(28500.0, nil), "object", "#/ways/0/sale_price"),
		invalid("a JSON number for the amount", post, path,
			bid(map[string]any{"amount": 28500.5, "currency": "EUR"}, nil), "JSON string",
			"#/ways/0/sale_price/amount"),
		invalid("one decimal of euros", post, path, bid(amount("28500.5"), nil),
			"must have 2 decimals in EUR, not 1", "#/ways/0/sale_price/amount"),
		invalid("more than all money", post, path, bid(amount("99999999999999.00"), nil),
			"", "#/ways/0/sale_price/amount"),
		invalid("another currency", post, path,
			bid(map[string]any{"amount": "28500.00", "currency": "GBP"}, nil), "EUR",
			"#/ways/0/sale_price/currency"),
		invalid("no currency", post, path,
			bid(map[string]any{"amount": "28500.00", "currency": "QQQ"}, nil), "ISO 4217",
			"#/ways/0/sale_price/currency"),
		invalid("a negative price", post, path, bid(amount("-1.00"), nil),
			"an amount", "#/ways/0/sale_price"),
		invalid("a premium above the price", post, path,
			bid(amount("28500.00"), map[string]any{"premium_share": "1.2"}), "share from 0 to 1",
			"#/premium_share"),
		invalid("protected timber taken on", post, path, bid(amount("28500.00"), takenOn("SV-61")),
			"the law's to decide", "#/taken_on/0/point"),
		invalid("a blow distance taken on", post, path, bid(amount("28500.00"), takenOn("SV-03")),
			"can stop the purchase", "#/taken_on/0/point"),
		invalid("a frame taken on that was looked at", post, path,
			bid(amount("28500.00"), takenOn("SV-29")), "has been looked at", "#/taken_on/0/point"),
		{
			"a premium that leaves a gap", post, path,
			bid(amount("28500.00"), map[string]any{
				"premium": []any{map[string]any{"from": amount("500.00"), "share": "0.2"}},
			}),
			nil, 422, "validation",
			[]string{"#/premium/0/from"},
			"a gap",
		},
		{
			"a low price above the likely one", post, path,
			bid(nil, map[string]any{
				"ways": []any{
					map[string]any{
						"depth": "restore", "sale_price": amount("100.00"), "sale_low": amount("101.00"),
					},
				},
			}),
			nil, 422, "validation",
			[]string{"#/ways/0/sale_low"},
			"at most the likely",
		},
		{
			"a high price below the likely one", post, path,
			bid(nil, map[string]any{
				"ways": []any{
					map[string]any{
						"depth": "restore", "sale_price": amount("100.00"), "sale_high": amount("99.00"),
					},
				},
			}),
			nil, 422, "validation",
			[]string{"#/ways/0/sale_high"},
			"at least the likely",
		},
		{
			"premium bands that overlap", post, path,
			bid(amount("28500.00"), map[string]any{"premium": []any{
				map[string]any{"from": amount("0.00"), "share": "0.25"},
				map[string]any{"from": amount("0.00"), "share": "0.2"},
			}}),
			nil, 422, "validation",
			[]string{"#/premium/1/from"},
			"overlaps",
		},
		{
			"a defect of a point that is dealt with", post, path,
			bid(nil, map[string]any{"ways": []any{map[string]any{
				"depth": "restore", "sale_price": amount("100.00"),
				"defects": []any{
					map[string]any{
						"name": "x", "point": "SV-03",
						"off": map[string]any{
							"low": amount("0.00"), "likely": amount("1.00"), "high": amount("2.00"),
						},
					},
				},
			}}}),
			nil, 422, "validation",
			[]string{"#/ways/0/defects/0/point"},
			"must be a point left undone",
		},
		invalid("no way at all", post, path, bid(nil, map[string]any{"ways": []any{}}), "", "#/ways"),
		{
			"another instrument's survey", post, path,
			bid(amount("1.00"), map[string]any{"survey": "01938f5e-7c1a-7e2b-9c3d-4e5f60718293"}), nil, 404,
			"not-found", nil, "survey",
		},
	}
}

func badScopes(i openapi.Instrument, s openapi.Survey) []badInput {
	const post = http.MethodPost
	path := "/v1/instruments/" + i.ID.String() + "/scopes"
	scope := func(edits ...any) map[string]any {
		if edits == nil {
			edits = []any{}
		}
		return map[string]any{"survey": s.ID, "depth": "restore", "edits": edits}
	}
	edit := func(kind, operation string, more map[string]any) map[string]any {
		return with(map[string]any{"kind": kind, "operation": operation}, more)
	}
	return []badInput{
		invalid("an unknown operation", post, path, scope(edit("add", "XX-99", nil)),
			"XX-99", "#/edits/0/operation"),
		invalid("a chance above one", post, path,
			scope(edit("chance", "RG-01", map[string]any{"chance": "1.5"})), "share from 0 to 1",
			"#/edits/0/chance"),
		invalid("a chance below nothing", post, path,
			scope(edit("chance", "RG-01", map[string]any{"chance": "-0.1"})), "share from 0 to 1",
			"#/edits/0/chance"),
		invalid("an unknown depth", post, path, with(scope(), map[string]any{"depth": "gleaming"}),
			"allowed values", "#/depth"),
		invalid("an unknown kind of edit", post, path, scope(edit("polish", "RG-01", nil)),
			"allowed values", "#/edits/0/kind"),
		invalid("hours the wrong way round", post, path,
			scope(edit("hours", "RG-01", map[string]any{
				"hours": map[string]any{"low": "9", "likely": "5", "high": "1"},
			})),
			"", "#/edits/0/hours"),
	}
}

func badVersions(i openapi.Instrument, s openapi.Survey) []badInput {
	const put, del = http.MethodPut, http.MethodDelete
	path := "/v1/instruments/" + i.ID.String()
	finding := "/v1/surveys/" + s.ID.String() + "/findings/" + s.Findings[0].ID.String()
	return []badInput{
		{
			"no version named", put, path, wornGrand(), nil, 428, "precondition-required", nil,
			"If-Match",
		},
		{
			"no version named on striking", del, finding, nil, nil, 428, "precondition-required", nil,
			"If-Match",
		},
		{
			"a star names no version", put, path, wornGrand(),
			[]string{"If-Match: *"},
			428,
			"precondition-required", nil, "names no version",
		},
		{
			"a stale version", put, path, wornGrand(),
			[]string{`If-Match: "v9"`},
			412, "stale-version", nil,
			"read it again",
		},
		{
			"a stale version of the survey", del, finding, nil,
			[]string{`If-Match: "v9"`},
			412,
			"stale-version", nil, "read it again",
		},
		{
			"a weak tag", put, path, wornGrand(),
			[]string{`If-Match: W/"v1"`},
			412, "stale-version", nil,
			"read it again",
		},
		{
			"the tag of a lesser view", put, path, wornGrand(),
			[]string{`If-Match: "v1-plain"`},
			412,
			"stale-version", nil, "read it again",
		},
		{
			"a tag without quotes", put, path, wornGrand(),
			[]string{"If-Match: v1"},
			422, "validation",
			[]string{"#/header/If-Match"},
			"in quotes",
		},
		{
			"both conditions", put, path, wornGrand(),
			[]string{`If-Match: "v1"`, "If-None-Match: *"},
			422,
			"validation",
			[]string{"#/header/If-None-Match"},
			"one of them",
		},
		{
			"a condition that isn't a star", put, path, wornGrand(),
			[]string{`If-None-Match: "v1"`},
			422,
			"validation",
			[]string{"#/header/If-None-Match"},
			`"*"`,
		},
		{
			"what is there is not replaced", put, path,
			with(wornGrand(), map[string]any{"maker": "Somebody else"}),
			[]string{"If-None-Match: *"},
			412,
			"stale-version", nil, "not replaced",
		},
		{
			"a key without its closing quote", http.MethodPost, "/v1/instruments", wornGrand(),
			[]string{`Idempotency-Key: "abc`},
			422, "validation",
			[]string{"#/header/Idempotency-Key"},
			"quote",
		},
		{
			"a reason that is too long", put, path, wornGrand(),
			[]string{`If-Match: "v1"`, "Change-Reason: " + strings.Repeat("x", 201)},
			422, "validation",
			[]string{"#/header/Change-Reason"},
			"200",
		},
	}
}

func badAddresses(i openapi.Instrument) []badInput {
	const get = http.MethodGet
	return []badInput{
		invalid("an id that is none", get, "/v1/instruments/7", nil, "UUID", "#/path/id"),
		{
			"an id that nobody has", get, "/v1/instruments/01938f5e-7c1a-7e2b-9c3d-4e5f60718293", nil, nil,
			404, "not-found", nil, "instrument",
		},
		invalid("a page of nothing", get, "/v1/instruments?limit=0", nil, "", "#/query/limit"),
		invalid("a page of everything", get, "/v1/instruments?limit=201", nil, "", "#/query/limit"),
		invalid("a limit in words", get, "/v1/instruments?limit=many", nil, "", "#/query/limit"),
		invalid("an unknown filter", get, "/v1/instruments?colour=black",
			nil, "unknown parameter", "#/query/colour"),
		invalid("a maker of U+0000", get, "/v1/instruments?maker=%00", nil, "U+0000", "#/query/maker"),
		invalid("a serial number that is not UTF-8",
			get, "/v1/instruments?serial=%ff", nil, "UTF-8", "#/query/serial"),
		invalid("a semicolon behind a value", get, "/v1/instruments?sort=maker;",
			nil, "%3B", "#/query/sort"),
		invalid("a semicolon between parameters", get, "/v1/instruments?kind=grand;sort=maker&limit=2",
			nil, "separate parameters by &", "#/query/kind"),
		invalid("a semicolon in a name", get, "/v1/instruments?sort;limit=2", nil, "%3B", "#/query/sort"),
		invalid("a percent sign for itself", get, "/v1/instruments?maker=50%&sort=maker;",
			nil, "%25", "#/query/maker", "#/query/sort"),
		invalid("a parameter twice", get, "/v1/instruments?sort=maker&sort=serial",
			nil, "once", "#/query/sort"),
		invalid("a limit with a fraction", get, "/v1/instruments?limit=2.5", nil, "", "#/query/limit"),
		invalid("an unknown owner", get, "/v1/instruments?owner=me",
			nil, "allowed values", "#/query/owner"),
		{
			"a made-up cursor", get, "/v1/instruments?cursor=AAAA", nil, nil, 400, "malformed",
			[]string{"#/query/cursor"},
			"from this list",
		},
		invalid("a revision before the first",
			get, "/v1/catalogue/revisions/0", nil, "", "#/path/number"),
		{
			"an address that does not exist", get, "/v1/violins", nil, nil, 404, "not-found", nil,
			"nothing is at this address",
		},
		{
			"an address below one that does", get, "/v1/instruments/" + i.ID.String() +
				"/strings", nil, nil,
			404, "not-found", nil, "nothing is at this address",
		},
		{
			"a method that an address does not know", http.MethodPatch, "/v1/instruments/" +
				i.ID.String(),
			"{}", nil, 405, "method-not-allowed", nil, "Allow",
		},
	}
}

// JSON Schema counts 5.0 and 1e2 among the integers.
func TestAWholeNumberIsAnIntegerHoweverItIsWritten(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	plain := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", wornGrand()),
		http.StatusCreated)
	number := func(text string) json.RawMessage { return json.RawMessage(text) }
	written := with(wornGrand(), map[string]any{
		"size_mm": number("1.85e3"), "notes": number("88.0"), "year": number("191.10E+1"),
		"stringing": map[string]any{
			"last_single": number("8.000"), "last_pair": number("200e-1"), "covered": 28,
		},
	})
	got := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", written),
		http.StatusCreated)
	got.ID, got.CreatedAt = plain.ID, plain.CreatedAt
	if !reflect.DeepEqual(got, plain) {
		t.Errorf("got  %+v\nwant %+v", got, plain)
	}
	for _, text := range []string{"88.5", "8.85e1", "1e400", "88.0000001"} {
		a := owner.do(http.MethodPost, "/v1/instruments",
			with(wornGrand(), map[string]any{"notes": number(text)}))
		p := wantProblem(t, a, http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/notes" {
			t.Errorf("%s: got %+v, want #/notes named", text, p.Errors)
		}
	}
}

func TestAWrongMethodIsToldTheRightOnes(t *testing.T) {
	t.Parallel()
	c := openShop(t).as(domain.Owner)
	a := c.do(http.MethodDelete, "/v1/instruments/"+newID(t).String(), nil)
	wantProblem(t, a, http.StatusMethodNotAllowed, "method-not-allowed")
	allow := strings.Split(a.header.Get("Allow"), ", ")
	for _, method := range []string{http.MethodGet, http.MethodPut} {
		if !slices.Contains(allow, method) {
			t.Errorf("Allow is %q, want it to name %s", allow, method)
		}
	}
}

func TestABodyIsCutOffAtTheLimitWhateverItsLengthClaims(t *testing.T) {
	t.Parallel()
	s := openShop(t, func(c *api.Config) { c.BodyLimit = 100 })
	wantProblem(t, s.as(domain.Owner).do(http.MethodPost, "/v1/instruments", wornGrand()),
		http.StatusRequestEntityTooLarge, "too-large")
}
