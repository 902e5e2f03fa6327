package api

import (
	"context"

	"bentside/api/middleware"
	"bentside/domain"
	"bentside/openapi"
)

// ListUnits lists the units of the points of the newest catalogue, in the order of the points, each
// with the units in which its readings may be entered.
func (h *handlers) ListUnits(
	ctx context.Context, _ ListUnitsRequestObject,
) (ListUnitsResponseObject, error) {
	c, err := h.app.Catalogue(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	list := openapi.UnitList{Items: []openapi.Unit{}}
	seen := map[string]bool{"": true} // points that are not measured
	for _, p := range c.Catalogue.Points {
		if !seen[p.Unit] {
			seen[p.Unit] = true
			list.Items = append(list.Items, openapi.Unit{Unit: p.Unit, Accepts: domain.UnitsFor(p.Unit)})
		}
	}
	return ListUnits200JSONResponse(list), nil
}
