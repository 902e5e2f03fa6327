package api

import (
	"encoding/json"
	"fmt"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/stock"
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
		Open: renderOpeningHours(w.Value.Open), Version: w.Version, CreatedAt: w.CreatedAt,
	}
	if v == withMoney {
		terms := renderTerms(w.Value.Terms)
		out.Terms = &terms
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
		Revision: revisionNumber(c.Revision), Hours: c.PlannedHours,
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
		carriage := renderMoney(m.Outside.Carriage)
		out.Outside.Price, out.Outside.Total = renderRange(m.Outside.Price), renderRange(m.Outside.Total)
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
		value := renderMoney(s.Value)
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
		Of: m.Of, Supplier: m.Supplier, Reference: m.Reference, Note: m.Note,
		RecordedBy: m.RecordedBy, RecordedAt: m.RecordedAt,
	}
	if v == withMoney {
		value, held := renderMoney(m.Value), renderMoney(m.HeldValue)
		out.Value, out.HeldValue = &value, &held
	}
	if len(m.Entries) > 0 {
		out.Entries = convertAll(m.Entries, v.stockEntry)
	}
	return out
}

func (v view) stockEntry(e stock.Entry) openapi.StockEntry {
	out := openapi.StockEntry{Receipt: e.Layer, OutOn: e.OutOn, Quantity: e.Quantity}
	if v == withMoney {
		value := renderMoney(e.Value)
		out.Value = &value
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
		out.ExpectedCost = renderSpan(b.Expected.Total)
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
			OriginalPrice: renderOptional(b.Opening.OriginalPrice),
			CostSoFar:     renderOptional(b.Opening.CostSoFar),
			Deposit:       renderOptional(b.Opening.Deposit),
		}
	}
}

// proposal renders a proposal.
func (v view) proposal(p app.ShownProposal) openapi.Proposal {
	out := renderProposal(p)
	if v != withMoney {
		return out
	}
	out.Cost = renderLikely(p.Change.Effect.Cost)
	if p.Price != nil {
		price, unasked := renderMoney(*p.Price), renderMoney(p.Allowance.Spent)
		out.Price, out.AcceptedUnasked = &price, &unasked
		if p.Allowance.Limit != nil {
			limit := renderMoney(*p.Allowance.Limit)
			out.SpendingLimit = &limit
		}
	}
	return out
}

// plan renders a plan of the shop; without money, what waiting costs is left out.
func (v view) plan(p app.StoredPlan) openapi.Plan {
	out := renderPlan(p)
	if v == withMoney {
		objective, bound := renderMoney(p.Result.Objective), renderMoney(p.Result.Bound)
		gap := renderMoney(p.Result.Objective.Sub(p.Result.Bound))
		out.Objective, out.Bound, out.Gap = &objective, &bound, &gap
	}
	return out
}
