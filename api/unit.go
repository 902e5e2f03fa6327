package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// ListUnits lists the units of the newest catalogue's points, each with those
// that its readings may be entered in, in the order of the points.
func (h *handlers) ListUnits(ctx context.Context, _ ListUnitsRequestObject) (ListUnitsResponseObject, error) {
	c, err := h.app.Catalogue(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	list := openapi.UnitList{Items: []openapi.Unit{}}
	seen := map[string]bool{"": true} // what is not measured has no unit
	for _, p := range c.Catalogue.Points {
		if !seen[p.Unit] {
			seen[p.Unit] = true
			list.Items = append(list.Items, openapi.Unit{Unit: p.Unit, Accepts: domain.UnitsFor(p.Unit)})
		}
	}
	return ListUnits200JSONResponse(list), nil
}
