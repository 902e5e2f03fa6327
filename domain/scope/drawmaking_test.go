package scope_test

import (
	"encoding/json"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
)

// Who does a line changes its hours and its price and no other work, so a scope drawn with it is
// the one that drawing all anew gives.
func TestWhoDoesALineChangesNoOtherWork(t *testing.T) {
	t.Parallel()
	in := domaintest.Inputs(t, catalogue.Restore)
	s, err := in.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, l := range s.Lines {
		op := scope.JobOperation(in.Catalogue, l)
		if op == nil || op.Making != catalogue.Either {
			continue
		}
		tried++
		quick, err := in.DrawMaking(s, l.Operation, catalogue.Outside)
		if err != nil {
			t.Fatal(err)
		}
		anew, err := in.DrawAdding(scope.Edit{
			Kind: scope.SetMaking, Operation: l.Operation, Making: catalogue.Outside,
		})
		if err != nil {
			t.Fatal(err)
		}
		a, err := json.Marshal(quick)
		if err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(anew)
		if err != nil {
			t.Fatal(err)
		}
		if string(a) != string(b) {
			t.Errorf("%s outside, quickly:\n%s\nanew:\n%s", l.Operation, a, b)
		}
	}
	if tried < 2 {
		t.Errorf("only %d lines can be done either way", tried)
	}
}
