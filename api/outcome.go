package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/sale"
	"bentside/openapi"
	"bentside/pricing"
)

// outcomeNote says what the figures of an outcome are and what they are not.
const outcomeNote = "What is in stock and what was sold counts as stock does (IAS 2), selling " +
	"and other expenses as management does. Pending hours and agreed work aren't in it yet. " +
	pricing.AskAdviser

// GetInstrumentOutcome shows what has become of an instrument.
func (h *handlers) GetInstrumentOutcome(
	ctx context.Context, r GetInstrumentOutcomeRequestObject,
) (GetInstrumentOutcomeResponseObject, error) {
	o, err := h.app.Outcome(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.InstrumentOutcome{
		Instrument: r.ID, State: openapi.State(o.Instrument.State),
		OpenRegimes: convert.Texts[domain.TaxRegime, openapi.TaxRegime](o.OpenRegimes),
		Account:     renderAccount(o.Account), Note: outcomeNote,
		Sales: convert.All(o.Account.Deals, renderSale), Loss: renderLoss(o.Loss),
	}
	if o.Asked != nil {
		price := renderShowroomPrice(*o.Asked)
		body.ShowroomPrice = &price
	}
	if o.Bid != nil {
		compared := renderBidOutcome(*o.Bid)
		body.Bid = &compared
	}
	tag, err := etag.Digest(body)
	return GetInstrumentOutcome200JSONResponse{
		Body: body, Headers: GetInstrumentOutcome200ResponseHeaders{ETag: tag},
	}, err
}

func renderAccount(a sale.Account) openapi.InstrumentAccount {
	return openapi.InstrumentAccount{
		Landed: convert.Money(a.Landed), Carrying: convert.Money(a.Carrying),
		CostOfSales: convert.Money(a.CostOfSales), NetSales: convert.Money(a.NetSales),
		Forfeited: convert.Money(a.Forfeited), Tax: convert.Money(a.Tax),
		Margin: convert.Money(a.Margin), Selling: convert.Money(a.Selling),
		Other: convert.Money(a.Other), Result: convert.Money(a.Result),
		DepositsHeld: convert.Money(a.Deposits), OwedToOwners: convert.Money(a.Owed),
		OwnerBears: convert.Money(a.Borne), WrittenDown: convert.Money(a.WrittenDown),
		Lost: convert.Money(a.Lost), InParts: convert.Money(a.InParts),
	}
}

func renderBidOutcome(o app.BidOutcome) openapi.BidOutcome {
	return openapi.BidOutcome{
		Bid: o.Bid, Depth: openapi.Depth(o.Expected.Depth),
		Items: convert.All(o.Items, func(c sale.Compared) openapi.ComparedItem {
			return openapi.ComparedItem{
				Item: openapi.ComparedItemItem(c.Item), Expected: convert.Money(c.Expected),
				Actual: convert.Money(c.Actual), Difference: convert.Money(c.Actual.Sub(c.Expected)),
			}
		}),
		ExpectedProfit: convert.Money(o.ExpectedProfit), ActualProfit: convert.Money(o.ActualProfit),
		ExpectedHours: o.Expected.Hours, ActualHours: domain.HoursOf(o.Minutes),
		ExpectedReadyOn: o.Expected.ReadyOn.String(), ReadyOn: convert.DayOrEmpty(o.ReadyOn),
		ExpectedSaleOn: o.Expected.SellOn.String(), SoldOn: convert.DayOrEmpty(o.SoldOn),
	}
}
