package catalogue_test

import (
	"fmt"
	"slices"
	"testing"

	"bentside/domain/catalogue"
)

// A rule is told apart by the parts of what it calls for, and its terms about depth are answered
// for each.
func TestRulesAreWrittenForTheDepthOfEachPart(t *testing.T) {
	t.Parallel()
	c := &catalogue.Catalogue{
		Operations: []catalogue.Operation{
			{
				Code: "CS-01", Phase: "casework",
			}, {
				Code: "AC-01", Phase: "action",
			}, {Code: "KY-01", Phase: "keys"}, {Code: "TU-01", Phase: "tuning"},
		},
		Choices: []catalogue.Choice{{Group: "FINISH", Options: []catalogue.Option{
			{Name: "keep", Refused: "depth:restore", RefusedWhy: "worn"}, {
				Name: "new", Operations: []catalogue.Code{"CS-01"},
				Refused: "depth:as_found|op:KY-01", RefusedWhy: "late",
			},
		}}},
		Companions: []catalogue.Companion{
			{ID: "strip", When: "KY-01", If: "!depth:as_found;kind:grand"},
			{ID: "cover", When: "CS-01", If: "!depth:as_found"},
		},
	}
	calls := func(list ...string) (out []catalogue.Call) {
		for _, code := range list {
			out = append(out, catalogue.Call{Operation: catalogue.Code(code)})
		}
		return out
	}
	all := catalogue.Depths
	c.Rules = []catalogue.Rule{
		{ID: "each", Depths: all, When: "always", Calls: calls("CS-01", "AC-01", "TU-01")},
		{
			ID: "restored", Depths: all[2:], When: "kind:grand",
			Calls: append(calls("KY-01"), catalogue.Call{Group: "FINISH", Option: "new"}),
		},
		{
			ID: "either", Depths: all, When: "depth:restore;op:TU-01|depth:as_found",
			Calls: calls("CS-01", "TU-01"),
		},
		{ID: "remark", Depths: all[1:2], When: "!depth:restore", Suggest: true},
	}
	mixed := c.AtDepths(
		catalogue.Recondition,
		map[catalogue.Part]catalogue.Depth{
			catalogue.CasePart: catalogue.Restore, catalogue.ActionPart: catalogue.AsFound,
		},
	)
	var got []string
	for _, r := range mixed.Rules {
		got = append(got, fmt.Sprintf("%s %v %q %v", r.ID, r.Depths, r.When, r.Calls))
	}
	want := []string{
		`each [recondition] "always" [{AC-01  }]`, // the action as found
		`each [recondition] "always" [{TU-01  }]`, // what isn't a part's follows the scope
		`each [recondition] "always" [{CS-01  }]`, // the case restored
		`restored [recondition] "kind:grand" [{ FINISH new}]`,
		`either [recondition] "op:TU-01" [{CS-01  }]`,
		`remark [recondition] "always" []`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%v\nwant\n%v", got, want)
	}
	if len(mixed.Companions) != 1 || mixed.Companions[0].ID != "cover" ||
		mixed.Companions[0].If != "" {
		t.Errorf(
			"companions %v: keys as found strip nothing down, and a case restored is covered whatever else holds",
			mixed.Companions,
		)
	}
	options := mixed.Choices[0].Options
	if options[0].Refused != "always" || options[1].Refused != "op:KY-01" {
		t.Errorf(
			"refusals %q and %q, want the first always and the second by the keys alone",
			options[0].Refused, options[1].Refused,
		)
	}
	if c.Choices[0].Options[0].Refused != "depth:restore" || len(c.Rules) != 4 {
		t.Error("the catalogue itself has changed")
	}
	if c.AtDepths(catalogue.Restore, nil) != c {
		t.Error("without parts it is another catalogue")
	}
}
