package problem_test

import (
	"strings"
	"testing"

	"bentside/api/problem"
	"bentside/openapi"
)

// The problems that the contract shows as examples have the titles that are really sent.
func TestTheContractsExamplesOfProblemsHaveTheTitlesThatAreSent(t *testing.T) {
	t.Parallel()
	doc := string(openapi.YAML)
	shown := 0
	for _, typ := range problem.Types {
		if !strings.Contains(doc, "type: /problems/"+typ.Name+",") {
			continue
		}
		shown++
		at := doc[strings.Index(doc, "type: /problems/"+typ.Name+","):]
		at = strings.Join(strings.Fields(at[:min(len(at), 200)]), " ")
		if !strings.Contains(at, typ.Title) {
			t.Errorf("the example of %s doesn't have the title %q: %s", typ.Name, typ.Title, at)
		}
	}
	if shown < 8 {
		t.Errorf("only %d types of problem are shown in the contract", shown)
	}
}
