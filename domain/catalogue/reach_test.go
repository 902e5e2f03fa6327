package catalogue_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

// A row that nothing leads to is dead weight, or a slip of the pen in the row that should.
func TestEveryShippedRowCanBeReached(t *testing.T) {
	t.Parallel()
	for _, row := range unreached(shipped(t)) {
		t.Errorf("no rule, companion or choice ever leads to %s", row)
	}
}

func TestARowThatNothingLeadsToIsNamed(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	op := *c.Operation("BD-02")
	op.Code = "BD-99"
	lone := catalogue.Choice{Group: "LONE", Options: c.Choices[0].Options}
	point := *c.Point("SV-13")
	point.Code, point.Marks = "SV-99", nil
	late := catalogue.Companion{ID: "late", When: "BD-99"}
	for want, add := range map[string]func(*catalogue.Catalogue){
		"operations BD-99": func(c *catalogue.Catalogue) { c.Operations = with(c.Operations, op) },
		"choices LONE":     func(c *catalogue.Catalogue) { c.Choices = with(c.Choices, lone) },
		"points SV-99":     func(c *catalogue.Catalogue) { c.Points = with(c.Points, point) },
		"companions late": func(c *catalogue.Catalogue) {
			c.Companions = with(c.Companions,
				late)
		},
	} {
		longer := &catalogue.Catalogue{
			Operations: c.Operations, Choices: c.Choices, Points: c.Points,
			Companions: c.Companions, Rules: c.Rules, Materials: c.Materials,
		}
		add(longer)
		if got := unreached(longer); !slices.Contains(got, want) {
			t.Errorf("got %q, want %s among them", got, want)
		}
	}
}

// with returns rows with one more behind them.
func with[T any](rows []T, row T) []T { return append(slices.Clone(rows), row) }

// unreached returns the operations, choices and companions to which no way leads, and the points
// that nothing looks at. A rule leads to what it calls for or suggests, an option to its
// operations, an operation to what its companions bring. Once one option of a choice is reached the
// buyer can take any other.
func unreached(c *catalogue.Catalogue) []string {
	reached := map[string]bool{} // codes and groups
	var reach func([]catalogue.Call)
	operations := func(codes []catalogue.Code) {
		for _, code := range codes {
			reach([]catalogue.Call{{Operation: code}})
		}
	}
	reach = func(calls []catalogue.Call) {
		for _, call := range calls {
			name := string(call.Operation) + call.Group
			if reached[name] {
				continue
			}
			reached[name] = true
			for _, k := range c.CompanionsOf(call.Operation) {
				reach(k.Calls)
			}
			if choice := c.Choice(call.Group); choice != nil {
				for _, o := range choice.Options {
					operations(o.Operations)
				}
			}
		}
	}
	for _, r := range c.Rules {
		reach(r.Calls)
	}
	var list []string
	for _, o := range c.Operations {
		if !reached[string(o.Code)] {
			list = append(list, "operations "+string(o.Code))
		}
	}
	for _, choice := range c.Choices {
		if !reached[choice.Group] {
			list = append(list, "choices "+choice.Group)
		}
	}
	for _, k := range c.Companions {
		if !reached[string(k.When)] {
			list = append(list, "companions "+k.ID)
		}
	}
	asked := conditionsOf(c)
	for _, p := range c.Points {
		// A text is kept for the record; a mark is looked at by the program.
		if p.Type != catalogue.Text && len(p.Marks) == 0 &&
			!strings.Contains(asked, string(p.Code)) {
			list = append(list, "points "+string(p.Code))
		}
	}
	return list
}

// conditionsOf returns every condition of the catalogue in one text.
func conditionsOf(c *catalogue.Catalogue) string {
	var b strings.Builder
	say := func(cond catalogue.Condition) { b.WriteString(string(cond) + "\n") }
	for _, r := range c.Rules {
		say(r.When)
	}
	for _, k := range c.Companions {
		say(k.If)
	}
	for _, m := range c.Materials {
		say(m.When)
	}
	for _, choice := range c.Choices {
		for _, o := range choice.Options {
			say(o.Refused)
		}
	}
	return b.String()
}
