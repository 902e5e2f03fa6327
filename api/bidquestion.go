package api

import (
	"fmt"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// questionReader reads what a buyer says about a purchase.
type questionReader struct{ amountIn }

func readBid(instrument uuid.UUID, d openapi.BidDraft, currency string) (app.BidRequest, error) {
	r := questionReader{amountIn{currency: currency}}
	asked := domain.BidQuestion{
		TransportIn: r.decimal("#/transport_in", d.TransportIn),
		Duty:        r.decimal("#/duty", d.Duty),
		SellerAsks:  r.optional("#/seller_asks", d.SellerAsks),
	}
	r.form(&asked, d)
	if d.PremiumShare != nil {
		asked.PremiumShare = *d.PremiumShare
	}
	for i, b := range d.Premium {
		from := r.decimal(fmt.Sprintf("#/premium/%d/from", i), &b.From)
		asked.Premium = append(asked.Premium, domain.PremiumBand{From: from, Share: b.Share})
	}
	for i, b := range d.Steps {
		at := fmt.Sprintf("#/steps/%d", i)
		asked.Steps = append(asked.Steps, domain.StepBand{From: r.decimal(at+"/from", &b.From), Step: r.decimal(at+"/step", &b.Step)})
	}
	for _, c := range d.Cleared {
		asked.Cleared = append(asked.Cleared, domain.Clearance{Point: catalogue.PointCode(c.Point), By: c.By, Why: c.Why})
	}
	request := app.BidRequest{Instrument: instrument, Survey: d.Survey}
	for i, w := range d.Ways {
		asked.Ways = append(asked.Ways, r.way(fmt.Sprintf("#/ways/%d", i), w))
		request.Scopes = append(request.Scopes, w.Scope)
	}
	request.Asked = asked
	return request, r.faults.Err()
}

// form reads how the instrument would come to us.
func (r *questionReader) form(q *domain.BidQuestion, d openapi.BidDraft) {
	q.Form = domain.Form(d.Form)
	if c := d.Consignment; c != nil {
		q.Consignment = &domain.Consignment{OwnerBears: r.decimal("#/consignment/owner_bears", &c.OwnerBears)}
	}
	if o := d.OtherSale; o != nil {
		q.OtherSale = &domain.OtherSale{Price: r.decimal("#/other_sale/price", &o.Price), Paid: r.decimal("#/other_sale/paid", &o.Paid)}
	}
	if d.Donor == nil {
		return
	}
	q.Donor = &domain.Donor{
		Hours: catalogue.ThreePoint{Low: d.Donor.Hours.Low, Likely: d.Donor.Hours.Likely, High: d.Donor.Hours.High},
		Skill: d.Donor.Skill, Disposal: r.decimal("#/donor/disposal", &d.Donor.Disposal), Days: d.Donor.Days,
	}
	for i, p := range d.Donor.Parts {
		worth := r.threePoint(fmt.Sprintf("#/donor/parts/%d/worth", i), p.Worth)
		q.Donor.Parts = append(q.Donor.Parts, domain.DonorPart{Name: p.Name, Worth: worth, Usable: p.Usable})
	}
}

func (r *questionReader) way(at string, w openapi.BidWayDraft) domain.BidWay {
	out := domain.BidWay{
		Depth: catalogue.Depth(w.Depth), SalePrice: r.decimal(at+"/sale_price", &w.SalePrice),
		SaleLow: r.optional(at+"/sale_low", w.SaleLow), SaleHigh: r.optional(at+"/sale_high", w.SaleHigh), DaysOnFloor: w.DaysOnFloor,
	}
	for i, d := range w.Defects {
		out.Defects = append(out.Defects, domain.Defect{
			Name: d.Name, Point: catalogue.PointCode(d.Point), Off: r.threePoint(fmt.Sprintf("%s/defects/%d/off", at, i), d.Off),
		})
	}
	return out
}

// optional is a sum that may be left out.
func (r *questionReader) optional(pointer string, m *openapi.Money) *decimal.Decimal {
	if m == nil {
		return nil
	}
	d := r.decimal(pointer, m)
	return &d
}

func (r *questionReader) threePoint(at string, m openapi.MoneyRange) catalogue.ThreePoint {
	return catalogue.ThreePoint{
		Low: r.decimal(at+"/low", &m.Low), Likely: r.decimal(at+"/likely", &m.Likely), High: r.decimal(at+"/high", &m.High),
	}
}
