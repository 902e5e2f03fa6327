package api

import (
	"context"

	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/scope"
	"bentside/openapi"
)

// ListStops lists what stops an instrument.
func (h *handlers) ListStops(
	ctx context.Context, r ListStopsRequestObject,
) (ListStopsResponseObject, error) {
	stops, err := h.app.Stops(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.StopList{
		Items: convertAll(stops, renderStop), Deference: catalogue.Deference,
	}
	tag, err := etag.Digest(body)
	return ListStops200JSONResponse{Body: body, Headers: ListStops200ResponseHeaders{ETag: tag}}, err
}

// ListClearances lists a page of the clearances of an instrument.
func (h *handlers) ListClearances(
	ctx context.Context, r ListClearancesRequestObject,
) (ListClearancesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Clearances(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfClearance)
	return ListClearances200JSONResponse{
		Body: openapi.ClearancePage{
			Items: convertAll(rows, renderClearance), NextCursor: next.Cursor,
		},
		Headers: ListClearances200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfClearance(c clearance.Clearance) postgres.Place {
	return postgres.Place{CreatedAt: c.RecordedAt, ID: c.ID}
}

// RecordClearance clears a stop of an instrument, or withdraws a clearance.
func (h *handlers) RecordClearance(
	ctx context.Context, r RecordClearanceRequestObject,
) (RecordClearanceResponseObject, error) {
	b := r.Body
	on, err := parseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	dated, err := parseOptionalDay(b.Dated)
	if err != nil {
		return nil, err
	}
	c, err := h.app.Clear(ctx, middleware.Actor(ctx), clearance.Clearance{
		Instrument: r.ID, Stop: b.Stop, By: b.By, Says: b.Says, On: on, Reference: b.Reference,
		Dated: dated, Withdraws: b.Withdraws,
	})
	if err != nil {
		return nil, err
	}
	return RecordClearance201JSONResponse(renderClearance(c)), nil
}

func renderClearance(c clearance.Clearance) openapi.Clearance {
	return openapi.Clearance{
		ID: c.ID, Instrument: c.Instrument, Stop: c.Stop, Finding: c.Finding.Text, Places: c.Places,
		Owner: openapi.Ownership(c.Owner), Party: c.Party, Country: c.Country, Until: c.Until,
		By: c.By, Says: c.Says, On: c.On.String(), Reference: c.Reference, Dated: dayOrEmpty(c.Dated),
		Withdraws: c.Withdraws, RecordedBy: c.RecordedBy, RecordedAt: c.RecordedAt,
	}
}

func renderStop(s clearance.Stop) openapi.Stop {
	out := openapi.Stop{
		Stop: s.ID, Point: string(s.Point), Says: s.Says,
		Bars:  notNull(convertTexts[catalogue.Act, openapi.Act](s.Barred())),
		Acts:  convertTexts[catalogue.Act, openapi.Act](s.Acts),
		Until: s.Until, Law: s.Law, Relief: openapi.StopRelief(s.Relief),
		Roles:  convertTexts[string, openapi.Role](s.Roles),
		Looks:  convertTexts[string, openapi.Role](s.Looks),
		Repair: convertTexts[catalogue.Code, openapi.OperationCode](s.Repair), Repaired: s.Repaired,
		Mended: s.Mended,
		Donor:  s.Donor, Country: s.Country, Standing: string(s.Standing),
	}
	if s.Finding.Severity != catalogue.Unknown {
		out.Found = s.Finding.Text
	}
	if mind := catalogue.Caution(s.Hazard); mind != "" {
		out.Caution = mind + " " + catalogue.Deference
	}
	if c := s.Clearance; c != nil {
		out.Cleared = renderClearedStop(*c, "")
	}
	out.Lifting, out.Disputing = renderLook(s.Lifting), renderLook(s.Disputing)
	if l := s.Lapsed; l != nil {
		out.Lapsed = renderClearedStop(l.Clearance, l.Why)
	}
	return out
}

// renderLook renders a later look; one that is empty is left out.
func renderLook(l *clearance.Look) openapi.LaterLook {
	if l == nil {
		return openapi.LaterLook{}
	}
	return openapi.LaterLook{
		By: l.By, Role: openapi.Role(l.As), User: l.User, On: l.On.String(), Found: l.Says,
	}
}

func renderClearedStop(c clearance.Clearance, why string) openapi.ClearedStop {
	return openapi.ClearedStop{
		Clearance: c.ID, By: c.By, Says: c.Says, On: c.On.String(), Reference: c.Reference,
		Dated: dayOrEmpty(c.Dated), Why: why,
	}
}

// renderUndoable renders work that can't be done.
func renderUndoable(s scope.Stop) openapi.Stop {
	return openapi.Stop{
		Says: s.Text, Bars: []openapi.Act{openapi.Act(catalogue.ToBuy), openapi.Act(catalogue.ToWork)},
	}
}

// renderBidStops renders what stops a way of a bid. Up to engine 8 that stood in its scope, and
// what cleared it in the bid.
func renderBidStops(w bid.WayResult) []openapi.Stop {
	list := convertAll(w.Stops, renderStop)
	for _, s := range w.Scope.Stops {
		stop := renderUndoable(s)
		stop.Point = string(s.Point)
		for _, c := range w.Cleared {
			if c.Point == s.Point {
				stop.Bars = []openapi.Act{}
				stop.Cleared = openapi.ClearedStop{By: c.By, Says: c.Why}
			}
		}
		list = append(list, stop)
	}
	return list
}
