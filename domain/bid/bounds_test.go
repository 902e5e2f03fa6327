package bid_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"

	"github.com/shopspring/decimal"
)

// pointersOf returns the pointers of an Invalid Fault.
func pointersOf(err error) []string {
	var list []string
	if f := domaintest.FaultOf(err); f != nil {
		for _, x := range f.Fields {
			list = append(list, x.Pointer)
		}
	}
	return list
}

// What stands at a bound can be asked, what lies beyond it is told by its place.
func TestAQuestionIsTakenUpToItsBounds(t *testing.T) {
	t.Parallel()
	d := func(s string) *decimal.Decimal { return domaintest.Ptr(domaintest.Dec(s)) }
	bands := func(n int) []bid.PremiumBand {
		var list []bid.PremiumBand
		for i := range n {
			list = append(list, bid.PremiumBand{
				From: decimal.NewFromInt(int64(i) * 1000), Share: domaintest.Dec("0.2"),
			})
		}
		return list
	}
	defects := func(n, letters int) []bid.Defect {
		price := catalogue.ThreePoint{
			Low: domaintest.Dec("10"), Likely: domaintest.Dec("10"), High: domaintest.Dec("10"),
		}
		return slices.Repeat([]bid.Defect{{Name: strings.Repeat("n", letters), Off: price}}, n)
	}
	takenOn := func(by, why int) []bid.TakenOn {
		return []bid.TakenOn{{
			Point: "SV-54", By: strings.Repeat("b", by), Why: strings.Repeat("w", why),
		}}
	}
	for name, x := range map[string]struct {
		change func(*bid.Question, *bid.Way)
		want   []string
	}{
		"plain":              {func(*bid.Question, *bid.Way) {}, nil},
		"the dearest piano":  {func(_ *bid.Question, w *bid.Way) { w.SalePrice = *d("100000000000") }, nil},
		"a dearer one":       {func(_ *bid.Question, w *bid.Way) { w.SalePrice = *d("100000000000.01") }, []string{"#/ways/0/sale_price"}},
		"a negative ask":     {func(q *bid.Question, _ *bid.Way) { q.SellerAsks = d("-0.01") }, []string{"#/seller_asks"}},
		"half a penny":       {func(q *bid.Question, _ *bid.Way) { q.Duty = *d("0.005") }, []string{"#/duty"}},
		"a range of nothing": {func(_ *bid.Question, w *bid.Way) { w.SaleLow, w.SaleHigh = d("9000"), d("9000") }, nil},
		"a low above": {
			func(_ *bid.Question, w *bid.Way) { w.SaleLow = d("9000.01") }, []string{"#/ways/0/sale_low"},
		},
		"a high below": {
			func(_ *bid.Question, w *bid.Way) { w.SaleHigh = d("8999.99") }, []string{"#/ways/0/sale_high"},
		},
		"sold on the spot": {
			func(_ *bid.Question, w *bid.Way) { w.DaysOnFloor = domaintest.Ptr(0) }, nil,
		},
		"sold in ten years": {
			func(_ *bid.Question, w *bid.Way) { w.DaysOnFloor = domaintest.Ptr(3650) }, nil,
		},
		"later": {
			func(_ *bid.Question, w *bid.Way) { w.DaysOnFloor = domaintest.Ptr(3651) },
			[]string{"#/ways/0/days_on_floor"},
		},
		"before it is bought": {
			func(_ *bid.Question, w *bid.Way) { w.DaysOnFloor = domaintest.Ptr(-1) },
			[]string{"#/ways/0/days_on_floor"},
		},
		"fifty defects": {func(_ *bid.Question, w *bid.Way) { w.Defects = defects(50, 1) }, nil},
		"one more": {
			func(_ *bid.Question, w *bid.Way) { w.Defects = defects(51, 1) }, []string{"#/ways/0/defects"},
		},
		"a long name": {
			func(_ *bid.Question, w *bid.Way) { w.Defects = defects(1, domain.MaxName) }, nil,
		},
		"a longer name": {
			func(_ *bid.Question, w *bid.Way) { w.Defects = defects(1, domain.MaxName+1) },
			[]string{"#/ways/0/defects/0/name"},
		},
		"twenty bands": {func(q *bid.Question, _ *bid.Way) { q.Premium = bands(20) }, nil},
		"a band more":  {func(q *bid.Question, _ *bid.Way) { q.Premium = bands(21) }, []string{"#/premium"}},
		"bands and a share": {
			func(q *bid.Question, _ *bid.Way) { q.Premium, q.PremiumShare = bands(2), *d("0.1") },
			[]string{"#/premium_share"},
		},
		"a gap below": {
			func(q *bid.Question, _ *bid.Way) { q.Premium = bands(3)[1:] }, []string{"#/premium/0/from"},
		},
		"one band twice": {
			func(q *bid.Question, _ *bid.Way) { q.Premium = append(bands(2), bands(2)[1]) },
			[]string{"#/premium/2/from"},
		},
		"a step of nothing": {
			func(q *bid.Question, _ *bid.Way) { q.Steps = []bid.StepBand{{}} }, []string{"#/steps/0/step"},
		},
		"taken on by name": {
			func(q *bid.Question, _ *bid.Way) { q.TakenOn = takenOn(domain.MaxName, domain.MaxText) }, nil,
		},
		"by nobody": {
			func(q *bid.Question, _ *bid.Way) { q.TakenOn = takenOn(0, 1) }, []string{"#/taken_on/0"},
		},
		"for no reason": {
			func(q *bid.Question, _ *bid.Way) { q.TakenOn = takenOn(1, 0) }, []string{"#/taken_on/0"},
		},
		"by a longer name": {
			func(q *bid.Question, _ *bid.Way) { q.TakenOn = takenOn(domain.MaxName+1, 1) },
			[]string{"#/taken_on/0"},
		},
		"for a longer reason": {
			func(q *bid.Question, _ *bid.Way) { q.TakenOn = takenOn(1, domain.MaxText+1) },
			[]string{"#/taken_on/0"},
		},
	} {
		q := bid.Question{Ways: []bid.Way{{Depth: catalogue.AsFound, SalePrice: *d("9000")}}}
		x.change(&q, &q.Ways[0])
		if err := q.Check("GBP"); !slices.Equal(pointersOf(err), x.want) {
			t.Errorf("%s: got %v, want faults at %q", name, err, x.want)
		}
	}
}

// A negotiation is kept for ever, so what is noted of it has an end.
func TestWhatIsNotedOfAnOfferHasAnEnd(t *testing.T) {
	t.Parallel()
	in := bid.Inputs{}
	in.Workshop.Terms.Currency = "GBP"
	text := strings.Repeat("t", domain.MaxText)
	for more, want := range map[string][]string{"": nil, "t": {"#/reason", "#/note"}} {
		o := bid.Offer{
			Kind: bid.Refused, On: domaintest.JobDay, Reason: text + more, Note: text + more,
		}
		err := bid.CheckOffer(
			o, in, bid.Result{}, domaintest.JobDay, nil, domaintest.JobDay,
		)
		if !slices.Equal(pointersOf(err), want) {
			t.Errorf("%d letters: %v", len(o.Note), err)
		}
	}
	number := strings.Repeat("s", domain.MaxName)
	for more, refused := range map[string]bool{"": false, "s": true} {
		o := bid.Offer{
			Kind: bid.Bought, On: domaintest.JobDay, StockNumber: number + more,
			Amount: domaintest.Ptr(domaintest.Dec("1")),
		}
		got := fmt.Sprint(pointersOf(bid.CheckOffer(
			o, in, bid.Result{}, domaintest.JobDay, nil, domaintest.JobDay,
		)))
		if strings.Contains(got, "#/stock_number") != refused {
			t.Errorf("a stock number of %d letters: %s", len(o.StockNumber), got)
		}
	}
}
