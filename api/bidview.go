package api

import (
	"encoding/hex"
	"net/http"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/openapi"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// VisitGetBidInputsResponse writes the document as it is.
func (document bidInputs) VisitGetBidInputsResponse(w http.ResponseWriter) error {
	w.Header().Set("Content-Type", jsonMediaType)
	w.Header().Set("ETag", versionTag(onlyVersion, fullView))
	w.WriteHeader(http.StatusOK)
	_, err := w.Write(document)
	return err
}

func renderBid(b app.WorkedBid) openapi.Bid {
	currency := b.Inputs.Workshop.Terms.Currency
	out := openapi.Bid{
		ID: b.ID, Instrument: b.Instrument, Survey: b.Survey, Engine: b.Engine, CreatedAt: b.CreatedAt,
		Form:         openapi.AcquisitionForm(b.Inputs.Asked.AcquiredBy()),
		InputsSHA256: hex.EncodeToString(b.Bid.Inputs[:]), ResultSHA256: hex.EncodeToString(b.Bid.Result[:]), Ways: []openapi.BidWay{},
	}
	if asked := b.Inputs.Asked.SellerAsks; asked != nil {
		price := renderAmount(*asked, currency)
		out.SellerAsks = &price
	}
	for i, w := range b.Result.Ways {
		out.Ways = append(out.Ways, renderBidWay(w, salePrice(b, i)))
	}
	return out
}

// salePrice is the price that was asked about, and for a donor, which has none,
// what its parts are worth.
func salePrice(b app.WorkedBid, way int) openapi.Money {
	if ways := b.Inputs.Asked.Ways; way < len(ways) {
		return renderAmount(ways[way].SalePrice, b.Inputs.Workshop.Terms.Currency)
	}
	return renderMoney(b.Result.Ways[way].Sale.Likely)
}

func renderBidWay(w domain.WayResult, sale openapi.Money) openapi.BidWay {
	out := openapi.BidWay{
		Depth: openapi.Depth(w.Depth), Outcome: openapi.BidWayOutcome(w.Outcome), Why: w.Why, SalePrice: sale,
		TargetProfit: renderMoney(w.Advice.TargetProfit), Target: renderSums(w.Advice.Target),
		BreakEven: renderSums(w.Advice.BreakEven), AsGift: *renderSums(&w.Advice.AsGift), AtAsked: renderSums(w.AtAsked),
		RuleOfThumb: renderMoney(w.Advice.HalfUplift), Work: renderRange(w.Estimate.Costs.Total), Hours: renderHours(w.Estimate.Hours),
		ReadyOn:      domain.DateOf(w.Dates.Queued.Ready).String(),
		ReadyAloneOn: domain.DateOf(w.Dates.Alone.Ready).String(),
		HoldDays:     w.HoldDays, DaysOnFloor: w.DaysOnFloor, Stops: renderAll(w.Scope.Stops, renderStop),
		Cleared: renderAll(w.Cleared, renderClearance), Undone: renderAll(w.Undone, renderUndone),
		Lines: renderAll(w.Scope.Lines, renderScopeLine), Negotiation: renderNegotiation(w.Negotiation),
		Commissions: renderCommissions(w.Commissions), Exchanges: renderExchanges(w.Exchanges), Parts: renderAll(w.Parts, renderPartWorth),
	}
	if w.Sale != nil {
		sale := renderRange(*w.Sale)
		out.Sale = &sale
	}
	return out
}

func renderUndone(u domain.Undone) openapi.Undone {
	return openapi.Undone{
		Point: openapi.PointCode(u.Point), Severity: openapi.UndoneSeverity(u.Severity), Says: u.Says,
		Calls: texts[catalogue.Code, openapi.OperationCode](u.Calls), Priced: u.Priced,
	}
}

// renderNegotiation leaves out what bids of engine 1 do not have.
func renderNegotiation(n *domain.Negotiation) *openapi.Negotiation {
	if n == nil {
		return nil
	}
	spread := func(s pricing.Spread) openapi.Spread {
		return openapi.Spread{Mean: renderMoney(s.Mean), Sd: renderMoney(s.SD), P80: renderMoney(s.P80)}
	}
	return &openapi.Negotiation{
		Opening: renderProspect(n.Opening, nil), Target: renderProspect(n.Target, n.Hours.AtTarget),
		WalkAway: renderProspect(n.WalkAway, nil), Asked: renderProspect(n.Asked, n.Hours.AtAsked),
		LossLimit: n.LossLimit, Sale: spread(n.Sale), Work: spread(n.Work),
	}
}

func renderProspect(p *pricing.Prospect, hours *decimal.Decimal) *openapi.Prospect {
	if p == nil {
		return nil
	}
	out := openapi.Prospect{
		Sums: *renderSums(&p.Sums), ChanceOfLoss: p.ChanceOfLoss, TiedUp: renderMoney(p.TiedUp), ReturnPerMonth: p.PerMonth,
		BreakEvenWork: renderMoney(p.BreakEvenWork), BreakEvenHours: hours,
	}
	if p.BreakEvenSale != nil {
		sale := renderMoney(*p.BreakEvenSale)
		out.BreakEvenSale = &sale
	}
	return &out
}

func renderClearance(c domain.Clearance) openapi.Clearance {
	return openapi.Clearance{Point: openapi.PointCode(c.Point), By: c.By, Why: c.Why}
}

func renderSums(s *pricing.Sums) *openapi.Sums {
	if s == nil {
		return nil
	}
	line := func(l pricing.SumLine) openapi.SumLine {
		return openapi.SumLine{Item: l.Item.String(), Amount: renderMoney(l.Amount), Basis: l.Basis}
	}
	return &openapi.Sums{
		Price: renderMoney(s.Price), Profit: renderMoney(s.Profit), Lines: renderAll(s.Lines, line), Tax: renderTax(s.Tax),
	}
}

func renderTax(t pricing.Tax) openapi.Tax {
	return openapi.Tax{Regime: taxRegimes[t.Regime], Rate: t.Rate, Base: renderMoney(t.Base), Due: renderMoney(t.Due), Note: t.Note}
}

// taxRegimes are the regimes in the contract's words.
var taxRegimes = map[pricing.Regime]openapi.TaxRegime{
	pricing.NoTax:        openapi.TaxRegimeNone,
	pricing.StandardTax:  openapi.TaxRegimeStandard,
	pricing.MarginScheme: openapi.TaxRegimeMargin,
}

// renderAmount writes a decimal that was checked to be an amount of the
// currency when it came in.
func renderAmount(d decimal.Decimal, currency string) openapi.Money {
	c, err := money.ParseCurrency(currency)
	if err != nil {
		panic("a stored bid is in no currency: " + err.Error())
	}
	return openapi.Money{Amount: d.StringFixed(c.Decimals()), Currency: currency}
}
