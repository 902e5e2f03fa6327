package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/api/problem"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
)

// contractOperation is an operation of the contract.
type contractOperation struct {
	method, path string
	*openapi3.Operation
}

func (o contractOperation) public() bool { return o.Security != nil && len(*o.Security) == 0 }

func contractOperations(tb testing.TB) []contractOperation {
	tb.Helper()
	doc, err := openapi.Load()
	if err != nil {
		tb.Fatal(err)
	}
	var list []contractOperation
	for _, path := range doc.Paths.InMatchingOrder() {
		for method, o := range doc.Paths.Value(path).Operations() {
			list = append(list, contractOperation{method, path, o})
		}
	}
	slices.SortFunc(list, func(a, b contractOperation) int {
		return strings.Compare(a.OperationID, b.OperationID)
	})
	return list
}

func TestEveryRouteIsInTheContractAndEveryOperationHasItsRoute(t *testing.T) {
	t.Parallel()
	var want []string
	for _, o := range contractOperations(t) {
		want = append(want, o.method+" "+strings.NewReplacer("{", ":", "}", "").Replace(o.path))
	}
	slices.Sort(want)
	if got := openShop(t).door.Routes(); !slices.Equal(got, want) {
		t.Errorf("routes differ from the contract\ngot  %q\nwant %q", got, want)
	}
}

func TestEveryRefusalInTheContractIsAProblem(t *testing.T) {
	t.Parallel()
	for _, o := range contractOperations(t) {
		for status, response := range o.Responses.Map() {
			if status >= "400" && response.Value.Content.Get("application/problem+json") == nil {
				t.Errorf("%s answers %s with something else than a problem", o.OperationID, status)
			}
		}
	}
}

func TestEachTypeOfProblemHasItsPage(t *testing.T) {
	t.Parallel()
	nobody := newClient(t, openShop(t).url, "")
	for _, p := range problem.Types {
		page := nobody.do(http.MethodGet, "/problems/"+p.Name, nil)
		if page.status != http.StatusOK ||
			!strings.HasPrefix(page.header.Get("Content-Type"), "text/plain") || len(page.body) < 40 {
			t.Errorf("the page of %s: %d %q %q", p.Name, page.status, page.header.Get("Content-Type"),
				page.body)
		}
	}
	wantProblem(t, nobody.do(http.MethodGet, "/problems/none-such", nil),
		http.StatusNotFound, "not-found")
}
