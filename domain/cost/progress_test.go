package cost_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing/money"
)

// 100.00 of one job were posted and 130.00 are known; another has ended, and a third has come back,
// which the books don't have yet; a fourth is in progress neither way.
func TestWhatIsKnownIsWhatWasPostedAndWhatMakesTheDifference(t *testing.T) {
	t.Parallel()
	eur := money.MustCurrency("EUR")
	a := func(s string) *money.Amount { m := money.MustParse(s + " EUR"); return &m }
	ended := cost.Passage{What: cost.JobEnded, On: domain.Date{Year: 2026, Month: 3, Day: 2}}
	back := cost.Passage{What: cost.CameBack, On: domain.Date{Year: 2026, Month: 3, Day: 3}}
	r := cost.Reconcile([]cost.InProgress{
		{Posted: a("100.00"), Known: a("130.00")},
		{Posted: a("70.00"), Passage: &ended},
		{Known: a("25.50"), Passage: &back},
		{},
	}, eur)
	if r.Posted != *a("170.00") || r.Known != *a("155.50") || r.Difference() != *a("-14.50") ||
		r.Late != *a("30.00") {
		t.Errorf("got %+v", r)
	}
	if len(r.OneWay) != 3 || r.OneWay[0].Amount != *a("-70.00") || r.OneWay[0].Passage != ended ||
		r.OneWay[1].Amount != *a("25.50") || r.OneWay[1].Passage != back {
		t.Errorf("one way only: %+v", r.OneWay)
	}
}
