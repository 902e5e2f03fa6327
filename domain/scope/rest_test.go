package scope_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// Tunings, wire and felt follow the rest of the scope (the rebuilder's review of the trade dossier,
// quantities and order): with strings kept one settling tuning at most, a full series only after a
// restring.
func TestTuningsWireAndFeltFollowTheRestOfTheScope(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rusty, dead, flat := domaintest.Number("SV-16", "4", ""), domaintest.Number(
		"SV-19", "30", "",
	), domaintest.Number("SV-21", "-30", "")
	lift := domaintest.Add("DS-03")
	cases := []struct {
		name     string
		depth    catalogue.Depth
		findings []survey.Finding
		edits    []scope.Edit
		with     string
		without  string
		uses     string
		not      string
	}{
		{
			"strings kept, at pitch", catalogue.Recondition, nil, nil, "TU-01 TU-03 ST-04",
			"TU-02 TU-02A ST-05 DA-01", "single strings", "music wire",
		},
		{
			"strings kept, off pitch", catalogue.Recondition,
			[]survey.Finding{flat},
			nil,
			"TU-02A ST-04", "TU-02", "single strings", "music wire",
		},
		{
			"a bass set alone", catalogue.Recondition,
			[]survey.Finding{dead},
			nil,
			"ST-03 ST-04 TU-02A", "ST-02 TU-02 DA-01", "bass set", "music wire",
		},
		{
			"a restring with the frame in", catalogue.Restore,
			[]survey.Finding{rusty},
			nil,
			"ST-02 ST-03 ST-05 TU-02 DA-01", "TU-02A ST-04 FR-05", "one size up", "string braid",
		},
		{
			"a restring with the frame out", catalogue.Restore,
			[]survey.Finding{rusty},
			[]scope.Edit{lift},
			"ST-02 TU-02 FR-05", "TU-02A", "string braid and under-felt",
			"single strings",
		},
	}
	for _, x := range cases {
		s := domaintest.ScopeOf(t, domaintest.Grand(), x.depth, x.findings, x.edits...)
		for _, code := range strings.Fields(x.with) {
			if !has(s, code) {
				t.Errorf("%s: %s is missing in %s", x.name, code, lines(s))
			}
		}
		for _, code := range strings.Fields(x.without) {
			if has(s, code) {
				t.Errorf("%s: %s is in %s", x.name, code, lines(s))
			}
		}
		used := scope.ConsumptionOf(
			c, domaintest.Grand(), domaintest.Judged(t, c, domaintest.Grand(), x.findings), s,
		)
		named := func(name string) bool {
			return slices.ContainsFunc(
				used, func(m scope.Consumption) bool { return strings.Contains(m.Name, name) },
			)
		}
		if !named(x.uses) || named(x.not) {
			t.Errorf("%s: wants %q and no %q among %+v", x.name, x.uses, x.not, used)
		}
	}
}

// Sessions with gaps are of the operation, and their number of the scope.
func TestSittingsFollowTheRestOfTheScope(t *testing.T) {
	t.Parallel()
	restrung := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore,
		[]survey.Finding{domaintest.Number("SV-16", "4", "")},
	)
	kept := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Recondition,
		[]survey.Finding{domaintest.Number("SV-21", "-30", "")},
	)
	for _, x := range []struct {
		scope     scope.Scope
		operation catalogue.Code
		sittings  int
	}{{restrung, "TU-02", 3}, {restrung, "ST-05", 3}, {kept, "TU-02A", 1}} {
		if l := lineOf(t, x.scope, x.operation); l.Sessions != x.sittings {
			t.Errorf("%s in %d sittings, want %d", x.operation, l.Sessions, x.sittings)
		}
	}
	heirloom := domaintest.Grand()
	heirloom.Owner, heirloom.Colour, heirloom.Finish = instrument.Client, "walnut", "shellac"
	polished := domaintest.ScopeOf(
		t, heirloom, catalogue.Restore, []survey.Finding{domaintest.Number("SV-50", "4", "")},
	)
	for code, sittings := range map[catalogue.Code]int{
		"CS-07": 7, "CS-07L": 7, "CS-08": 6, "CS-08L": 6,
	} {
		if l := lineOf(t, polished, code); l.Sessions != sittings {
			t.Errorf("%s in %d sittings, want %d", code, l.Sessions, sittings)
		}
	}
}
