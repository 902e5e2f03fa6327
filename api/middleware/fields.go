package middleware

import (
	"errors"
	"fmt"
	"strings"

	"bentside/api/problem"
	"bentside/pricing/money"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
)

// collector collects the faults in the validator's errors.
type collector struct {
	problem.Fields
	closed map[string]bool // closed objects whose unknown members were added, by pointer
	// standIns are values that a wrong member may have had, by pointer: see rehearseOthers.
	standIns map[string][]any
}

// collect adds the faults in the validator's errors. Of a schema error only the reason is passed
// on, since its text holds the whole value and schema.
func (f *collector) collect(at string, err error) {
	switch e := err.(type) { //nolint:errorlint // the validator's errors form a tree, which is walked
	case nil:
	case openapi3.MultiError:
		for _, x := range e {
			f.collect(at, x)
		}
	case *openapi3filter.RequestError:
		if p := e.Parameter; p != nil {
			at = "#/" + p.In + "/" + problem.EscapePointer(p.Name)
		}
		if e.Err == nil {
			f.Add(at, "%s", e.Reason)
			return
		}
		f.collect(at, e.Err)
	case *openapi3filter.ParseError:
		f.Add(at, "must have the type that the contract says")
	case *openapi3.SchemaError:
		f.collectSchema(at, e)
	case interface{ Unwrap() error }: // from "allOf"
		f.collect(at, e.Unwrap())
	default:
		if errors.Is(err, openapi3filter.ErrInvalidRequired) {
			f.Add(at, "is missing")
			return
		}
		f.Add(at, "must be as the contract says")
	}
}

func (f *collector) collectSchema(at string, e *openapi3.SchemaError) {
	if e.SchemaField == "allOf" && e.Origin != nil {
		f.collect(at, e.Origin) // whose path is complete
		return
	}
	for _, key := range e.JSONPointer() {
		at += "/" + problem.EscapePointer(key)
	}
	if e.SchemaField == "properties" {
		f.addUnknown(at, e)
		return
	}
	f.Add(at, "%s", reasonOf(e))
	if e.SchemaField != "required" {
		f.addStandIns(at, e.Schema)
	} else if missing := e.Schema.Properties[last(e.JSONPointer())]; missing != nil {
		f.addStandIns(at, missing.Value)
	}
}

func last(path []string) string { return path[len(path)-1] }

// addUnknown adds the unknown members of a closed object. The validator reports only the object,
// and that once for each of them.
func (f *collector) addUnknown(at string, e *openapi3.SchemaError) {
	if f.closed[at] {
		return
	}
	if f.closed == nil {
		f.closed = map[string]bool{}
	}
	f.closed[at] = true
	object, _ := e.Value.(map[string]any)
	for name := range object {
		if _, known := e.Schema.Properties[name]; !known {
			f.Add(at+"/"+problem.EscapePointer(name), "unknown member")
		}
	}
}

// reasonOf returns what is wrong, in the contract's own words if it has some (x-rule).
func reasonOf(e *openapi3.SchemaError) string {
	if e.SchemaField == "required" {
		return "is missing"
	}
	if rule, ok := e.Schema.Extensions["x-rule"].(string); ok {
		return "must be " + rule
	}
	return e.Reason
}

// checkMeaning checks what a schema cannot: that an amount has the decimals of its currency, and
// that no text holds U+0000, which the database cannot store.
func checkMeaning(f *problem.Fields, at string, value any) {
	switch v := value.(type) {
	case string:
		if strings.ContainsRune(v, 0) {
			f.Add(at, "must not contain the character U+0000")
		}
	case []any:
		for i, x := range v {
			checkMeaning(f, fmt.Sprintf("%s/%d", at, i), x)
		}
	case map[string]any:
		checkAmount(f, at, v)
		for name, x := range v {
			if strings.ContainsRune(name, 0) {
				f.Add(at, "member names must not contain the character U+0000")
			}
			checkMeaning(f, at+"/"+problem.EscapePointer(name), x)
		}
	}
}

// checkAmount checks an object that looks like an amount of money.
func checkAmount(f *problem.Fields, at string, object map[string]any) {
	text, isText := object["amount"].(string)
	code, isCode := object["currency"].(string)
	if !isText || !isCode || len(object) != 2 {
		return
	}
	currency, err := money.ParseCurrency(code)
	if err != nil {
		f.Add(at+"/currency", "must be an ISO 4217 code with minor units, such as \"EUR\"")
		return
	}
	var syntax *money.SyntaxError
	// the schema reports a wrong form
	if _, err := money.Parse(text, currency); err != nil && !errors.As(err, &syntax) {
		f.Add(at+"/amount", "%v", err)
	}
}
