package scope_test

import (
	"testing"

	"bentside/domain/domaintest"
	"bentside/domain/scope"
)

func TestAWaiverHoldsUntilALaterEditTakesItBack(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	edits := []scope.Edit{
		onTheWordOf("Ada Fernwood", "ST-02", scope.Elsewhere, "strung at Holm's"),
		onTheWordOf("Tomé Vale", "BD-02", scope.Done, "put in in 2019"),
		removeWhy("DA-01", "felts of last year"),
	}
	list := scope.WaiversOf(c, edits)
	want := []string{
		"New rest plank cut and fitted: done already, says Tomé Vale: put in in 2019",
		"String the plain wire: done elsewhere, says Ada Fernwood: strung at Holm's",
	}
	if len(list) != 2 || list[0].String() != want[0] || list[1].String() != want[1] {
		t.Errorf("got %v, want %v", list, want)
	}
	if list := scope.WaiversOf(c, append(edits, domaintest.Add("BD-02"))); len(list) != 1 {
		t.Errorf("added again, the plank is still left out: %v", list)
	}
}
