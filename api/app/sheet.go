package app

import (
	"context"
	"time"

	"bentside/domain/sheet"

	"github.com/google/uuid"
)

// BidSheet returns a stored bid on one page.
func (a *App) BidSheet(ctx context.Context, actor Actor, id uuid.UUID) (sheet.Sheet, error) {
	r := a.Read(ctx, actor)
	b, err := a.Bid(ctx, actor, id)
	if err != nil {
		return sheet.Sheet{}, err
	}
	c, err := a.catalogueOfBid(ctx, r, b)
	if err != nil {
		return sheet.Sheet{}, err
	}
	zone, err := time.LoadLocation(b.Inputs.Workshop.Zone)
	if err != nil {
		return sheet.Sheet{}, err
	}
	return sheet.Of(sheet.Subject{
		Inputs: b.Inputs, Result: b.Result, Now: b.Now, Catalogue: c, Zone: zone,
	}), nil
}
