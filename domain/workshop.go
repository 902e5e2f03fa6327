package domain

import (
	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// TaxRegime is how a sale of an instrument is taxed.
type TaxRegime string

// NoTax: not registered. StandardTax: on the full price. MarginTax: on the
// margin of second-hand goods. Which one applies is for the workshop's adviser.
const (
	NoTax       TaxRegime = "none"
	StandardTax TaxRegime = "standard"
	MarginTax   TaxRegime = "margin"
)

// Terms are the money settings that an estimate and a bid are drawn up with.
type Terms struct {
	Currency      string                     `json:"currency"`
	LabourRates   map[string]decimal.Decimal `json:"labour_rates"`    // cost per hour by skill: wage and on-costs per productive hour
	OverheadRate  decimal.Decimal            `json:"overhead_rate"`   // per productive hour, apart from labour
	TaxRegime     TaxRegime                  `json:"tax_regime"`      // settled at the sale; this is what bids assume
	TaxRate       decimal.Decimal            `json:"tax_rate"`        // share, 0.20 = 20 %
	TargetShare   decimal.Decimal            `json:"target_share"`    // wanted profit as a share of the sale price
	SellingShare  decimal.Decimal            `json:"selling_share"`   // selling cost as a share of the sale price
	SellingFixed  decimal.Decimal            `json:"selling_fixed"`   // delivery, after-sale tuning, …
	FinanceRate   decimal.Decimal            `json:"finance_rate"`    // a year, on the money tied up
	StoragePerDay decimal.Decimal            `json:"storage_per_day"` // floor space until sold
	DaysOnFloor   int                        `json:"days_on_floor"`   // expected, from ready to sold
	BiddingStep   decimal.Decimal            `json:"bidding_step"`
	UnknownOdds   decimal.Decimal            `json:"unknown_odds"` // chance that a point nobody looked at needs its work
}

// Interval is a stretch of working time within a day, minutes from midnight.
type Interval struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// Hours are the working hours of a week and the days that differ.
type OpeningHours struct {
	Week     [7][]Interval       `json:"week"` // index by time.Weekday
	Holidays []Date              `json:"holidays"`
	Special  map[Date][]Interval `json:"special,omitempty"` // days with other hours
}

// Person is a member of the crew.
type Person struct {
	ID     uuid.UUID `json:"id"`
	Name   string    `json:"name"`
	Skills []string  `json:"skills"`
	// ProductiveShare of the paid hours is bench time (60–80 %: common
	// practice, no source).
	ProductiveShare decimal.Decimal `json:"productive_share"`
}

// Station is a place of limited number: bench, booth, hoist, drying room.
type Station struct {
	ID    uuid.UUID `json:"id"`
	Name  string    `json:"name"`
	Count int       `json:"count"`
}

// Workshop is the tenant.
type Workshop struct {
	ID    uuid.UUID    `json:"id"`
	Name  string       `json:"name"`
	Zone  string       `json:"zone"` // IANA time zone
	Terms Terms        `json:"terms"`
	Open  OpeningHours `json:"open"`
}
