package catalogue_test

import (
	"slices"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
)

// A shipped point that can stop a purchase says what is so while nobody has looked at it; law and
// trade are told apart as in the stops themselves.
func TestEveryPointThatCanStopAPurchaseHasItsOddsUnseen(t *testing.T) {
	t.Parallel()
	list, err := catalogue.UnseenStops()
	if err != nil {
		t.Fatal(err)
	}
	stops, err := catalogue.Stops()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range domaintest.Shipped(t).Points {
		i := slices.IndexFunc(list, func(u catalogue.Unseen) bool { return u.Point == p.Code })
		if p.HardStop != (i >= 0) {
			t.Errorf("%s: can stop a purchase: %t, in the table: %t", p.Code, p.HardStop, i >= 0)
			continue
		}
		if i < 0 {
			continue
		}
		law := slices.ContainsFunc(stops, func(s catalogue.Stop) bool {
			return s.Point == p.Code && s.Law
		})
		if list[i].Law != law || law == list[i].Odds.IsPositive() {
			t.Errorf("%s: law %t with odds of %s, among the stops %t", p.Code, list[i].Law,
				list[i].Odds, law)
		}
	}
}
