package api

import (
	"context"

	"bentside/api/convert"

	"bentside/api/middleware"
	"bentside/domain/supply"
	"bentside/openapi"
)

// GetLeadTimes shows how long suppliers take with a part.
func (h *handlers) GetLeadTimes(
	ctx context.Context, r GetLeadTimesRequestObject,
) (GetLeadTimesResponseObject, error) {
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Part(ctx, r.ID); err != nil {
		return nil, err
	}
	times, err := reader.LeadTimes(ctx, r.ID)
	return GetLeadTimes200JSONResponse{Items: convert.All(times[r.ID], renderLeadTime)}, err
}

func renderLeadTime(t supply.LeadTime) openapi.LeadTime {
	out := openapi.LeadTime{Supplier: t.Supplier, Deliveries: t.Deliveries}
	if t.Days != nil {
		out.Low, out.Likely, out.High = t.Days.Low, t.Days.Likely, t.Days.High
	}
	return out
}

// GetShortages shows what is short and what to order.
func (h *handlers) GetShortages(
	ctx context.Context, _ GetShortagesRequestObject,
) (GetShortagesResponseObject, error) {
	short, err := h.app.Shortages(ctx, middleware.Actor(ctx))
	return GetShortages200JSONResponse{
		Items:  convert.All(short, renderShortage),
		Orders: convert.All(supply.Propose(short), renderOrderProposal),
	}, err
}

func renderShortage(x supply.Shortage) openapi.Shortage {
	out := openapi.Shortage{
		Part: x.Part.ID, Code: x.Part.Code, Name: x.Part.Name, Unit: x.Part.Unit, Short: x.Short,
		OrderBy: convert.DayOrEmpty(x.OrderBy),
	}
	if n := x.Need; n != nil {
		out.Job, out.Operation = n.Job, openapi.OperationCode(n.Operation)
		out.Wanted, out.WantedOn = &n.Units, convert.DayOrEmpty(n.On)
	}
	return out
}

func renderOrderProposal(p supply.ProposedOrder) openapi.OrderProposal {
	return openapi.OrderProposal{
		Supplier: p.Supplier,
		Lines: convert.All(p.Lines, func(l supply.ProposedLine) openapi.OrderProposalLine {
			return openapi.OrderProposalLine{
				Part: l.Part, Quantity: l.Quantity, Unit: l.Unit, OrderBy: convert.DayOrEmpty(l.OrderBy),
			}
		}),
	}
}
