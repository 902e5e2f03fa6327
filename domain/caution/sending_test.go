package caution_test

import (
	"slices"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
)

// Keys of ivory that leave the country are told of with the law on ivory and on borders; hardware
// is told to cross a border and to be a specialist's work, and what stays here nothing of borders.
func TestWhatCrossesABorderIsToldOfWithWhatTheLawAsks(t *testing.T) {
	t.Parallel()
	c, in := domaintest.Shipped(t), domaintest.Grand()
	in.Covering, in.Year = "ivory", 1904
	for name, tt := range map[string]struct {
		operation catalogue.Code
		abroad    bool
		want      []string
	}{
		"keys rebushed abroad":     {"KY-02", true, []string{"border", "ivory_law", "protected_timber"}},
		"naturals re-covered here": {"KY-03", false, []string{"ivory_law"}},
		"hardware abroad":          {"CS-11", true, []string{"border", "specialist_only"}},
		"hardware here":            {"CS-11", false, []string{"specialist_only"}},
	} {
		sent := scope.Scope{Lines: []scope.Line{{Operation: tt.operation}}}
		var got []string
		for _, k := range caution.CautionsOfSending(c, in, nil, sent, nil, tt.abroad) {
			got = append(got, k.Key)
		}
		slices.Sort(got)
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: told of %v, want %v", name, got, tt.want)
		}
	}
}
