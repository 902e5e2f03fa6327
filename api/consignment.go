package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"
	"bentside/openapi"
)

// ConsignInstrument records on what terms we sell an instrument for its owner.
func (h *handlers) ConsignInstrument(
	ctx context.Context, r ConsignInstrumentRequestObject,
) (ConsignInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	c := sale.Consignment{
		Instrument: r.ID, Share: b.CommissionShare, On: on, Reference: b.Reference, Note: b.Note,
		Least:      convert.ReadMoneyOrZero(&f, "#/least_commission", b.LeastCommission),
		Borne:      convert.ReadMoneyOrZero(&f, "#/owner_bears", b.OwnerBears),
		LeastPrice: convert.ReadOptionalMoney(&f, "#/least_price", b.LeastPrice),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	c, err = h.app.Consign(ctx, middleware.Actor(ctx), c)
	if err != nil {
		return nil, err
	}
	return ConsignInstrument201JSONResponse(renderConsignment(c)), nil
}

// EndConsignment records that an instrument is no longer ours to sell for its owner.
func (h *handlers) EndConsignment(
	ctx context.Context, r EndConsignmentRequestObject,
) (EndConsignmentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	c, err := h.app.EndConsignment(ctx, middleware.Actor(ctx), r.ID, sale.ConsignmentEnd{
		Stays: b.Stays, On: on, Note: b.Why,
	})
	if err != nil {
		return nil, err
	}
	return EndConsignment201JSONResponse(renderConsignment(c)), nil
}

// ListConsignments lists a page of the consignments of an instrument.
func (h *handlers) ListConsignments(
	ctx context.Context, r ListConsignmentsRequestObject,
) (ListConsignmentsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Consignments(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(c sale.Consignment) postgres.Place {
		return postgres.Place{CreatedAt: c.RecordedAt, ID: c.ID}
	})
	return ListConsignments200JSONResponse{
		Body: openapi.ConsignmentPage{
			Items: convert.All(rows, renderConsignment), NextCursor: next.Cursor,
		},
		Headers: ListConsignments200ResponseHeaders{Link: next.Link},
	}, nil
}

func renderConsignment(c sale.Consignment) openapi.ConsignmentTerms {
	out := openapi.ConsignmentTerms{
		ID: c.ID, Instrument: c.Instrument, Number: int32(c.Number), //nolint:gosec // far fewer
		Owner: c.Owner, CommissionShare: c.Share, LeastCommission: convert.Money(c.Least),
		OwnerBears: convert.Money(c.Borne), LeastPrice: convert.OptionalMoney(c.LeastPrice),
		On: c.On.String(), Reference: c.Reference, Note: c.Note, RecordedBy: c.RecordedBy,
		RecordedAt: c.RecordedAt,
	}
	if e := c.End; e != nil {
		out.End = &openapi.ConsignmentEnd{
			Stays: e.Stays, On: e.On.String(), PostedOn: e.PostedOn.String(), Why: e.Note,
			RecordedBy: e.RecordedBy, RecordedAt: e.RecordedAt,
		}
	}
	return out
}

// renderAgency renders what becomes of the price of what was sold for its owner; nil where it was
// ours.
func renderAgency(x sale.Sale) *openapi.SaleForOwner {
	a := x.Agency
	if a == nil {
		return nil
	}
	return &openapi.SaleForOwner{
		Consignment: a.Consignment, Owner: a.Owner, Commission: convert.Money(a.Commission),
		OwnerBears: convert.Money(a.Borne), Owed: convert.Money(a.Owed(x.Price)),
	}
}
