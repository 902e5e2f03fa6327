package problem_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/api/problem"
	"bentside/openapi"
)

func TestTheTypesOfProblemAreNamedOnce(t *testing.T) {
	t.Parallel()
	names := typeNames()
	slices.Sort(names)
	if len(slices.Compact(slices.Clone(names))) != len(names) {
		t.Errorf("a name stands twice in %q", names)
	}
}

func TestEveryRefusalInTheContractIsARegisteredProblem(t *testing.T) {
	t.Parallel()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	for name, response := range doc.Components.Responses {
		media := response.Value.Content.Get("application/problem+json")
		if media == nil {
			continue
		}
		example, _ := media.Example.(map[string]any)
		kind, _ := example["type"].(string)
		if !slices.Contains(typeNames(), strings.TrimPrefix(kind, problem.Path)) {
			t.Errorf("the example of %s has the type %q, which is not registered", name, kind)
		}
	}
}

func typeNames() []string {
	var names []string
	for _, t := range problem.Types {
		names = append(names, t.Name)
	}
	return names
}
