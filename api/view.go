package api

import (
	"encoding/json"
	"fmt"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/google/uuid"
)

// This file is the one place where a role's view of a thing is decided. What
// is money as a whole (estimates, bids) is closed to some roles by the guard;
// here is what holds some money among other things.

// viewOf is how an actor is shown things that hold money.
func viewOf(a app.Actor) view {
	if a.Role.May(domain.ReadMoney) {
		return fullView
	}
	return plainView
}

// showWorkshop renders the settings; the plain view leaves the terms out.
func showWorkshop(w app.Versioned[domain.Workshop], v view) openapi.Workshop {
	out := openapi.Workshop{
		ID: w.Value.ID, Name: w.Value.Name, Zone: w.Value.Zone, Open: renderOpeningHours(w.Value.Open),
		Version: w.Version, CreatedAt: w.CreatedAt,
	}
	if v == fullView {
		terms := renderTerms(w.Value.Terms)
		out.Terms = &terms
	}
	return out
}

// showAbsence renders an absence; why a person is away is only for those who
// keep the calendar.
func showAbsence(x domain.Absence, role domain.Role) openapi.Absence {
	out := openapi.Absence{
		ID: x.ID, Person: x.Person, Station: x.Station, Places: x.Places, First: x.First.String(), Last: x.Last.String(), Why: x.Why,
	}
	if x.Person != uuid.Nil && !role.May(domain.WriteSettings) {
		out.Why = ""
	}
	return out
}

// showCatalogue writes the document; the plain view leaves every price out.
func showCatalogue(c *catalogue.Catalogue, v view) (openapi.Catalogue, error) {
	document := c.Canonical()
	if v == fullView {
		return document, nil
	}
	var tree map[string]any
	if err := json.Unmarshal(document, &tree); err != nil {
		return nil, fmt.Errorf("read the catalogue's document: %w", err)
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

// showComparedScope renders one side of a comparison; the plain view leaves the
// money out.
func showComparedScope(c app.ComparedScope, v view) openapi.ComparedScope {
	out := openapi.ComparedScope{
		Scope: c.ID, Instrument: c.Decision.Instrument, Depth: openapi.Depth(c.Decision.Depth), Revision: revisionNumber(c.Revision),
		Hours:      c.PlannedHours,
		ReadyAlone: domain.DateOf(c.Dates.Alone.Ready).String(), ReadyQueued: domain.DateOf(c.Dates.Queued.Ready).String(),
	}
	if v == fullView && c.Costs != nil {
		out.Costs = renderCosts(*c.Costs)
	}
	return out
}

// showMakeOrBuy renders a line both ways; the plain view leaves out costs,
// prices, and which way is cheaper.
func showMakeOrBuy(m domain.MakeOrBuy, v view) openapi.MakeOrBuy {
	out := openapi.MakeOrBuy{
		Operation: string(m.Line.Operation), Name: m.Line.Name, Making: openapi.Making(m.Line.Making), Chance: m.Line.Chance,
	}
	if m.InHouse != nil {
		out.InHouse = renderInHouseWay(*m.InHouse)
	}
	if m.Outside != nil {
		out.Outside = renderOutsideWay(*m.Outside)
	}
	if v != fullView {
		return out
	}
	out.Cheaper = openapi.MakeOrBuyCheaper(m.Cheaper)
	if m.InHouse != nil {
		out.InHouse.Costs = renderCosts(m.InHouse.Costs)
	}
	if m.Outside != nil {
		carriage := renderMoney(m.Outside.Carriage)
		out.Outside.Price, out.Outside.Carriage, out.Outside.Total = renderRange(m.Outside.Price), &carriage, renderRange(m.Outside.Total)
	}
	return out
}

// rows are the rows of one table of a catalogue's document.
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

// showBaseline renders what was planned; the plain view leaves the cost out.
func showBaseline(b domain.Baseline, v view) openapi.Baseline {
	out := renderBaseline(b)
	if v == fullView {
		out.ExpectedCost = renderRange(b.Expected.Total)
	}
	return out
}

// showProposal renders a proposal; the plain view leaves cost and price out.
func showProposal(p app.ShownProposal, v view) openapi.Proposal {
	out := renderProposal(p)
	if v != fullView {
		return out
	}
	out.Cost = renderRange(p.Change.Effect.Cost)
	if p.Price != nil {
		price, limit, unasked := renderMoney(*p.Price), renderMoney(p.Limit), renderMoney(p.Unasked)
		out.Price, out.SpendingLimit, out.AcceptedUnasked = &price, &limit, &unasked
	}
	return out
}

// showPlan renders a plan of the shop; the plain view leaves out what waiting
// costs.
func showPlan(p app.StoredPlan, v view) openapi.Plan {
	out := renderPlan(p)
	if v == fullView {
		objective, bound := renderMoney(p.Result.Objective), renderMoney(p.Result.Bound)
		gap := renderMoney(p.Result.Objective.Sub(p.Result.Bound))
		out.Objective, out.Bound, out.Gap = &objective, &bound, &gap
	}
	return out
}
