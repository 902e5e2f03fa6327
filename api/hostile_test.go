package api_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// hostile lists values that replace each part of every body, one at a time: wrong types, and
// extremes of the right ones.
var hostile = []json.RawMessage{
	json.RawMessage(`null`), json.RawMessage(`true`), json.RawMessage(`[]`), json.RawMessage(`{}`),
	json.RawMessage(`[[[[]]]]`), json.RawMessage(`0`), json.RawMessage(`-1`), json.RawMessage(`1.5`),
	json.RawMessage(`2147483648`), json.RawMessage(`1e400`), json.RawMessage(`""`),
	json.RawMessage(`"0"`), json.RawMessage(`"0.000001"`), json.RawMessage(`"99999999999999.999999"`),
	json.RawMessage(`"-99999999999999"`), json.RawMessage(`"NaN"`), json.RawMessage(`"1"`),
	json.RawMessage(`"a\u0000b"`), json.RawMessage(`"\ud800"`), json.RawMessage(`"0001-01-01"`),
	json.RawMessage(`"9999-12-31"`), json.RawMessage(`"2026-11-25T00:00:60Z"`),
	json.RawMessage(`"` + strings.Repeat("ü", 300) + `"`),
}

// everyHostile says that each part of each example is replaced by each hostile value, and not by a
// third of them in turn.
var everyHostile = flag.Bool("hostile", false, "try every hostile value everywhere")

// TestNoBodyMakesAFaultOfTheService replaces each part of the contract's own examples by hostile
// values. Every answer keeps the contract, and none is a failure of the service.
func TestNoBodyMakesAFaultOfTheService(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, s := surveyedOurs(t, owner)
	scope := want[openapi.Scope](t,
		owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
			map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	accepted := want[openapi.Scope](t,
		owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
			map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	job := want[openapi.Job](t, owner.do(http.MethodPost, "/v1/jobs",
		map[string]any{"scope": accepted.ID, "accepted_on": "2026-11-25"}), http.StatusCreated)
	bid := want[openapi.Bid](t,
		owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/bids", map[string]any{
			"survey": s.ID,
			"ways": []any{
				map[string]any{"depth": "recondition", "sale_price": amount("12000.00")},
			},
		}), http.StatusCreated)
	class := newID(t).String()
	want[openapi.PartClass](t, owner.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "felt", "method": "moving_average"}, "If-None-Match: *"),
		http.StatusCreated)
	part := partOf(t, owner, class, "F-1")
	want[openapi.StockMove](t, owner.do(http.MethodPost, part+"/moves", map[string]any{
		"kind": "receipt", "quantity": "1000", "value": amount("50.00"),
	}), http.StatusCreated)
	sent := 0
	for _, o := range closingLast(contractOperations(t)) {
		if o.RequestBody == nil || o.OperationID == "putCatalogue" ||
			o.RequestBody.Value.Content.Get("application/json") == nil {
			continue
		}
		path := strings.NewReplacer(
			"/v1/instruments/{id}", "/v1/instruments/"+i.ID.String(),
			"/v1/surveys/{id}", "/v1/surveys/"+s.ID.String(),
			"/v1/scopes/{id}", "/v1/scopes/"+scope.ID.String(),
			"/v1/jobs/{id}", "/v1/jobs/"+job.ID.String(),
			"/v1/bids/{id}", "/v1/bids/"+bid.ID.String(),
			"/v1/parts/{id}/moves", part+"/moves",
			"{operation}", job.Tasks[0].Operation, "{finding}", newID(t).String(),
			"{suspension}", newID(t).String(), "{id}", newID(t).String(),
		).Replace(o.path)
		schema := o.RequestBody.Value.Content.Get("application/json").Schema.Value
		example := with(schema.Example.(map[string]any), nil)
		if _, asks := example["survey"]; asks {
			example["survey"] = s.ID.String()
		}
		if _, asks := example["job"]; asks {
			example["job"] = job.ID.String()
		}
		if _, asks := example["class"]; asks {
			example["class"] = class
		}
		headers := []string{`If-Match: "v1"`}
		if o.Parameters.GetByInAndName("header", "If-Match") == nil {
			headers = []string{"If-None-Match: *"}
		}
		for place, at := range paths(example, nil) {
			for turn, value := range hostile {
				if !*everyHostile && (place+turn)%3 != 0 {
					continue
				}
				body := replaced(example, at, value)
				a := owner.do(o.method, path, body, headers...)
				if tag := a.header.Get("ETag"); tag != "" &&
					strings.HasPrefix(headers[0], "If-Match") {
					// it was accepted, so this is the version to change next
					headers[0] = "If-Match: " + tag
				}
				if sent++; a.status >= http.StatusInternalServerError {
					t.Errorf("%s with %s at %v: %d %s", o.OperationID, value, at, a.status, a.body)
				}
			}
		}
	}
	// Whatever was accepted can be computed with.
	for _, path := range []string{"/estimate", "/dates", ""} {
		if a := owner.do(http.MethodGet, "/v1/scopes/"+scope.ID.String()+path,
			nil); a.status >= http.StatusInternalServerError {
			t.Errorf("afterwards %s of the scope: %d %s", path, a.status, a.body)
		}
	}
	t.Logf("%d requests", sent)
}

// TestNoQueryMakesAFaultOfTheService gives each parameter of each GET each hostile value.
func TestNoQueryMakesAFaultOfTheService(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	job := jobUnderWay(t, owner)
	there := strings.NewReplacer(
		"/v1/instruments/{id}", "/v1/instruments/"+job.Instrument.String(), "/v1/scopes/{id}",
		"/v1/scopes/"+job.Scope.String(), "/v1/jobs/{id}", "/v1/jobs/"+
			job.ID.String(), "{operation}",
		job.Tasks[0].Operation, "{number}", "1", "{id}", newID(t).String(),
	)
	sent := 0
	for _, o := range contractOperations(t) {
		if o.method != http.MethodGet {
			continue
		}
		for _, p := range o.Parameters {
			if p.Value.In != "query" {
				continue
			}
			for _, value := range []string{
				"", "%00", "%ff", "0", "-1", "0.0000001", "9999999", "99999999999999999999", "1e9", "NaN", "a",
				"%3D1", "2026-02-30", strings.Repeat("x", 5000),
			} {
				path := there.Replace(o.path) + "?" + p.Value.Name + "=" + value
				if a := owner.do(o.method, path, nil); a.status >= http.StatusInternalServerError {
					t.Errorf("%s?%s=%.20s: %d %s", o.OperationID, p.Value.Name, value, a.status, a.body)
				}
				sent++
			}
		}
	}
	if sent < 200 {
		t.Errorf("%d requests prove little", sent)
	}
}

// closingLast moves closing the job to the end, since a closed job refuses other changes.
func closingLast(list []contractOperation) []contractOperation {
	slices.SortStableFunc(list, func(a, b contractOperation) int {
		last := func(o contractOperation) int {
			if o.OperationID == "closeJob" {
				return 1
			}
			return 0
		}
		return last(a) - last(b)
	})
	return list
}

// paths returns the path to each part of a decoded JSON value.
func paths(value any, at []string) [][]string {
	list := [][]string{}
	if len(at) > 0 {
		list = append(list, at)
	}
	switch v := value.(type) {
	case map[string]any:
		for name, x := range v {
			list = append(list, paths(x, append(slices.Clone(at), name))...)
		}
	case []any:
		for i, x := range v[:min(len(v), 1)] {
			list = append(list, paths(x, append(slices.Clone(at), fmt.Sprint(i)))...)
		}
	}
	return list
}

// replaced returns a copy of a decoded JSON value with one part replaced.
func replaced(value any, at []string, by any) any {
	if len(at) == 0 {
		return by
	}
	switch v := value.(type) {
	case map[string]any:
		return with(v, map[string]any{at[0]: replaced(v[at[0]], at[1:], by)})
	case []any:
		list := slices.Clone(v)
		list[0] = replaced(list[0], at[1:], by)
		return list
	}
	return value
}
