package api

import (
	"cmp"
	"context"
	"fmt"

	"bentside/api/convert"

	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/supply"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListSupplierBills lists a page of suppliers' bills, the open or the settled ones.
func (h *handlers) ListSupplierBills(
	ctx context.Context, r ListSupplierBillsRequestObject,
) (ListSupplierBillsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).SupplierBills(ctx, r.Params.Settled, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfBill)
	return ListSupplierBills200JSONResponse{
		Body: openapi.SupplierBillPage{
			Items: convert.All(rows, renderSupplierBill), NextCursor: next.Cursor,
		},
		Headers: ListSupplierBills200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfBill(b postgres.ShownBill) postgres.Place {
	return postgres.Place{CreatedAt: b.RecordedAt, ID: b.ID}
}

// EnterSupplierBill enters a supplier's bill or a credit note.
func (h *handlers) EnterSupplierBill(
	ctx context.Context, r EnterSupplierBillRequestObject,
) (EnterSupplierBillResponseObject, error) {
	sent, err := readSupplierBill(*r.Body)
	if err != nil {
		return nil, err
	}
	b, err := h.app.EnterBill(ctx, middleware.Actor(ctx), sent)
	if err != nil {
		return nil, err
	}
	return EnterSupplierBill201JSONResponse{
		Body: renderSupplierBill(postgres.ShownBill{Bill: b, Balance: b.Total}),
		Headers: EnterSupplierBill201ResponseHeaders{
			Location: "/v1/supplier-bills/" + b.ID.String(),
		},
	}, nil
}

// GetSupplierBill shows a supplier's bill or a credit note.
func (h *handlers) GetSupplierBill(
	ctx context.Context, r GetSupplierBillRequestObject,
) (GetSupplierBillResponseObject, error) {
	b, err := h.app.Read(ctx, middleware.Actor(ctx)).SupplierBill(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	body := renderSupplierBill(b)
	tag, err := etag.Digest(body)
	return GetSupplierBill200JSONResponse{
		Body: body, Headers: GetSupplierBill200ResponseHeaders{ETag: tag},
	}, err
}

// PaySupplierBill records a payment of a supplier's bill.
func (h *handlers) PaySupplierBill(
	ctx context.Context, r PaySupplierBillRequestObject,
) (PaySupplierBillResponseObject, error) {
	on, err := convert.ParseOptionalDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	p := supply.Payment{
		Bill: r.ID, On: on, Amount: convert.ReadMoney(&f, "#/amount", r.Body.Amount),
		Discount:    convert.ReadMoneyOrZero(&f, "#/discount", r.Body.Discount),
		DiscountTax: convert.ReadMoneyOrZero(&f, "#/discount_tax", r.Body.DiscountTax),
		Short:       convert.ReadMoneyOrZero(&f, "#/short", r.Body.Short), Rate: r.Body.Rate,
		Note: r.Body.Note,
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	p, left, err := h.app.PayBill(ctx, middleware.Actor(ctx), p)
	if err != nil {
		return nil, err
	}
	out, balance := renderSupplierPayment(p), convert.Money(left)
	out.Balance = &balance
	return PaySupplierBill201JSONResponse(out), nil
}

// ListUnbilledDeliveries lists a page of what is delivered and not billed.
func (h *handlers) ListUnbilledDeliveries(
	ctx context.Context, r ListUnbilledDeliveriesRequestObject,
) (ListUnbilledDeliveriesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Unbilled(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfUnbilled)
	return ListUnbilledDeliveries200JSONResponse{
		Body: openapi.UnbilledPage{
			Items: convert.All(rows, renderUnbilled), NextCursor: next.Cursor,
		},
		Headers: ListUnbilledDeliveries200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfUnbilled(l postgres.DeliveredLine) postgres.Place {
	return postgres.Place{Key: l.Received.On.String(), ID: l.Received.Receipt}
}

func readSupplierBill(s openapi.SupplierBillDraft) (supply.Bill, error) {
	b := supply.Bill{
		Credits: s.Credits, Supplier: s.Supplier, Reference: s.Reference, Note: s.Note,
		Lines: make([]supply.BillLine, len(s.Lines)), Shared: make([]supply.Shared, len(s.Shared)),
	}
	var err error
	if b.On, err = convert.ParseDay(s.On); err != nil {
		return b, err
	}
	if b.Due, err = convert.ParseOptionalDay(s.DueOn); err != nil {
		return b, err
	}
	var f domain.Faults
	b.Terms = readSupplyTerms(&f, s.Currency, s.Rate)
	b.Tax, b.Total = convert.ReadMoney(&f, "#/tax", s.Tax), convert.ReadMoney(&f, "#/total", s.Total)
	for i, x := range s.Lines {
		b.Lines[i] = supply.BillLine{
			Kind: cmp.Or(supply.LineKind(x.Kind), supply.Goods), Receipt: x.Receipt, Quantity: x.Quantity,
			Unit: x.Unit, TaxRate: x.TaxRate, Weight: x.Weight,
			Amount: convert.ReadMoney(&f, fmt.Sprintf("#/lines/%d/amount", i), x.Amount),
		}
	}
	for i, x := range s.Shared {
		b.Shared[i] = supply.Shared{
			Kind: supply.Extra(x.Kind), By: supply.Sharing(x.By), TaxRate: x.TaxRate, Note: x.Note,
			Amount: convert.ReadMoney(&f, fmt.Sprintf("#/shared/%d/amount", i), x.Amount),
		}
		for _, o := range x.Over {
			b.Shared[i].Over = append(b.Shared[i].Over, supply.Share{
				Receipt: o.Receipt, Instrument: o.Instrument, Weight: o.Weight,
			})
		}
	}
	return b, f.Err()
}

func renderSupplierBill(b postgres.ShownBill) openapi.SupplierBill {
	out := openapi.SupplierBill{
		ID: b.ID, Supplier: b.Supplier, Credits: b.Credits, Reference: b.Reference, On: b.On.String(),
		PostedOn: b.PostedOn.String(),
		DueOn:    convert.DayOrEmpty(b.Due), Currency: b.Currency.Code(), Rate: b.Rate,
		Net: convert.Money(b.Net), Tax: convert.Money(b.Tax), Total: convert.Money(b.Total),
		Value: convert.Money(b.HomeNet),
		Note:  b.Note, RecordedBy: b.RecordedBy, RecordedAt: b.RecordedAt,
		CreditNotes: b.CreditNotes,
	}
	if b.Credits == uuid.Nil {
		balance := convert.Money(b.Balance)
		out.Balance = &balance
	}
	for _, x := range b.Lines {
		out.Lines = append(out.Lines, openapi.BillLine{
			Kind: openapi.BillLineKind(x.Kind), Receipt: x.Receipt, Quantity: x.Quantity, Unit: x.Unit,
			Units: x.Units, Amount: convert.Money(x.Amount), TaxRate: x.TaxRate, Weight: x.Weight,
			Value: convert.Money(x.Home), Accrued: convert.Money(x.Accrued),
		})
	}
	for _, x := range b.Shared {
		out.Shared = append(out.Shared, openapi.BillShared{
			Kind: openapi.SharedKind(x.Kind), By: openapi.SharedBy(x.By), Amount: convert.Money(x.Amount),
			TaxRate: x.TaxRate, Note: x.Note, Value: convert.Money(x.Home),
			Over: convert.All(x.Over, func(s supply.Share) openapi.BillShare {
				return openapi.BillShare{
					Receipt: s.Receipt, Instrument: s.Instrument, Weight: s.Weight,
					Value: convert.Money(s.Home),
				}
			}),
		})
	}
	for _, x := range b.Adjustments {
		out.Adjustments = append(out.Adjustments, openapi.CostAdjustment{
			Receipt: x.Receipt, Part: x.Part, Amount: convert.Money(x.Amount), Apart: convert.Money(x.Apart),
			Move: x.Move,
		})
	}
	for _, p := range b.Payments {
		out.Payments = append(out.Payments, renderSupplierPayment(p))
	}
	return out
}

func renderSupplierPayment(p supply.Payment) openapi.SupplierPayment {
	return openapi.SupplierPayment{
		ID: p.ID, Bill: p.Bill, On: p.On.String(), PostedOn: p.PostedOn.String(),
		Amount:   convert.Money(p.Amount),
		Discount: convert.Money(p.Discount), DiscountTax: convert.Money(p.DiscountTax),
		Short: convert.Money(p.Short), Value: convert.Money(p.HomeAmount),
		Exchange: convert.Money(p.Exchange), Note: p.Note, RecordedBy: p.RecordedBy,
		RecordedAt: p.RecordedAt,
	}
}

func renderUnbilled(l postgres.DeliveredLine) openapi.UnbilledLine {
	r := l.Received
	return openapi.UnbilledLine{
		Receipt: r.Receipt, Order: r.Order, Line: r.Line, Part: r.Part, Supplier: r.Supplier,
		Reference: r.Reference, On: r.On.String(), Units: r.Units, Billed: r.Billed,
		Returned: r.Returned, Credited: r.Credited, Unbilled: r.Unbilled(),
		Value: convert.Money(r.Owed()),
	}
}
