package openapi_test

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
)

// described fails the test unless a description is whole sentences.
func described(t *testing.T, at, description string) {
	t.Helper()
	if d := strings.TrimSpace(description); len(d) < 10 || !strings.HasSuffix(d, ".") &&
		!strings.HasSuffix(d, "?") {
		t.Errorf("%s must say in a sentence what it means, not %q", at, d)
	}
}

func TestEveryOperationAndParameterAndAnswerIsDescribed(t *testing.T) {
	t.Parallel()
	operations(load(t), func(_, _ string, o *openapi3.Operation) {
		described(t, o.OperationID, o.Description)
		if o.Summary == "" || strings.HasSuffix(o.Summary, ".") ||
			strings.Contains(o.Description, o.Summary) {
			t.Errorf("%s: the summary must be a title that the description doesn't repeat, not %q",
				o.OperationID, o.Summary)
		}
		for _, p := range o.Parameters {
			described(t, o.OperationID+" "+p.Value.Name, p.Value.Description)
		}
		for status, r := range o.Responses.Map() {
			if d := *r.Value.Description; !strings.HasSuffix(strings.TrimSpace(d), ".") {
				t.Errorf("%s %s must say what the answer is, not %q", o.OperationID, status, d)
			}
			for name, h := range r.Value.Headers {
				described(t, o.OperationID+" "+status+" "+name, h.Value.Description)
			}
		}
	})
}

var verbAndObject = regexp.MustCompile(`^[a-z]+([A-Z][a-z]+)+$`)

func TestEveryOperationIsNamedByAVerbAndItsObject(t *testing.T) {
	t.Parallel()
	operations(load(t), func(_, path string, o *openapi3.Operation) {
		if !verbAndObject.MatchString(o.OperationID) {
			t.Errorf(
				"%s: operationId must be verb and object, such as closeJob, not %s", path,
				o.OperationID,
			)
		}
	})
}

func TestEverySchemaIsDescribed(t *testing.T) {
	t.Parallel()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range slices.Sorted(maps.Keys(doc.Components.Schemas)) {
		s := doc.Components.Schemas[name]
		described(t, name, s.Value.Description)
		members(name, s.Value, func(at string, m *openapi3.SchemaRef) {
			if m.Ref == "" { // else the schema it refers to says it
				described(t, at, m.Value.Description)
			}
		})
	}
}

// members visits every property of a schema and of the schemas written inside it.
func members(at string, s *openapi3.Schema, visit func(at string, m *openapi3.SchemaRef)) {
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		visit(at+"."+name, s.Properties[name])
	}
	inside := maps.Clone(s.Properties)
	if inside == nil {
		inside = openapi3.Schemas{}
	}
	if s.Items != nil {
		inside["*"] = s.Items
	}
	if s.AdditionalProperties.Schema != nil {
		inside["{}"] = s.AdditionalProperties.Schema
	}
	for name, m := range inside {
		if m.Ref == "" {
			members(at+"."+name, m.Value, visit)
		}
	}
}
