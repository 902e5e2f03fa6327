package scope_test

import (
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
)

// A sound case that is stripped or sealed on request gets the finish that the same case gets once
// it is worn (common practice, no source): only who names another one gets that.
func TestACaseThatIsStrippedGetsTheFinishOfItsKind(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		name           string
		owner          instrument.Ownership
		colour, finish string
		more           []scope.Edit
		want           string
	}{
		{"our black", instrument.Stock, "black", "shellac", nil, "polyester"},
		{"a client's black shellac", instrument.Client, "black", "shellac", nil, "shellac"},
		{"a client's black polyester", instrument.Client, "black", "polyester", nil, "polyester"},
		{"our walnut in shellac", instrument.Stock, "walnut", "shellac", nil, "shellac"},
		{"our walnut sprayed clear", instrument.Stock, "walnut", "polyester", nil, "polyester"},
		{"mahogany of an unknown finish", instrument.Offered, "mahogany", "", nil, "shellac"},
		{
			"walnut to be sprayed", instrument.Stock, "walnut", "shellac",
			[]scope.Edit{domaintest.Choose("FINISH", "polyester")},
			"polyester",
		},
		{
			"walnut whose rim is to be sprayed", instrument.Stock, "walnut", "shellac",
			[]scope.Edit{domaintest.Add("CS-05")},
			"polyester",
		},
		{
			"black to be polished by hand", instrument.Stock, "black", "polyester",
			[]scope.Edit{domaintest.Choose("FINISH", "shellac")},
			"shellac",
		},
	} {
		for _, added := range []string{"CS-01", "CS-01L", "CS-03", "CS-03L", "CS-04"} {
			in := domaintest.Grand()
			in.Owner, in.Colour, in.Finish, in.Decorated = x.owner, x.colour, x.finish, true
			s := domaintest.ScopeOf(t, in, catalogue.Recondition, nil,
				append([]scope.Edit{domaintest.Add(added)}, x.more...)...)
			if s.Settled["FINISH"] != x.want {
				t.Errorf("%s, %s added: finished in %s, want %s", x.name, added,
					s.Settled["FINISH"], x.want)
			}
		}
	}
}
