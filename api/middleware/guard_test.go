package middleware_test

import (
	"slices"
	"testing"

	"bentside/api/middleware"
	"bentside/openapi"
)

func TestTheGuardKnowsEveryOperationAndNoOther(t *testing.T) {
	t.Parallel()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, item := range doc.Paths.Map() {
		for _, o := range item.Operations() {
			if o.Security == nil || len(*o.Security) > 0 { // not open to everybody
				want = append(want, o.OperationID)
			}
		}
	}
	slices.Sort(want)
	if got := middleware.GuardedOperations(); !slices.Equal(got, want) {
		t.Errorf("the guard differs from the contract\ngot  %q\nwant %q", got, want)
	}
}
