package api

import (
	"cmp"
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// GetWorkshop shows the settings of the workshop.
func (h *handlers) GetWorkshop(
	ctx context.Context, _ GetWorkshopRequestObject,
) (GetWorkshopResponseObject, error) {
	a := middleware.Actor(ctx)
	w, err := h.app.Read(ctx, a).Workshop(ctx)
	if err != nil {
		return nil, err
	}
	v := viewOf(a)
	return GetWorkshop200JSONResponse{
		Body: v.workshop(w), Headers: GetWorkshop200ResponseHeaders{ETag: v.tag(w.Version)},
	}, nil
}

// PutWorkshop replaces the settings of the workshop.
func (h *handlers) PutWorkshop(
	ctx context.Context, r PutWorkshopRequestObject,
) (PutWorkshopResponseObject, error) {
	a := middleware.Actor(ctx)
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	settings, err := readWorkshop(*r.Body)
	if err != nil {
		return nil, err
	}
	w, err := h.app.ChangeWorkshop(ctx, a, settings, version)
	if err != nil {
		return nil, convert.NameWeekdays(err)
	}
	v := viewOf(a)
	return PutWorkshop200JSONResponse{
		Body: v.workshop(w), Headers: PutWorkshop200ResponseHeaders{ETag: v.tag(w.Version)},
	}, nil
}

func readWorkshop(s openapi.WorkshopSettings) (domain.Workshop, error) {
	open, err := convert.ReadOpeningHours(s.Open)
	return domain.Workshop{
		Name: s.Name, Zone: s.Zone, Country: s.Country, Terms: readTerms(s.Terms), Open: open,
		Revenue: cmp.Or(domain.RevenuePolicy(s.ClientRevenue), domain.OverTime),
	}, err
}

func readTerms(t openapi.Terms) domain.Terms {
	financed, limit := domain.DefaultWorkFinanced, domain.DefaultLossLimit
	if t.WorkFinanced != nil {
		financed = *t.WorkFinanced
	}
	if t.LossLimit != nil {
		limit = *t.LossLimit
	}
	rates := make(map[string]decimal.Decimal, len(t.LabourRates))
	for skill, rate := range t.LabourRates {
		rates[skill] = rate
	}
	return domain.Terms{
		Currency: t.Currency, LabourRates: rates, OverheadRate: t.OverheadRate,
		TaxRegime: domain.TaxRegime(t.TaxRegime), TaxRate: t.TaxRate, TargetShare: t.TargetShare,
		SellingShare: t.SellingShare, SellingFixed: t.SellingFixed, FinanceRate: t.FinanceRate,
		StoragePerDay: t.StoragePerDay, DaysOnFloor: t.DaysOnFloor, BiddingStep: t.BiddingStep,
		UnknownOdds: readOdds(t.UnknownOdds), WorkFinanced: financed, LossLimit: limit,
		Uncertainty: convert.ReadUncertainty(t.Uncertainty),
	}
}

func renderTerms(t domain.Terms) openapi.Terms {
	rates := make(map[string]openapi.Rate, len(t.LabourRates))
	for skill, rate := range t.LabourRates {
		rates[skill] = rate
	}
	return openapi.Terms{
		Currency: t.Currency, LabourRates: rates, OverheadRate: t.OverheadRate,
		TaxRegime: openapi.TaxRegime(t.TaxRegime), TaxRate: t.TaxRate, TargetShare: t.TargetShare,
		SellingShare: t.SellingShare, SellingFixed: t.SellingFixed, FinanceRate: t.FinanceRate,
		StoragePerDay: t.StoragePerDay, DaysOnFloor: t.DaysOnFloor, BiddingStep: t.BiddingStep,
		UnknownOdds: renderOdds(t.UnknownOdds), WorkFinanced: &t.WorkFinanced, LossLimit: &t.LossLimit,
		Uncertainty: convert.Uncertainty(t.Uncertainty),
	}
}

func readOdds(u openapi.UnknownOdds) domain.UnknownOdds {
	read := func(o openapi.Odds) domain.Odds {
		return domain.Odds{Sound: o.Sound, Attention: o.Attention, MustAct: o.MustAct}
	}
	odds := domain.UnknownOdds{
		Default: read(u.Default), Points: make(map[catalogue.PointCode]domain.Odds, len(u.Points)),
	}
	for p, o := range u.Points {
		odds.Points[catalogue.PointCode(p)] = read(o)
	}
	return odds
}

func renderOdds(u domain.UnknownOdds) openapi.UnknownOdds {
	render := func(o domain.Odds) openapi.Odds {
		return openapi.Odds{Sound: o.Sound, Attention: o.Attention, MustAct: o.MustAct}
	}
	odds := openapi.UnknownOdds{
		Default: render(u.Default), Points: make(map[string]openapi.Odds, len(u.Points)),
	}
	for p, o := range u.Points {
		odds.Points[string(p)] = render(o)
	}
	return odds
}

// amountReader returns a reader of amounts in the workshop's currency.
func (h *handlers) amountReader(ctx context.Context) (*convert.AmountReader, error) {
	w, err := h.app.Read(ctx, middleware.Actor(ctx)).Workshop(ctx)
	if err != nil {
		return nil, err
	}
	return &convert.AmountReader{Currency: w.Value.Terms.Currency}, nil
}
