package bid

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
)

// Assumptions returns the settings that moved a price or a date of a bid, are those that a workshop
// starts with, and weren't confirmed when it was worked out.
func (in Inputs) Assumptions(r Result) []domain.Assumption {
	list := in.moneyAssumptions(r)
	if in.Asked.AcquiredBy() != DonorOfParts {
		list = append(list, in.shop(nil).Assumptions()...)
	}
	return domain.Unconfirmed(list, in.Workshop.Confirmed)
}

func (in Inputs) moneyAssumptions(r Result) []domain.Assumption {
	t, start := in.Workshop.Terms, domain.DefaultTerms(in.Workshop.Terms.Currency)
	u, fresh := t.Uncertainty, start.Uncertainty
	some := func(holds func(WayResult) bool) bool { return slices.ContainsFunc(r.Ways, holds) }
	priced := some(func(w WayResult) bool { return w.Advice != nil })
	sold := priced && in.Asked.AcquiredBy() != DonorOfParts
	basis := scope.Foundations{
		Terms:   t,
		Worked:  some(func(w WayResult) bool { return w.Estimate.Hours.High.IsPositive() }),
		Doubted: some(func(w WayResult) bool { return len(w.Scope.Doubts) > 0 }),
	}
	if sold {
		basis.AsShipped = in.AsShipped
	}
	held := priced && some(func(w WayResult) bool { return w.HoldDays > 0 })
	opened := some(func(w WayResult) bool {
		return w.Negotiation != nil && w.Negotiation.Opening != nil
	})
	asked := func(holds func(Way) bool) bool { return slices.ContainsFunc(in.Asked.Ways, holds) }
	sellsFree := t.SellingShare.IsZero() && t.SellingFixed.IsZero()

	var list []domain.Assumption
	assume := func(moved bool, key domain.AssumptionKey, brief, format string, args ...any) {
		if moved {
			list = append(list, domain.Assumption{
				Key: key, Brief: brief, Text: fmt.Sprintf(format, args...),
			})
		}
	}
	assume(sold && t.TaxRegime == domain.NoTax, domain.AssumedTaxRegime, "no tax on the sale",
		"The sale carries no tax, as in a workshop that isn't registered. Prices of parts and outside "+
			"work are taken as entered: an unregistered workshop enters them with the tax, which it "+
			"can't reclaim.")
	assume(sold && in.AssumedRegime() == domain.MarginTax, domain.AssumedMarginScheme,
		"tax on the margin alone",
		"The sale is taxed on its margin. The purchase decides whether that is open, as a rule only "+
			"where no tax on it could be reclaimed, and the sale settles it: ask an adviser.")
	list = append(list, basis.Rates()...)
	assume(priced && t.TargetShare.Equal(start.TargetShare), domain.AssumedTargetShare,
		"wanted profit "+domain.Percent(t.TargetShare),
		"The wanted profit is %s of the sale price.", domain.Percent(t.TargetShare))
	assume(sold && sellsFree, domain.AssumedSelling,
		"selling costs nothing", "Selling costs nothing.")
	assume(sold && t.SellingShare.Equal(start.SellingShare) && t.SellingFixed.IsZero(),
		domain.AssumedSelling,
		fmt.Sprintf("selling %s, delivery and tuning nothing", domain.Percent(t.SellingShare)),
		"Selling costs %s of the sale price, and delivery and tuning afterwards nothing.",
		domain.Percent(t.SellingShare))
	assume(held && t.FinanceRate.Equal(start.FinanceRate), domain.AssumedFinanceRate,
		fmt.Sprintf("finance %s a year", domain.Percent(t.FinanceRate)),
		"Money that is tied up costs %s a year.", domain.Percent(t.FinanceRate))
	assume(held && t.FinanceRate.IsPositive() && t.WorkFinanced.Equal(start.WorkFinanced),
		domain.AssumedWorkFinanced,
		fmt.Sprintf("%s of the work financed meanwhile", domain.Percent(t.WorkFinanced)),
		"While the work goes on, %s of what it costs counts as tied up.", domain.Percent(t.WorkFinanced))
	assume(held && t.StoragePerDay.Equal(start.StoragePerDay), domain.AssumedStorage,
		fmt.Sprintf("storage %s a day", t.StoragePerDay),
		"Storage costs %s %s a day.", t.StoragePerDay, t.Currency)
	assume(t.DaysOnFloor == start.DaysOnFloor &&
		asked(func(w Way) bool { return w.DaysOnFloor == nil }), domain.AssumedDaysOnFloor,
		fmt.Sprintf("%d days from ready to sold", t.DaysOnFloor),
		"It takes %d days from ready to sold.", t.DaysOnFloor)
	assume(priced && len(in.Asked.Steps) == 0 && t.BiddingStep.Equal(start.BiddingStep),
		domain.AssumedBiddingStep,
		fmt.Sprintf("steps of %s", t.BiddingStep),
		"Prices go by steps of %s %s.", t.BiddingStep, t.Currency)
	assume(priced && t.LossLimit.Equal(start.LossLimit), domain.AssumedLossLimit,
		"a loss accepted in "+domain.Percent(t.LossLimit),
		"A loss in %s of cases is accepted at the walk-away price.", domain.Percent(t.LossLimit))
	assume(priced && u.Confidence.Equal(fresh.Confidence), domain.AssumedConfidence,
		"the wanted profit as often as it comes",
		"The wanted profit need only be left on average: the price to aim for isn't lowered for it to "+
			"come more often.")
	list = append(list, basis.Odds()...)
	assume(sold && in.sameWear(fresh), domain.AssumedWear, "how all goes with wear",
		"What nobody has looked at and the sale price go with how worn the instrument is, by the rank "+
			"correlations that a workshop starts with.")
	assume(u.SaleSpread.Equal(fresh.SaleSpread) &&
		asked(func(w Way) bool { return w.SaleLow == nil && w.SaleHigh == nil }),
		domain.AssumedSaleSpread, fmt.Sprintf("sale price ± %s", domain.Percent(u.SaleSpread)),
		"A sale price without a range may come out %s lower or higher.", domain.Percent(u.SaleSpread))
	assume(in.Asked.UnfitBrings.IsZero() && some(func(w WayResult) bool {
		return w.Negotiation != nil && w.Negotiation.Unfit != nil
	}), domain.AssumedUnfitBrings, "0 where it proves unfit",
		"Where it proves not worth working on it brings nothing: unfit_brings of the bid's question says "+
			"what it would.")
	assume(opened && u.RoomToMove.Equal(fresh.RoomToMove), domain.AssumedRoomToMove,
		fmt.Sprintf("opening %s below", domain.Percent(u.RoomToMove)),
		"The opening stays %s below the price that is aimed for.", domain.Percent(u.RoomToMove))
	return list
}

// sameWear reports whether points and the sale price at each depth asked for go with wear as others
// say.
func (in Inputs) sameWear(other domain.Uncertainty) bool {
	u := in.Workshop.Terms.Uncertainty
	return u.PointsWithWear.Equal(other.PointsWithWear) &&
		!slices.ContainsFunc(catalogue.Depths, func(d catalogue.Depth) bool {
			return !u.SaleWithWear.Of(d).Equal(other.SaleWithWear.Of(d))
		})
}
