package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/contract"
	"bentside/openapi"
)

// contractNote says what the figures of a contract rest on.
const contractNote = "What the rest of the work will cost is what is expected today, also for a day " +
	"that is past. Deposits that are held are owed to the client and set off against nothing; one that " +
	"an invoice took up has paid that invoice. Which accounting policy holds, and what may be kept of " +
	"what is invoiced, is for your accountant and the law."

// GetClientContract shows how the contract of a client's job stands in the books.
func (h *handlers) GetClientContract(
	ctx context.Context, r GetClientContractRequestObject,
) (GetClientContractResponseObject, error) {
	day, err := convert.ParseOptionalDay(r.Params.AsOf)
	if err != nil {
		return nil, err
	}
	c, err := h.app.Contract(ctx, middleware.Actor(ctx), r.ID, day)
	if err != nil {
		return nil, err
	}
	body := renderContract(c)
	tag, err := etag.Digest(body)
	return GetClientContract200JSONResponse{
		Body: body, Headers: GetClientContract200ResponseHeaders{ETag: tag},
	}, err
}

// ListClientContracts lists a page of the contracts of all clients' jobs, with what all come to.
func (h *handlers) ListClientContracts(
	ctx context.Context, r ListClientContractsRequestObject,
) (ListClientContractsResponseObject, error) {
	day, err := convert.ParseOptionalDay(r.Params.AsOf)
	if err != nil {
		return nil, err
	}
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	all, err := h.app.Contracts(ctx, middleware.Actor(ctx), day, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, all.Page,
		func(v domain.Versioned[app.Contract]) postgres.Place {
			return page.PlaceOf(v, v.Value.Job)
		})
	return ListClientContracts200JSONResponse{
		Body: openapi.ContractPage{
			Items: convert.All(rows, func(v domain.Versioned[app.Contract]) openapi.Contract {
				return renderContract(v.Value)
			}),
			NextCursor: next.Cursor, AsOf: all.On.String(), Policy: openapi.RevenuePolicy(all.Policy),
			Count:    int64(all.Count),
			AsPosted: renderContractSums(all.AsPosted), AsKnown: renderContractSums(all.AsKnown),
		},
		Headers: ListClientContracts200ResponseHeaders{Link: next.Link},
	}, nil
}

func renderContract(c app.Contract) openapi.Contract {
	out := openapi.Contract{
		Job: c.Job, Instrument: c.Instrument, Client: c.Client, AsOf: c.On.String(),
		Policy: openapi.RevenuePolicy(c.Policy), Accepted: convert.All(c.Accepted, renderAccepted),
		AsPosted: renderStanding(c.AsPosted), AsKnown: renderStanding(c.AsKnown), Note: contractNote,
	}
	if c.Settlement != nil {
		out.Settlement = renderSettlement(*c.Settlement)
	}
	return out
}

func renderAccepted(a contract.Accepted) openapi.AcceptedPrice {
	return openapi.AcceptedPrice{
		Kind: openapi.AcceptedPriceKind(a.Kind), ID: a.ID, On: a.On.String(), Net: convert.Money(a.Net),
		Tax: convert.Money(a.Tax), Total: convert.Money(a.Total()),
	}
}

func renderStanding(p app.ContractPosition) openapi.ContractStanding {
	return openapi.ContractStanding{
		Stage: openapi.ContractStandingStage(p.Stage), Progress: p.Progress,
		Sums: renderContractSums(p),
	}
}

func renderContractSums(p app.ContractPosition) openapi.ContractSums {
	return openapi.ContractSums{
		Price: convert.Money(p.Price), Cost: convert.Money(p.Cost),
		ExpectedCost: convert.Money(p.Expected), Revenue: convert.Money(p.Revenue),
		Expensed: convert.Money(p.Expensed), Deferred: convert.Money(p.Deferred),
		ExpectedLoss: convert.Money(p.Loss), Profit: convert.Money(p.Profit()),
		Invoiced: convert.Money(p.Invoiced), ContractAsset: convert.Money(p.Asset),
		ContractLiability: convert.Money(p.Liability), DepositsHeld: convert.Money(p.Held),
		DepositsKept: convert.Money(p.Kept),
	}
}
