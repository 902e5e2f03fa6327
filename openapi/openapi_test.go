package openapi_test

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"go.yaml.in/yaml/v3"
)

func load(tb testing.TB) *openapi3.T {
	tb.Helper()
	doc, err := openapi.Published()
	if err != nil {
		tb.Fatal(err)
	}
	return doc
}

func TestTheContractAndItsExamplesAreValid(t *testing.T) {
	t.Parallel()
	if err := load(t).Validate(context.Background(), openapi3.EnableExamplesValidation()); err != nil {
		t.Error(err)
	}
}

// The validator of 3.0 passes these over in silence, so that what they ask for would not be asked
// of any request.
var silent = []string{
	"const", "prefixItems", "dependentRequired", "dependentSchemas", "if", "then", "else", "contains",
	"minContains",
	"maxContains", "patternProperties", "propertyNames", "unevaluatedProperties", "unevaluatedItems",
	"$defs", "$dynamicRef",
}

func TestTheContractHoldsNoKeywordThatWouldBePassedOver(t *testing.T) {
	t.Parallel()
	var tree yaml.Node
	if err := yaml.Unmarshal(openapi.YAML, &tree); err != nil {
		t.Fatal(err)
	}
	walk(&tree, nil, func(path []string, key *yaml.Node) {
		isName := len(path) > 0 &&
			(path[len(path)-1] == "properties" || slices.Contains(path, "example"))
		if !isName && slices.Contains(silent, key.Value) {
			t.Errorf(
				"line %d: %s is not enforced where the contract is read as 3.0", key.Line,
				key.Value,
			)
		}
	})
}

// walk visits every key of a mapping with the keys above it.
func walk(n *yaml.Node, path []string, visit func(path []string, key *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		for _, child := range n.Content {
			walk(child, path, visit)
		}
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		visit(path, n.Content[i])
		walk(n.Content[i+1], append(slices.Clone(path), n.Content[i].Value), visit)
	}
}

// operations visits every operation of the contract.
func operations(doc *openapi3.T, visit func(method, path string, o *openapi3.Operation)) {
	for _, path := range doc.Paths.InMatchingOrder() {
		for method, o := range doc.Paths.Value(path).Operations() {
			visit(method, path, o)
		}
	}
}

func TestEveryBodyRefusesWhatItDoesNotKnowAndShowsAnExample(t *testing.T) {
	t.Parallel()
	operations(load(t), func(_, _ string, o *openapi3.Operation) {
		if o.RequestBody == nil {
			return
		}
		switch o.OperationID {
		case "importCatalogue", "openBooks": // archives, which their own reader bounds
			if media := o.RequestBody.Value.Content.Get("application/zip"); media == nil ||
				!o.RequestBody.Value.Required {
				t.Errorf("%s takes no archive", o.OperationID)
			}
			return
		}
		media := o.RequestBody.Value.Content.Get("application/json")
		if media == nil || !o.RequestBody.Value.Required {
			t.Fatalf("%s has a body that is optional or no JSON", o.OperationID)
		}
		schema := media.Schema.Value
		if o.OperationID != "putCatalogue" && schema.Example == nil { // a catalogue fills pages
			t.Errorf("%s shows no example of its body", o.OperationID)
		}
		closed(t, o.OperationID, schema, map[*openapi3.Schema]bool{})
	})
}

// closed fails the test where an object of an input takes unknown members.
func closed(t *testing.T, at string, s *openapi3.Schema, seen map[*openapi3.Schema]bool) {
	t.Helper()
	if seen[s] {
		return
	}
	seen[s] = true
	if s.Type.Is("object") && s.AdditionalProperties.Schema == nil &&
		(s.AdditionalProperties.Has == nil || *s.AdditionalProperties.Has) {
		t.Errorf("%s: an object takes members that are not described", at)
	}
	for name, p := range s.Properties {
		closed(t, at+"/"+name, p.Value, seen)
	}
	for _, p := range s.AllOf {
		closed(t, at, p.Value, seen)
	}
	if s.Items != nil {
		closed(t, at+"/*", s.Items.Value, seen)
	}
	if s.Type.Is("string") && s.MaxLength == nil && len(s.Enum) == 0 {
		t.Errorf("%s: a text without a greatest length", at)
	}
	if s.Type.Is("array") && s.MaxItems == nil {
		t.Errorf("%s: a list without a greatest length", at)
	}
	if s.Type.Is("number") {
		t.Errorf("%s: a JSON number that may have decimals", at)
	}
}

func TestEachKindOfWriteHasItsSafeguards(t *testing.T) {
	t.Parallel()
	withoutVersion := []string{"revokeToken"} // haste is the point
	operations(load(t), func(method, path string, o *openapi3.Operation) {
		has := func(header string) bool {
			return o.Parameters.GetByInAndName("header", header) != nil
		}
		switch method {
		case http.MethodPost:
			if !has("Idempotency-Key") {
				t.Errorf("%s takes no Idempotency-Key", o.OperationID)
			}
		case http.MethodPut, http.MethodDelete:
			if !has("If-Match") && !has("If-None-Match") &&
				!slices.Contains(withoutVersion, o.OperationID) {
				t.Errorf("%s asks for no version", o.OperationID)
			}
		case http.MethodGet:
			ok := o.Responses.Value("200")
			single := strings.HasSuffix(path, "}") && strings.HasPrefix(path, "/v1/")
			if single && ok.Value.Headers["ETag"] == nil {
				t.Errorf("%s shows a single thing without an ETag", o.OperationID)
			}
		}
		if _, described := o.Responses.Map()["500"]; strings.HasPrefix(path, "/v1/") && !described {
			t.Errorf("%s does not describe a fault of the service", o.OperationID)
		}
	})
}
