package caution_test

import (
	"strings"
	"testing"

	"bentside/domain/caution"
	"bentside/domain/scope"
)

func TestTheDescriptionSaysWhatWasLeftOutAndOnWhoseWord(t *testing.T) {
	t.Parallel()
	list := caution.LeftOut([]scope.Waiver{
		{
			Operation: "BD-02", Name: "New rest plank", Because: scope.Done, By: "Tomé Vale",
			Why: "put in in 2019",
		},
		{
			Operation: "ST-02", Name: "String the plain wire", Because: scope.Kept, By: "Ada Fernwood",
			Why: "strung last year",
		},
	})
	if len(list) != 1 || list[0].Key != "description" || len(list[0].Operations) != 2 {
		t.Fatalf("got %+v, want one caution on the description", list)
	}
	for _, want := range []string{
		"New rest plank: done already, says Tomé Vale: put in in 2019.",
		"String the plain wire: kept as it is, says Ada Fernwood: strung last year.",
	} {
		if !strings.Contains(list[0].Says, want) {
			t.Errorf("%q doesn't say %q", list[0].Says, want)
		}
	}
	if list := caution.LeftOut(nil); len(list) != 0 {
		t.Errorf("nothing was left out, and the description says %+v", list)
	}
}
