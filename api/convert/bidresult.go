package convert

import (
	"encoding/hex"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/openapi"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Bid returns a bid as it was worked out, with what has been found since.
func Bid(b app.WorkedBid) openapi.Bid {
	currency := b.Inputs.Workshop.Terms.Currency
	out := openapi.Bid{
		ID: b.ID, Instrument: b.Instrument, Survey: b.Survey, Engine: b.Engine, CreatedAt: b.CreatedAt,
		Form:         openapi.AcquisitionForm(b.Inputs.Asked.AcquiredBy()),
		InputsSHA256: hex.EncodeToString(b.Bid.Inputs[:]),
		ResultSHA256: hex.EncodeToString(b.Bid.Result[:]), Ways: []openapi.BidWay{},
		Sealed: b.Inputs.Asked.Sealed, OlderModel: bid.OfOlderModel(b.Engine),
		Stale: FirstChange(b.Moved),
	}
	out.NotOnOffer = b.Inputs.NotOnOffer()
	terms, asked := b.Inputs.Workshop.Terms, b.Inputs.Asked
	out.Tax = openapi.BidTax{
		Assumed: openapi.TaxRegime(b.Inputs.AssumedRegime()), Shown: asked.TaxShown,
		Open: Regimes(asked.OpenRegimes(terms.TaxRegime, asked.TaxShown)),
	}
	out.Assumptions = All(b.Inputs.Assumptions(b.Result), Assumption)
	if asked := b.Inputs.Asked.SellerAsks; asked != nil {
		price := Amount(*asked, currency)
		out.SellerAsks = &price
	}
	for i, w := range b.Result.Ways {
		way := renderBidWay(w, salePrice(b, i))
		way.FoundSince = All(bid.FoundSince(b.Inputs, w, b.Now), Stop)
		out.Ways = append(out.Ways, way)
	}
	return out
}

// salePrice returns the sale price that the bid was asked for; a donor has none, so for it the
// value of its parts.
func salePrice(b app.WorkedBid, way int) openapi.Money {
	if ways := b.Inputs.Asked.Ways; way < len(ways) {
		return Amount(ways[way].SalePrice, b.Inputs.Workshop.Terms.Currency)
	}
	return Money(b.Result.Ways[way].Sale.Likely)
}

func renderBidWay(w bid.WayResult, sale openapi.Money) openapi.BidWay {
	out := openapi.BidWay{
		Depth: openapi.Depth(w.Depth), Outcome: openapi.BidWayOutcome(w.Outcome), Why: w.Why,
		SalePrice: sale, AtAsked: renderSums(w.AtAsked), Work: MoneySpan(w.Estimate.Costs.Total),
		Hours:        HoursSpan(w.Estimate.Hours),
		ReadyOn:      domain.DateOf(w.Dates.Queued.Ready).String(),
		ReadyAloneOn: domain.DateOf(w.Dates.Alone.Ready).String(), HoldDays: w.HoldDays,
		DaysOnFloor: w.DaysOnFloor, Stops: renderBidStops(w), Undone: All(w.Undone, renderUndone),
		Unseen: All(w.Unseen, renderUnseen), Repairs: All(w.Repairs, renderRepair),
		Lines: All(w.Scope.Lines, ScopeLine), Negotiation: renderNegotiation(w.Negotiation),
		Commissions: renderCommissions(w.Commissions), Exchanges: renderExchanges(w.Exchanges),
		Parts: All(w.Parts, renderPartWorth),
	}
	if w.Sale != nil {
		sale := MoneySpan(*w.Sale)
		out.Sale = &sale
	}
	if x := w.Spared; x != nil {
		out.Spared = &openapi.Spared{
			Operations: Texts[catalogue.Code, openapi.OperationCode](x.Operations),
			Work:       Money(x.Work),
		}
	}
	if a := w.Advice; a != nil {
		out.TargetProfit, out.RuleOfThumb = OptionalMoney(&a.TargetProfit), OptionalMoney(&a.HalfUplift)
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
		Odds: u.Odds, AimIfSound: OptionalMoney(u.AimIfSound), TakenOnBy: u.TakenOnBy,
	}
}

func renderRepair(r bid.Repair) openapi.RiskyRepair {
	return openapi.RiskyRepair{Point: openapi.PointCode(r.Point), Says: r.Text, Fails: r.Fails}
}

func renderUndone(u bid.Undone) openapi.Undone {
	return openapi.Undone{
		Point: openapi.PointCode(u.Point), Severity: openapi.UndoneSeverity(u.Severity), Says: u.Text,
		Calls: Texts[catalogue.Code, openapi.OperationCode](u.Calls), Priced: u.Priced,
	}
}

// renderNegotiation returns nil for bids of engine 1, which have none.
func renderNegotiation(n *bid.Negotiation) *openapi.Negotiation {
	if n == nil {
		return nil
	}
	spread := func(s pricing.Spread) openapi.Spread {
		return openapi.Spread{
			Mean: Money(s.Mean), Sd: Money(s.SD), P10: OptionalMoney(s.P10),
			P50: OptionalMoney(s.P50), P80: Money(s.P80), P90: OptionalMoney(s.P90),
		}
	}
	return &openapi.Negotiation{
		Opening: renderProspect(n.Opening, nil), Aim: renderProspect(n.Aim, n.Hours.AtTarget),
		PayAtMost: OptionalMoney(n.PayAtMost), Bound: openapi.NegotiationBound(n.Bound),
		UnboundAim: OptionalMoney(n.UnboundAim), AboveWanted: OptionalMoney(n.AboveWanted),
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
		TiedUp:         Money(p.TiedUp),
		ReturnPerMonth: p.PerMonth, BreakEvenWork: Money(p.BreakEvenWork), BreakEvenHours: hours,
	}
	if p.ChanceOfWanted != nil {
		wanted := pricing.ReportedChance(*p.ChanceOfWanted)
		out.ChanceOfWanted = &wanted
	}
	out.BreakEvenSale = OptionalMoney(p.BreakEvenSale)
	return &out
}

func renderSums(s *pricing.Sums) *openapi.Sums {
	if s == nil {
		return nil
	}
	line := func(l pricing.SumLine) openapi.SumLine {
		return openapi.SumLine{Item: l.Item.String(), Amount: Money(l.Amount), Basis: l.Basis}
	}
	return &openapi.Sums{
		Price: Money(s.Price), Profit: Money(s.Profit), Lines: All(s.Lines, line),
		Tax: renderTax(s.Tax),
	}
}

func renderTax(t pricing.Tax) openapi.Tax {
	return openapi.Tax{
		Regime: taxRegimes[t.Regime], Rate: t.Rate, Base: Money(t.Base), Due: Money(t.Due),
		Note: t.Note,
	}
}

// taxRegimes maps the regimes to the contract's names.
var taxRegimes = map[pricing.Regime]openapi.TaxRegime{
	pricing.NoTax:        openapi.TaxRegimeNone,
	pricing.StandardTax:  openapi.TaxRegimeStandard,
	pricing.MarginScheme: openapi.TaxRegimeMargin,
}

// Regimes returns tax regimes by the names of the contract.
func Regimes(list []domain.TaxRegime) []openapi.TaxRegime {
	return All(list, func(r domain.TaxRegime) openapi.TaxRegime { return openapi.TaxRegime(r) })
}

// Amount renders a decimal that was checked to be an amount of its currency when it was
// stored.
func Amount(d decimal.Decimal, currency string) openapi.Money {
	c, err := money.ParseCurrency(currency)
	if err != nil {
		panic("the currency of a stored bid is unknown: " + err.Error())
	}
	return openapi.Money{Amount: d.StringFixed(c.Decimals()), Currency: currency}
}
