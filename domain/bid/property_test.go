package bid_test

import (
	"errors"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// anyQuestion draws a question from the extremes of what its check lets through, and a little
// beyond.
func anyQuestion(t *rapid.T) bid.Question {
	amount := func(label string) decimal.Decimal {
		most := rapid.SampledFrom(
			[]int64{
				0, 1, 99, 400_000, 2_400_000, 9_999_999_999_999, 10_000_000_000_000,
				10_000_000_000_001,
			},
		).Draw(t, label+" up to")
		return decimal.New(rapid.SampledFrom([]int64{most, most / 2, most / 3}).Draw(t, label), -2)
	}
	share := func(label string) decimal.Decimal {
		return decimal.New(
			rapid.SampledFrom([]int64{0, 1, 250_000, 999_999, 1_000_000}).Draw(t, label), -6,
		)
	}
	rising := func(label string) catalogue.ThreePoint {
		low := amount(label)
		likely := low.Add(amount(label + " more"))
		return catalogue.ThreePoint{
			Low: low, Likely: likely, High: likely.Add(amount(label + " and more")),
		}
	}
	q := bid.Question{
		Form: rapid.SampledFrom(bid.Forms).Draw(t, "form"), TransportIn: amount("transport"),
		SellerAsks: domaintest.Ptr(amount("asks")),
		Steps: []bid.StepBand{
			{Step: amount("step")}, {From: amount("second step"), Step: amount("step there")},
		},
	}
	switch q.Form {
	case bid.Purchase:
		q.Premium, q.Duty = []bid.PremiumBand{
			{Share: share("premium")}, {From: amount("band"), Share: share("share")},
		}, amount("duty")
	case bid.Consigned:
		q.Consignment = &bid.Consignment{OwnerBears: amount("bears")}
	case bid.PartExchange:
		q.OtherSale = &bid.OtherSale{Price: amount("other"), Paid: amount("paid")}
	case bid.DonorOfParts:
		h := decimal.New(rapid.SampledFrom([]int64{0, 1, 100_000_000}).Draw(t, "hours"), -4)
		q.Donor = &bid.Donor{
			Hours: catalogue.ThreePoint{Low: h, Likely: h, High: h}, Skill: "general",
			Disposal: amount("disposal"),
			Days:     rapid.SampledFrom([]int{0, 1, 3650}).Draw(t, "days"),
		}
		for range rapid.IntRange(1, 3).Draw(t, "parts") {
			q.Donor.Parts = append(
				q.Donor.Parts,
				bid.DonorPart{Name: "part", Worth: rising("worth"), Usable: share("usable")},
			)
		}
		return q
	}
	sale := rising("sale")
	way := bid.Way{
		Depth: rapid.SampledFrom(
			catalogue.Depths,
		).Draw(t, "depth"), SaleLow: &sale.Low, SalePrice: sale.Likely, SaleHigh: &sale.High,
		DaysOnFloor: domaintest.Ptr(rapid.SampledFrom([]int{0, 1, 3650}).Draw(t, "days")),
	}
	for range rapid.IntRange(0, 2).Draw(t, "defects") {
		way.Defects = append(way.Defects, bid.Defect{Name: "defect", Off: rising("off")})
	}
	q.Ways = []bid.Way{way}
	return q
}

// Whatever passes the check of settings and question is worked out, or refused as the user's to
// mend: never an error of the service's own. Where there is a walk-away price, its chance of a loss
// is within the limit.
func TestEveryQuestionIsWorkedOutOrRefusedWithItsFault(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	zone, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	base := bidFor(t)
	worked, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		in := base
		tm := &in.Workshop.Terms
		tm.TaxRegime = rapid.SampledFrom(
			[]domain.TaxRegime{domain.NoTax, domain.StandardTax, domain.MarginTax},
		).Draw(t, "regime")
		for _, s := range []*decimal.Decimal{
			&tm.TaxRate, &tm.TargetShare, &tm.SellingShare, &tm.FinanceRate, &tm.LossLimit,
		} {
			*s = decimal.New(rapid.SampledFrom([]int64{0, 1, 200_000, 999_999}).Draw(t, "share"), -6)
		}
		tm.SellingFixed = decimal.New(
			rapid.SampledFrom([]int64{0, 1, 10_000_000_000}).Draw(t, "fixed"), -4,
		)
		if err := in.Workshop.Check(); err != nil {
			t.Fatal(err)
		}
		in.Asked = anyQuestion(t)
		r, err := bid.Compute(t.Context(), in, c, zone)
		var fault *domain.Fault
		switch {
		case errors.As(err, &fault):
			refused++
			return
		case err != nil:
			t.Fatalf("the service's own error: %v", err)
		}
		worked++
		for _, w := range r.Ways {
			if w.Outcome == bid.Stopped {
				if w.Negotiation != nil || w.Advice != nil || w.AtAsked != nil {
					t.Fatalf("stopped, and still it advises: %+v", w)
				}
				continue
			}
			if walk := w.Negotiation.WalkAway; walk != nil &&
				walk.ChanceOfLoss.GreaterThan(tm.LossLimit) {
				t.Fatalf(
					"at the walk-away of %v a loss has a chance of %v, the limit is %v", walk.Price,
					walk.ChanceOfLoss, tm.LossLimit,
				)
			}
		}
	})
	if !testing.Short() && (worked == 0 || refused == 0) {
		t.Errorf(
			"%d questions were worked out and %d refused: the draws show one side only", worked,
			refused,
		)
	}
}
