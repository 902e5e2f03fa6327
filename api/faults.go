package api

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"bentside/domain/money"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
)

// fieldFaults collects what is wrong with a request.
type fieldFaults []openapi.FieldProblem

func (f *fieldFaults) add(pointer, format string, args ...any) {
	*f = append(*f, openapi.FieldProblem{Pointer: pointer, Detail: fmt.Sprintf(format, args...)})
}

// sorted is every fault once, in the order of the pointers.
func (f fieldFaults) sorted() []openapi.FieldProblem {
	slices.SortFunc(f, func(a, b openapi.FieldProblem) int {
		return cmp.Or(cmp.Compare(a.Pointer, b.Pointer), cmp.Compare(a.Detail, b.Detail))
	})
	return slices.Compact(f)
}

// collect takes the validator's errors apart. Only the reason of a schema error
// is passed on: its text holds the whole value and schema.
func (f *fieldFaults) collect(at string, err error) {
	switch e := err.(type) { //nolint:errorlint // the validator's errors form a tree, which is walked
	case nil:
	case openapi3.MultiError:
		for _, x := range e {
			f.collect(at, x)
		}
	case *openapi3filter.RequestError:
		if p := e.Parameter; p != nil {
			at = "#/" + p.In + "/" + escapePointer(p.Name)
		}
		if e.Err == nil {
			f.add(at, "%s", e.Reason)
			return
		}
		f.collect(at, e.Err)
	case *openapi3filter.ParseError:
		f.add(at, "cannot be read as what it should be")
	case *openapi3.SchemaError:
		f.collectSchema(at, e)
	case interface{ Unwrap() error }: // what "allOf" collects
		f.collect(at, e.Unwrap())
	default:
		if errors.Is(err, openapi3filter.ErrInvalidRequired) {
			f.add(at, "is missing")
			return
		}
		f.add(at, "is not as the contract has it")
	}
}

func (f *fieldFaults) collectSchema(at string, e *openapi3.SchemaError) {
	if e.SchemaField == "allOf" && e.Origin != nil {
		f.collect(at, e.Origin) // which holds the whole path again
		return
	}
	for _, key := range e.JSONPointer() {
		at += "/" + escapePointer(key)
	}
	if e.SchemaField == "properties" {
		f.addUnknown(at, e)
		return
	}
	f.add(at, "%s", reasonOf(e))
}

// addUnknown names the members that a closed object does not have: the
// validator reports the object that they are in, once for each.
func (f *fieldFaults) addUnknown(at string, e *openapi3.SchemaError) {
	object, _ := e.Value.(map[string]any)
	for name := range object {
		if _, known := e.Schema.Properties[name]; !known {
			f.add(at+"/"+escapePointer(name), "there is no such member")
		}
	}
}

// reasonOf says what is wrong in the contract's own words where it has some.
func reasonOf(e *openapi3.SchemaError) string {
	if e.SchemaField == "required" {
		return "is missing"
	}
	if rule, ok := e.Schema.Extensions["x-rule"].(string); ok {
		return "must be " + rule
	}
	return e.Reason
}

// checkMeaning checks what a schema cannot: that an amount has the decimals of
// its currency, and that no text holds U+0000, which the database has no place
// for.
func (f *fieldFaults) checkMeaning(at string, value any) {
	switch v := value.(type) {
	case string:
		if strings.ContainsRune(v, 0) {
			f.add(at, "must not hold the character U+0000")
		}
	case []any:
		for i, x := range v {
			f.checkMeaning(fmt.Sprintf("%s/%d", at, i), x)
		}
	case map[string]any:
		f.checkAmount(at, v)
		for name, x := range v {
			if strings.ContainsRune(name, 0) {
				f.add(at, "a name must not hold the character U+0000")
			}
			f.checkMeaning(at+"/"+escapePointer(name), x)
		}
	}
}

// checkAmount checks an object of the form of an amount.
func (f *fieldFaults) checkAmount(at string, object map[string]any) {
	text, isText := object["amount"].(string)
	code, isCode := object["currency"].(string)
	if !isText || !isCode || len(object) != 2 {
		return
	}
	currency, err := money.ParseCurrency(code)
	if err != nil {
		f.add(at+"/currency", "must be an ISO 4217 code with minor units, such as \"EUR\"")
		return
	}
	var syntax *money.SyntaxError
	if _, err := money.Parse(text, currency); err != nil && !errors.As(err, &syntax) { // the schema tells the form
		f.add(at+"/amount", "%v", err)
	}
}

// escapePointer writes a name as a part of a JSON pointer (RFC 6901).
func escapePointer(name string) string {
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(name)
}
