package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Form is how an instrument would come to us. The empty form is Purchase.
type Form string

// A Purchase is paid and ours. A Consigned instrument stays its owner's until
// we sell it: the price is the owner's payout. In a PartExchange the price is
// the allowance against another sale. A Donor is bought to be broken up for its
// parts.
const (
	Purchase     Form = "purchase"
	Consigned    Form = "consigned"
	PartExchange Form = "part_exchange"
	DonorOfParts Form = "donor"
)

// Forms lists every form.
var Forms = []Form{Purchase, Consigned, PartExchange, DonorOfParts}

// Consignment is what was agreed with the owner.
type Consignment struct {
	// OwnerBears is the part of the work that is taken off the owner's payout.
	OwnerBears decimal.Decimal `json:"owner_bears"`
}

// OtherSale is the sale that an instrument is taken in part payment for.
type OtherSale struct {
	Price decimal.Decimal `json:"price"` // all of it, the allowance included
	Paid  decimal.Decimal `json:"paid"`  // for the instrument that is sold, price and premium: what its margin is reckoned from
}

// Donor is what breaking an instrument up brings and takes.
type Donor struct {
	Parts    []DonorPart          `json:"parts"`
	Hours    catalogue.ThreePoint `json:"hours"` // person-hours of breaking up
	Skill    string               `json:"skill"` // of whoever does it
	Disposal decimal.Decimal      `json:"disposal"`
	Days     int                  `json:"days"` // until the parts are used or sold
}

// DonorPart is a part that the donor gives, worth what another would cost, by
// three points and net of tax; Usable is the chance that it can be used.
type DonorPart struct {
	Name   string               `json:"name"`
	Worth  catalogue.ThreePoint `json:"worth"`
	Usable decimal.Decimal      `json:"usable"`
}

// AcquiredBy is the form of the question.
func (q BidQuestion) AcquiredBy() Form {
	if q.Form == "" {
		return Purchase
	}
	return q.Form
}

// maxParts is how many parts a donor gives at most.
const maxParts = 100

// checkForm wants what the form needs and nothing of another form.
func (q BidQuestion) checkForm(f *questionCheck) {
	form := q.AcquiredBy()
	if !slices.Contains(Forms, form) {
		f.Add("#/form", "is none of purchase, consigned, part_exchange, donor")
		return
	}
	for _, part := range []struct {
		name  string
		of    Form
		given bool
	}{
		{"consignment", Consigned, q.Consignment != nil},
		{"other_sale", PartExchange, q.OtherSale != nil},
		{"donor", DonorOfParts, q.Donor != nil},
	} {
		switch {
		case part.of == form && !part.given:
			f.Add("#/"+part.name, "must be given for the form %s", form)
		case part.of != form && part.given:
			f.Add("#/"+part.name, "does not belong to the form %s", form)
		}
	}
	if form == Consigned || form == PartExchange {
		if q.PremiumShare.IsPositive() {
			f.Add("#/premium_share", "there is no buyer's premium in the form %s", form)
		}
		if len(q.Premium) > 0 {
			f.Add("#/premium", "there is no buyer's premium in the form %s", form)
		}
		if q.Duty.IsPositive() {
			f.Add("#/duty", "there is no import duty in the form %s", form)
		}
	}
	if c := q.Consignment; c != nil {
		f.amount("#/consignment/owner_bears", c.OwnerBears)
	}
	if o := q.OtherSale; o != nil {
		f.amount("#/other_sale/price", o.Price)
		f.amount("#/other_sale/paid", o.Paid)
	}
	if q.Donor != nil {
		q.Donor.check(f)
	}
	q.checkWays(f)
}

// checkWays wants a depth at least, and none for a donor: its worth is its parts.
func (q BidQuestion) checkWays(f *questionCheck) {
	switch donor := q.AcquiredBy() == DonorOfParts; {
	case donor && len(q.Ways) > 0:
		f.Add("#/ways", "a donor is broken up and has no depth: leave them out")
	case !donor && len(q.Ways) == 0:
		f.Add("#/ways", "must name at least one depth with a sale price")
	}
	for i, w := range q.Ways {
		w.check(f, fmt.Sprintf("#/ways/%d", i))
	}
}

// maxHours is more than any instrument takes.
var maxHours = decimal.NewFromInt(10_000)

func (d Donor) check(f *questionCheck) {
	if len(d.Parts) == 0 || len(d.Parts) > maxParts {
		f.Add("#/donor/parts", "must name from 1 to %d parts", maxParts)
	}
	for i, p := range d.Parts {
		at := fmt.Sprintf("#/donor/parts/%d", i)
		if p.Name == "" || len(p.Name) > maxName {
			f.Add(at+"/name", "must be given, in at most %d characters", maxName)
		}
		f.threePoint(at+"/worth", p.Worth)
		checkShare(&f.Faults, at+"/usable", p.Usable)
	}
	h := d.Hours
	if h.Low.IsNegative() || h.Likely.LessThan(h.Low) || h.High.LessThan(h.Likely) || h.High.GreaterThan(maxHours) ||
		tooFine(h.Low, ratePlaces) || tooFine(h.Likely, ratePlaces) || tooFine(h.High, ratePlaces) {
		f.Add("#/donor/hours", "must rise from low over likely to high, from 0 to %s hours with at most %d decimals", maxHours, ratePlaces)
	}
	f.amount("#/donor/disposal", d.Disposal)
	if d.Days < 0 || d.Days > maxDaysOnFloor {
		f.Add("#/donor/days", "%d days; it lies from 0 to %d", d.Days, maxDaysOnFloor)
	}
}
