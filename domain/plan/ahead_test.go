package plan_test

import (
	"slices"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
	"bentside/domain/scope"
)

// What goes before a task is told in the order in which it would be done, each operation once,
// whether it was begun or not.
func TestWhatGoesBeforeATaskIsToldInTheOrderOfTheTrade(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	left := func(codes ...catalogue.Code) plan.QueuedWork {
		var q plan.QueuedWork
		for _, code := range codes {
			q.Scope.Lines = append(q.Scope.Lines, scope.Line{
				Operation: code, Name: c.Operation(code).Name, Chance: domaintest.Dec("1"),
			})
		}
		return q
	}
	ahead := func(q plan.QueuedWork, code catalogue.Code) []catalogue.Code {
		var list []catalogue.Code
		for _, x := range q.AheadOf(c, code) {
			if x.Name != c.Operation(x.Operation).Name || x.Why == "" {
				t.Errorf("%s: %+v", code, x)
			}
			list = append(list, x.Operation)
		}
		return list
	}
	all := left("KY-03", "KY-01", "AC-05", "ST-05", "AC-02", "RG-01")
	got := ahead(all, "RG-01")
	if len(got) != 5 || !slices.IsSortedFunc(got, func(a, b catalogue.Code) int {
		return c.Position(a) - c.Position(b)
	}) {
		t.Errorf("before the regulation comes %q, want all five in the catalogue's order", got)
	}
	begun := left("AC-01", "AC-02")
	begun.Begun = []catalogue.Code{"AC-01"}
	if got := ahead(begun, "AC-02"); !slices.Equal(got, []catalogue.Code{"AC-01"}) {
		t.Errorf("while the action is stripped, before its flanges comes %q, want the stripping", got)
	}
	if got := ahead(left("DS-01", "AC-02"), "AC-02"); !slices.Equal(got, []catalogue.Code{"DS-01"}) {
		t.Errorf("with nothing to strip, before the flanges comes %q, want the strip-down", got)
	}
	if got := ahead(all, "KY-01"); len(got) > 0 {
		t.Errorf("before the keys comes %q, want nothing that is left", got)
	}
}
