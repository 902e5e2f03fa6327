package api

import (
	"encoding/json"
	"fmt"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/openapi"

	"github.com/google/uuid"
)

// This file alone decides what a role is shown of a resource that holds money among other things.
// Resources that are all money (estimates, bids) are closed to some roles by the guard.

// view says whether a role is shown money; its methods render the resources that differ by it. The
// tag covers the view, so that somebody who is shown less cannot overwrite what they did not see.
type view int

const (
	withMoney view = iota
	withoutMoney
)

// tag returns the ETag of a version as shown in this view.
func (v view) tag(version int64) string {
	if v == withMoney {
		return etag.Version(version)
	}
	return etag.PlainVersion(version)
}

// viewOf returns the view of an actor.
func viewOf(a app.Actor) view {
	if a.Role.May(domain.ReadMoney) {
		return withMoney
	}
	return withoutMoney
}

// workshop renders the settings; without money, the terms are left out.
func (v view) workshop(w app.Versioned[domain.Workshop]) openapi.Workshop {
	out := openapi.Workshop{
		ID: w.Value.ID, Name: w.Value.Name, Zone: w.Value.Zone, Country: w.Value.Country,
		Open: convert.OpeningHours(w.Value.Open), Version: w.Version, CreatedAt: w.CreatedAt,
	}
	if v == withMoney {
		terms := renderTerms(w.Value.Terms)
		out.Terms = &terms
		out.ClientRevenue = openapi.RevenuePolicy(w.Value.Revenue)
	}
	return out
}

// renderAbsence renders an absence; only those who keep the calendar are shown why a person is
// away.
func renderAbsence(x domain.Absence, role domain.Role) openapi.Absence {
	out := openapi.Absence{
		ID: x.ID, Person: x.Person, Station: x.Station, Places: x.Places, First: x.First.String(),
		Last: x.Last.String(), Why: x.Why,
	}
	if x.Person != uuid.Nil && !role.May(domain.WriteSettings) {
		out.Why = ""
	}
	return out
}

// catalogue renders the document; without money, every price is left out.
func (v view) catalogue(c *catalogue.Catalogue) (openapi.Catalogue, error) {
	document := c.Canonical()
	if v == withMoney {
		return document, nil
	}
	var tree map[string]any
	if err := json.Unmarshal(document, &tree); err != nil {
		return nil, fmt.Errorf("decode the catalogue's document: %w", err)
	}
	for _, row := range rows(tree, "materials") {
		delete(row, "unit_price")
	}
	for _, row := range rows(tree, "operations") {
		if buying, ok := row["buying"].(map[string]any); ok {
			delete(buying, "price")
			delete(buying, "carriage")
		}
	}
	return json.Marshal(tree)
}

// comparedScope renders one side of a comparison.
func (v view) comparedScope(c app.ComparedScope) openapi.ComparedScope {
	out := openapi.ComparedScope{
		Scope: c.ID, Instrument: c.ScopeRecord.Instrument, Depth: openapi.Depth(c.ScopeRecord.Depth),
		Revision: convert.RevisionNumber(c.Revision), Hours: c.PlannedHours,
		ReadyAlone:  domain.DateOf(c.Dates.Alone.Ready).String(),
		ReadyQueued: domain.DateOf(c.Dates.Queued.Ready).String(),
	}
	if v == withMoney && c.Costs != nil {
		out.Costs = renderCosts(*c.Costs)
	}
	return out
}

// makeOrBuy renders a line both ways; without money, it does not say which way is cheaper.
func (v view) makeOrBuy(m plan.MakeOrBuy) openapi.MakeOrBuy {
	out := openapi.MakeOrBuy{
		Operation: string(m.Line.Operation), Name: m.Line.Name, Making: openapi.Making(m.Line.Making),
		Chance: m.Line.Chance,
	}
	if m.InHouse != nil {
		out.InHouse = renderInHouseWay(*m.InHouse)
	}
	if m.Outside != nil {
		out.Outside = renderOutsideWay(*m.Outside)
	}
	if v != withMoney {
		return out
	}
	out.Cheaper = openapi.MakeOrBuyCheaper(m.Cheaper)
	if m.InHouse != nil {
		out.InHouse.Costs = renderLineCosts(m.InHouse.Costs)
	}
	if m.Outside != nil {
		carriage := convert.Money(m.Outside.Carriage)
		out.Outside.Price = convert.MoneyRange(m.Outside.Price)
		out.Outside.Total = convert.MoneyRange(m.Outside.Total)
		out.Outside.Carriage = &carriage
	}
	return out
}

// stockedPart renders what is in stock of a part; without money, not what it has cost.
func (v view) stockedPart(s postgres.StockedPart) openapi.StockedPart {
	p := s.Versioned.Value
	out := openapi.StockedPart{
		Part: p.ID, Code: p.Code, Name: p.Name, Unit: p.Unit, Method: openapi.ValuationMethod(s.Method),
		Quantity: s.Quantity, Minimum: p.Minimum, BelowMinimum: s.Quantity.LessThan(p.Minimum),
	}
	if v == withMoney {
		value := convert.Money(s.Value)
		out.Value = &value
	}
	return out
}

// stockMove renders a move; without money, no values.
func (v view) stockMove(m stock.Move) openapi.StockMove {
	out := openapi.StockMove{
		ID: m.ID, Part: m.Part, Number: m.Number, Kind: openapi.RecordedMoveKind(m.Kind),
		Quantity: m.Quantity, Entered: m.Entered, Unit: m.Unit, Held: m.Held, On: m.On.String(),
		PostedOn: m.PostedOn.String(), Job: m.Job, Operation: openapi.OperationCode(m.Operation),
		Of: m.Of, CountsAs: openapi.StockCountsAs(m.CountsAs), Supplier: m.Supplier,
		Reference: m.Reference, Note: m.Note, RecordedBy: m.RecordedBy, RecordedAt: m.RecordedAt,
	}
	if v == withMoney {
		value, held := convert.Money(m.Value), convert.Money(m.HeldValue)
		out.Value, out.HeldValue = &value, &held
	}
	if len(m.Entries) > 0 {
		out.Entries = convert.All(m.Entries, v.stockEntry)
	}
	return out
}

func (v view) stockEntry(e stock.Entry) openapi.StockEntry {
	out := openapi.StockEntry{Receipt: e.Layer, OutOn: e.OutOn, Quantity: e.Quantity}
	if v == withMoney {
		value := convert.Money(e.Value)
		out.Value = &value
	}
	return out
}

// order renders an order; without money, no prices.
func (v view) order(o app.Versioned[supply.Order]) openapi.Order {
	x := o.Value
	return openapi.Order{
		ID: x.ID, Supplier: x.Supplier, Currency: x.Currency.Code(), Rate: x.Rate,
		OrderedOn: x.OrderedOn.String(), ExpectedOn: x.Expected.String(), Reference: x.Reference,
		Note: x.Note, State: openapi.OrderState(x.State()), Lines: convert.All(x.Lines, v.orderLine),
		Version: o.Version, CreatedAt: o.CreatedAt, FirstExpectedOn: changedDay(x),
	}
}

// changedDay returns the day on which an order was expected at first; empty where it still is.
func changedDay(o supply.Order) openapi.Day {
	if o.FirstExpected == o.Expected {
		return ""
	}
	return o.FirstExpected.String()
}

func (v view) orderLine(l supply.Line) openapi.OrderLine {
	out := openapi.OrderLine{
		Number: l.Number, Part: l.Part, Quantity: l.Quantity, Unit: l.Unit, Units: l.Units, Job: l.Job,
		Operation: openapi.OperationCode(l.Operation), Delivered: l.Delivered, Replaced: l.Replaced,
		Cancelled: l.Cancelled, Outstanding: l.Outstanding(),
	}
	if v == withMoney {
		price := convert.Money(l.Price)
		out.Price, out.PriceEach = &price, l.Each
	}
	return out
}

// delivery renders a delivery; without money, no prices.
func (v view) delivery(d postgres.ShownDelivery) openapi.Delivery {
	return openapi.Delivery{
		ID: d.ID, Order: d.Order, Supplier: d.Supplier, Reference: d.Reference, On: d.On.String(),
		PostedOn: d.PostedOn.String(), Note: d.Note, Lines: convert.All(d.Shown, v.arrival),
		RecordedBy: d.RecordedBy,
		RecordedAt: d.RecordedAt,
	}
}

func (v view) arrival(l postgres.DeliveredLine) openapi.Arrival {
	a := l.Arrival
	out := openapi.Arrival{
		Line: a.Line, Part: a.Part, Receipt: a.Receipt, Issue: a.Issue, Quantity: a.Quantity,
		Unit: a.Unit, Units: a.Units, Reason: a.Reason, Returned: l.Returned, Billed: l.Billed,
		Reversed: l.Reversed,
	}
	if v == withMoney {
		price, value := convert.Money(a.Price), convert.Money(a.Value)
		out.Price, out.Value = &price, &value
	}
	return out
}

// rows returns the rows of a table of a catalogue's document.
func rows(tree map[string]any, table string) []map[string]any {
	list, _ := tree[table].([]any)
	out := make([]map[string]any, 0, len(list))
	for _, x := range list {
		if row, ok := x.(map[string]any); ok {
			out = append(out, row)
		}
	}
	return out
}

// baseline renders what was planned when a job was accepted.
func (v view) baseline(b job.Baseline) openapi.Baseline {
	out := renderBaseline(b)
	if v == withMoney {
		out.ExpectedCost = convert.MoneySpan(b.Expected.Total)
	}
	return out
}

// addBasis adds what a job rests on; without money, the sums of old records are left out.
func (v view) addBasis(j *openapi.Job, b app.JobBasis) {
	j.Quotation = b.Quotation
	if c := b.Consent; c != nil {
		j.Consent = &openapi.JobConsent{
			Party: c.Party, GivenOn: c.On.String(), How: c.How, To: c.To, ScopeVersion: c.Version,
			InsteadOf: c.Instead, RecordedBy: c.RecordedBy, RecordedAt: c.RecordedAt,
		}
	}
	if v == withMoney && b.Opening != nil {
		j.Opening = &openapi.JobOpening{
			OriginalPrice: convert.OptionalMoney(b.Opening.OriginalPrice),
			CostSoFar:     convert.OptionalMoney(b.Opening.CostSoFar),
			Deposit:       convert.OptionalMoney(b.Opening.Deposit),
		}
	}
}

// proposal renders a proposal.
func (v view) proposal(p app.ShownProposal) openapi.Proposal {
	out := renderProposal(p)
	if v != withMoney {
		return out
	}
	out.Cost = convert.LikelyMoney(p.Change.Effect.Cost)
	if p.Price != nil {
		price, unasked := convert.Money(*p.Price), convert.Money(p.Allowance.Spent)
		out.Price, out.AcceptedUnasked = &price, &unasked
		if p.Allowance.Limit != nil {
			limit := convert.Money(*p.Allowance.Limit)
			out.SpendingLimit = &limit
		}
	}
	return out
}

// plan renders a plan of the shop; without money, what waiting costs is left out.
func (v view) plan(p app.StoredPlan) openapi.Plan {
	out := renderPlan(p)
	if v == withMoney {
		objective, bound := convert.Money(p.Result.Objective), convert.Money(p.Result.Bound)
		gap := convert.Money(p.Result.Objective.Sub(p.Result.Bound))
		out.Objective, out.Bound, out.Gap = &objective, &bound, &gap
	}
	return out
}
