package api

import (
	"encoding/hex"
	"net/http"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/openapi"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/labstack/echo/v4"
	"github.com/shopspring/decimal"
)

// VisitGetBidInputsResponse sends the document as it is.
func (document bidInputs) VisitGetBidInputsResponse(w http.ResponseWriter) error {
	w.Header().Set("Content-Type", echo.MIMEApplicationJSON)
	w.Header().Set("ETag", etag.Version(onlyVersion))
	w.WriteHeader(http.StatusOK)
	_, err := w.Write(document)
	return err
}

func renderBid(b app.WorkedBid) openapi.Bid {
	currency := b.Inputs.Workshop.Terms.Currency
	out := openapi.Bid{
		ID: b.ID, Instrument: b.Instrument, Survey: b.Survey, Engine: b.Engine, CreatedAt: b.CreatedAt,
		Form:         openapi.AcquisitionForm(b.Inputs.Asked.AcquiredBy()),
		InputsSHA256: hex.EncodeToString(b.Bid.Inputs[:]),
		ResultSHA256: hex.EncodeToString(b.Bid.Result[:]), Ways: []openapi.BidWay{},
		Sealed: b.Inputs.Asked.Sealed, OlderModel: bid.OfOlderModel(b.Engine), Stale: renderMove(b.Moved),
	}
	out.NotOnOffer = b.Inputs.NotOnOffer()
	terms, asked := b.Inputs.Workshop.Terms, b.Inputs.Asked
	out.Tax = openapi.BidTax{
		Assumed: openapi.TaxRegime(b.Inputs.AssumedRegime()), Shown: asked.TaxShown,
		Open: renderRegimes(asked.OpenRegimes(terms.TaxRegime, asked.TaxShown)),
	}
	out.Assumptions = convertAll(b.Inputs.Assumptions(b.Result), renderAssumption)
	if asked := b.Inputs.Asked.SellerAsks; asked != nil {
		price := renderAmount(*asked, currency)
		out.SellerAsks = &price
	}
	for i, w := range b.Result.Ways {
		way := renderBidWay(w, salePrice(b, i))
		way.FoundSince = convertAll(bid.FoundSince(b.Inputs, w, b.Now), renderStop)
		out.Ways = append(out.Ways, way)
	}
	return out
}

// salePrice returns the sale price that the bid was asked for; a donor has none, so for it the
// value of its parts.
func salePrice(b app.WorkedBid, way int) openapi.Money {
	if ways := b.Inputs.Asked.Ways; way < len(ways) {
		return renderAmount(ways[way].SalePrice, b.Inputs.Workshop.Terms.Currency)
	}
	return renderMoney(b.Result.Ways[way].Sale.Likely)
}

func renderBidWay(w bid.WayResult, sale openapi.Money) openapi.BidWay {
	out := openapi.BidWay{
		Depth: openapi.Depth(w.Depth), Outcome: openapi.BidWayOutcome(w.Outcome), Why: w.Why,
		SalePrice: sale, AtAsked: renderSums(w.AtAsked), Work: renderSpan(w.Estimate.Costs.Total),
		Hours:        renderHoursSpan(w.Estimate.Hours),
		ReadyOn:      domain.DateOf(w.Dates.Queued.Ready).String(),
		ReadyAloneOn: domain.DateOf(w.Dates.Alone.Ready).String(), HoldDays: w.HoldDays,
		DaysOnFloor: w.DaysOnFloor, Stops: renderBidStops(w), Undone: convertAll(w.Undone, renderUndone),
		Unseen: convertAll(w.Unseen, renderUnseen), Repairs: convertAll(w.Repairs, renderRepair),
		Lines: convertAll(w.Scope.Lines, renderScopeLine), Negotiation: renderNegotiation(w.Negotiation),
		Commissions: renderCommissions(w.Commissions), Exchanges: renderExchanges(w.Exchanges),
		Parts: convertAll(w.Parts, renderPartWorth),
	}
	if w.Sale != nil {
		sale := renderSpan(*w.Sale)
		out.Sale = &sale
	}
	if a := w.Advice; a != nil {
		out.TargetProfit, out.RuleOfThumb = renderOptional(&a.TargetProfit), renderOptional(&a.HalfUplift)
		out.AsGift, out.BreakEven = renderSums(&a.AsGift), renderSums(a.BreakEven)
		if w.Negotiation == nil {
			out.Target = renderSums(a.Target)
		}
	}
	return out
}

func renderUnseen(u bid.Unseen) openapi.Unseen {
	return openapi.Unseen{
		Point: openapi.PointCode(u.Point), Says: u.Text, IfBad: openapi.UnseenIfBad(u.IfBad),
		Odds: u.Odds, AimIfSound: renderOptional(u.AimIfSound), TakenOnBy: u.TakenOnBy,
	}
}

func renderRepair(r bid.Repair) openapi.RiskyRepair {
	return openapi.RiskyRepair{Point: openapi.PointCode(r.Point), Says: r.Text, Fails: r.Fails}
}

func renderUndone(u bid.Undone) openapi.Undone {
	return openapi.Undone{
		Point: openapi.PointCode(u.Point), Severity: openapi.UndoneSeverity(u.Severity), Says: u.Text,
		Calls: convertTexts[catalogue.Code, openapi.OperationCode](u.Calls), Priced: u.Priced,
	}
}

// renderNegotiation returns nil for bids of engine 1, which have none.
func renderNegotiation(n *bid.Negotiation) *openapi.Negotiation {
	if n == nil {
		return nil
	}
	spread := func(s pricing.Spread) openapi.Spread {
		return openapi.Spread{
			Mean: renderMoney(s.Mean), Sd: renderMoney(s.SD), P10: renderOptional(s.P10),
			P50: renderOptional(s.P50), P80: renderMoney(s.P80), P90: renderOptional(s.P90),
		}
	}
	return &openapi.Negotiation{
		Opening: renderProspect(n.Opening, nil), Aim: renderProspect(n.Aim, n.Hours.AtTarget),
		PayAtMost: renderOptional(n.PayAtMost), Bound: openapi.NegotiationBound(n.Bound),
		UnboundAim: renderOptional(n.UnboundAim), AboveWanted: renderOptional(n.AboveWanted),
		WalkAway: renderProspect(n.WalkAway, nil), Asked: renderProspect(n.Asked, n.Hours.AtAsked),
		LossLimit: n.LossLimit, Unfit: n.Unfit, Sale: spread(n.Sale), Work: spread(n.Work),
	}
}

func renderProspect(p *pricing.Prospect, hours *decimal.Decimal) *openapi.Prospect {
	if p == nil {
		return nil
	}
	out := openapi.Prospect{
		Sums: *renderSums(&p.Sums), ChanceOfLoss: pricing.ReportedChance(p.ChanceOfLoss),
		TiedUp:         renderMoney(p.TiedUp),
		ReturnPerMonth: p.PerMonth, BreakEvenWork: renderMoney(p.BreakEvenWork), BreakEvenHours: hours,
	}
	if p.ChanceOfWanted != nil {
		wanted := pricing.ReportedChance(*p.ChanceOfWanted)
		out.ChanceOfWanted = &wanted
	}
	out.BreakEvenSale = renderOptional(p.BreakEvenSale)
	return &out
}

func renderSums(s *pricing.Sums) *openapi.Sums {
	if s == nil {
		return nil
	}
	line := func(l pricing.SumLine) openapi.SumLine {
		return openapi.SumLine{Item: l.Item.String(), Amount: renderMoney(l.Amount), Basis: l.Basis}
	}
	return &openapi.Sums{
		Price: renderMoney(s.Price), Profit: renderMoney(s.Profit), Lines: convertAll(s.Lines, line),
		Tax: renderTax(s.Tax),
	}
}

func renderTax(t pricing.Tax) openapi.Tax {
	return openapi.Tax{
		Regime: taxRegimes[t.Regime], Rate: t.Rate, Base: renderMoney(t.Base), Due: renderMoney(t.Due),
		Note: t.Note,
	}
}

// taxRegimes maps the regimes to the contract's names.
var taxRegimes = map[pricing.Regime]openapi.TaxRegime{
	pricing.NoTax:        openapi.TaxRegimeNone,
	pricing.StandardTax:  openapi.TaxRegimeStandard,
	pricing.MarginScheme: openapi.TaxRegimeMargin,
}

func renderRegimes(list []domain.TaxRegime) []openapi.TaxRegime {
	return convertAll(list, func(r domain.TaxRegime) openapi.TaxRegime { return openapi.TaxRegime(r) })
}

// renderAmount renders a decimal that was checked to be an amount of its currency when it was
// stored.
func renderAmount(d decimal.Decimal, currency string) openapi.Money {
	c, err := money.ParseCurrency(currency)
	if err != nil {
		panic("the currency of a stored bid is unknown: " + err.Error())
	}
	return openapi.Money{Amount: d.StringFixed(c.Decimals()), Currency: currency}
}
