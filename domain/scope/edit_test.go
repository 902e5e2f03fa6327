package scope_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
)

// threePoint returns hours written "low likely high".
func threePoint(text string) *catalogue.ThreePoint {
	f := strings.Fields(text)
	return &catalogue.ThreePoint{
		Low: domaintest.Dec(f[0]), Likely: domaintest.Dec(f[1]), High: domaintest.Dec(f[2]),
	}
}

// The last figure that is taken, and the first that isn't.
func TestAnEditIsTakenUpToItsLimitsAndNoFurther(t *testing.T) {
	t.Parallel()
	hours := func(text string) scope.Edit {
		return scope.Edit{Kind: scope.SetHours, Operation: "TU-01", Hours: threePoint(text)}
	}
	quantity := func(q string) scope.Edit {
		d := domaintest.Dec(q)
		return scope.Edit{Kind: scope.SetQuantity, Operation: "TU-01", Quantity: &d}
	}
	making := func(code catalogue.Code, m catalogue.Making) scope.Edit {
		return scope.Edit{Kind: scope.SetMaking, Operation: code, Making: m}
	}
	word := func(set func(*scope.Edit)) scope.Edit {
		e := onTheWordOf("A. Marsh", "DS-01", scope.Kept, "the action is new")
		set(&e)
		return e
	}
	for _, row := range []struct {
		name  string
		edit  scope.Edit
		fault string // of which field; empty: none
	}{
		{"no hours at all", hours("0 0 0"), ""},
		{"hours without a range", hours("2 2 2"), ""},
		{"the most hours", hours("1 2 100000"), ""},
		{"more than that", hours("1 2 100000.01"), "hours"},
		{"the lowest above the likely", hours("2.01 2 3"), "hours"},
		{"the likely above the highest", hours("1 3.01 3"), "hours"},
		{"hours below none", hours("-0.01 2 3"), "hours"},
		{"none counted", quantity("0"), ""},
		{"the most counted", quantity("100000"), ""},
		{"more counted", quantity("100000.5"), "quantity"},
		{"fewer than none", quantity("-1"), "quantity"},
		{"a quantity that isn't given", scope.Edit{Kind: scope.SetQuantity, Operation: "TU-01"}, "quantity"},
		{"never", chance("TU-01", "0"), ""},
		{"always", chance("TU-01", "1"), ""},
		{"more than always", chance("TU-01", "1.001"), "chance"},
		{"less than never", chance("TU-01", "-0.001"), "chance"},
		{"a chance that isn't given", scope.Edit{Kind: scope.SetChance, Operation: "TU-01"}, "chance"},
		{"sent out at a firm's price", making("AC-07", catalogue.Outside), ""},
		{"kept in house all the same", making("AC-07", catalogue.InHouse), ""},
		{"sent out where no firm asks a price", making("BD-02", catalogue.Outside), "making"},
		{"sent out what is only done here", making("ST-02", catalogue.Outside), "making"},
		{"done here what only a firm does", making("FR-06", catalogue.InHouse), "making"},
		{"done there", making("FR-06", catalogue.Outside), ""},
		{"somebody answers", word(func(*scope.Edit) {}), ""},
		{"done already", word(func(e *scope.Edit) { e.Because = scope.Done }), ""},
		{"done elsewhere", word(func(e *scope.Edit) { e.Because = scope.Elsewhere }), ""},
		{"for a ground of their own", word(func(e *scope.Edit) { e.Because = "tired" }), "because"},
		{"without a ground", word(func(e *scope.Edit) { e.Because = "" }), "because"},
		{"nobody answers", word(func(e *scope.Edit) { e.By = "" }), "by"},
		{"the longest name", word(func(e *scope.Edit) { e.By = strings.Repeat("ä", domain.MaxName) }), ""},
		{"a longer one", word(func(e *scope.Edit) { e.By = strings.Repeat("a", domain.MaxName+1) }), "by"},
		{"without what is known", word(func(e *scope.Edit) { e.Why = "" }), "why"},
		{"an addition on somebody's word", word(func(e *scope.Edit) { e.Kind = scope.AddOperation }), "kind"},
		{"a part to its own depth", partDepth(catalogue.BellyPart, catalogue.Restore), ""},
		{"a part that a piano doesn't have", partDepth("pipes", catalogue.Restore), "part"},
		{"a depth that isn't", partDepth(catalogue.BellyPart, "ruin"), "depth"},
		{"a suggestion", scope.Edit{Kind: scope.TakeSuggestion, Rule: "remark"}, ""},
		{"a rule that does more than suggest", scope.Edit{Kind: scope.TakeSuggestion, Rule: "split"}, "rule"},
		{"a rule that isn't", scope.Edit{Kind: scope.TakeSuggestion, Rule: "whim"}, "rule"},
	} {
		c := plankShop()
		for i := range c.Operations {
			switch op := &c.Operations[i]; op.Code {
			case "AC-07":
				op.Making, op.Buying = catalogue.Either, &catalogue.Buying{}
			case "BD-02":
				op.Making = catalogue.Either
			case "ST-02":
				op.Making, op.Buying = catalogue.InHouse, &catalogue.Buying{}
			case "FR-06":
				op.Making, op.Buying = catalogue.Outside, &catalogue.Buying{}
			}
		}
		err := scope.CheckEdits(c, catalogue.Grand, []scope.Edit{row.edit})
		f := domaintest.FaultOf(err)
		if row.fault == "" {
			if err != nil {
				t.Errorf("%s: %v", row.name, err)
			}
			continue
		}
		if f == nil || len(f.Fields) != 1 || f.Fields[0].Pointer != "#/edits/0/"+row.fault {
			t.Errorf("%s: %v, want one fault of %s", row.name, err, row.fault)
		}
	}
}
