package catalogue_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
)

// What a rule of a depth calls for on an instrument, nobody may be kept from adding to it by hand:
// no fact that speaks against an operation goes with a rule that calls for it.
func TestNoFactSpeaksAgainstWorkThatARuleCallsForOnIt(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	list, err := catalogue.Contraries()
	if err != nil {
		t.Fatal(err)
	}
	if len(list) == 0 {
		t.Fatal("the table is empty")
	}
	severity := func(p catalogue.PointCode, answer string) catalogue.Severity {
		for _, a := range c.Point(p).Answers {
			if a.Name == answer {
				return a.Severity
			}
		}
		return catalogue.Unknown
	}
	called := 0
	for _, covering := range []string{"", "ivory", "plastic", "celluloid", "bone"} {
		for _, action := range []string{"", "roller", "tied", "obsolete"} {
			for _, decorated := range []bool{false, true} {
				for _, cover := range []string{"", "ivory", "plastic", "celluloid", "bone"} {
					for _, works := range []string{"", "roller", "tied", "obsolete", "obsolete_failed"} {
						if contradicts(covering, cover) || contradicts(action, works) {
							continue
						}
						f := catalogue.Facts{
							Depth: catalogue.Restore, Kind: catalogue.Grand, Owner: "stock", Year: 1911,
							Covering: covering, Action: action, Decorated: decorated,
							Answer: func(p catalogue.PointCode) string {
								return map[catalogue.PointCode]string{"SV-42": cover, "SV-02": works}[p]
							},
						}
						f.Severity = func(p catalogue.PointCode) catalogue.Severity {
							switch p {
							case "SV-42":
								return severity(p, cover)
							case "SV-02":
								return severity(p, works)
							case "SV-43", "SV-29":
								return catalogue.Attention
							}
							return catalogue.Unknown
						}
						for _, r := range c.Rules {
							if r.Suggest || !slices.Contains(r.Depths, f.Depth) || !c.Expr(r.When).Holds(f) {
								continue
							}
							for _, x := range list {
								if !calls(c, r, x.Operation) {
									continue
								}
								called++
								if c.Expr(x.When).Holds(f) {
									t.Errorf("%s calls for %s, and %q speaks against it", r.ID, x.Operation, x.When)
								}
							}
						}
					}
				}
			}
		}
	}
	if called == 0 {
		t.Error("no rule called for any of the work")
	}
}

// contradicts reports whether a look found something else than stands on record.
func contradicts(record, look string) bool {
	return record != "" && look != "" && !strings.HasPrefix(look, record)
}

// calls reports whether a rule calls for an operation, by itself or as part of an option.
func calls(c *catalogue.Catalogue, r catalogue.Rule, code catalogue.Code) bool {
	return slices.ContainsFunc(r.Calls, func(k catalogue.Call) bool {
		if k.Operation == code {
			return true
		}
		choice := c.Choice(k.Group)
		return choice != nil && slices.ContainsFunc(choice.Options, func(o catalogue.Option) bool {
			return o.Name == k.Option && slices.Contains(o.Operations, code)
		})
	})
}
