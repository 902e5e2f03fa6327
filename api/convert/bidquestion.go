package convert

import (
	"fmt"

	"bentside/api/app"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/google/uuid"
)

// questionReader converts what a buyer asks about a purchase.
type questionReader struct{ AmountReader }

// ReadBid reads the question of a bid; its amounts must be in the currency.
func ReadBid(instrument uuid.UUID, d openapi.BidDraft, currency string) (app.BidRequest, error) {
	r := questionReader{AmountReader{Currency: currency}}
	asked := bid.Question{
		TransportIn: r.Decimal("#/transport_in", d.TransportIn),
		Duty:        r.Decimal("#/duty", d.Duty),
		SellerAsks:  r.Optional("#/seller_asks", d.SellerAsks),
		Sealed:      d.Sealed,
		TaxShown:    d.TaxShown,
		UnfitBrings: r.Decimal("#/unfit_brings", d.UnfitBrings),
	}
	r.form(&asked, d)
	if d.PremiumShare != nil {
		asked.PremiumShare = *d.PremiumShare
	}
	for i, b := range d.Premium {
		from := r.Decimal(fmt.Sprintf("#/premium/%d/from", i), &b.From)
		asked.Premium = append(asked.Premium, bid.PremiumBand{From: from, Share: b.Share})
	}
	for i, b := range d.Steps {
		at := fmt.Sprintf("#/steps/%d", i)
		asked.Steps = append(asked.Steps, bid.StepBand{
			From: r.Decimal(at+"/from", &b.From), Step: r.Decimal(at+"/step", &b.Step),
		})
	}
	for _, t := range d.TakenOn {
		asked.TakenOn = append(asked.TakenOn, bid.TakenOn{
			Point: catalogue.PointCode(t.Point), By: t.By, Why: t.Why,
		})
	}
	request := app.BidRequest{Instrument: instrument, Survey: d.Survey}
	for i, w := range d.Ways {
		asked.Ways = append(asked.Ways, r.way(fmt.Sprintf("#/ways/%d", i), w))
		request.Scopes = append(request.Scopes, w.Scope)
	}
	request.Asked = asked
	return request, r.Faults.Err()
}

// form converts the terms of the form of acquisition: consignment, part exchange or donor.
func (r *questionReader) form(q *bid.Question, d openapi.BidDraft) {
	q.Form = bid.Form(d.Form)
	if c := d.Consignment; c != nil {
		q.Consignment = &bid.Consignment{
			OwnerBears: r.Decimal("#/consignment/owner_bears", &c.OwnerBears),
		}
	}
	if o := d.OtherSale; o != nil {
		q.OtherSale = &bid.OtherSale{
			Price: r.Decimal("#/other_sale/price", &o.Price), Paid: r.Decimal("#/other_sale/paid", &o.Paid),
		}
	}
	if d.Donor == nil {
		return
	}
	q.Donor = &bid.Donor{
		Hours: catalogue.ThreePoint{
			Low: d.Donor.Hours.Low, Likely: d.Donor.Hours.Likely, High: d.Donor.Hours.High,
		},
		Skill: d.Donor.Skill, Disposal: r.Decimal("#/donor/disposal", &d.Donor.Disposal),
		Days: d.Donor.Days,
	}
	for i, p := range d.Donor.Parts {
		worth := r.threePoint(fmt.Sprintf("#/donor/parts/%d/worth", i), p.Worth)
		q.Donor.Parts = append(q.Donor.Parts, bid.DonorPart{Name: p.Name, Worth: worth, Usable: p.Usable})
	}
}

func (r *questionReader) way(at string, w openapi.BidWayDraft) bid.Way {
	out := bid.Way{
		Depth: catalogue.Depth(w.Depth), SalePrice: r.Decimal(at+"/sale_price", &w.SalePrice),
		SaleLow: r.Optional(at+"/sale_low", w.SaleLow), SaleHigh: r.Optional(at+"/sale_high", w.SaleHigh),
		DaysOnFloor: w.DaysOnFloor,
	}
	for i, d := range w.Defects {
		out.Defects = append(out.Defects, bid.Defect{
			Name: d.Name, Point: catalogue.PointCode(d.Point),
			Off: r.threePoint(fmt.Sprintf("%s/defects/%d/off", at, i), d.Off),
		})
	}
	return out
}

func (r *questionReader) threePoint(at string, m openapi.MoneyRange) catalogue.ThreePoint {
	return catalogue.ThreePoint{
		Low: r.Decimal(at+"/low", &m.Low), Likely: r.Decimal(at+"/likely", &m.Likely),
		High: r.Decimal(at+"/high", &m.High),
	}
}
