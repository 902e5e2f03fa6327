package domain

import (
	"encoding/json"
	"fmt"
	"time"

	"bentside/domain/catalogue"
	"bentside/pricing"
)

// Engine is the version of what turns BidInputs into a BidResult. It changes
// with every change that could give another result from the same inputs.
const Engine = "8"

// BidInputs is everything that a bid follows from. Stored as a document, it
// gives the same result after any later edit of what it was taken from.
type BidInputs struct {
	Engine    string    `json:"engine"`
	Catalogue string    `json:"catalogue"` // SHA-256 of the catalogue's document, in hex
	At        time.Time `json:"at"`        // the date that plans start from
	Workshop  Workshop  `json:"workshop"`
	Stations  []Station `json:"stations"`
	// People are counted by the dates; bids up to engine 4 have none.
	People []Person `json:"people,omitempty"`
	// Absences are those of people and stations that weren't over; bids up to
	// engine 5 have none.
	Absences   []Absence    `json:"absences,omitempty"`
	Instrument Instrument   `json:"instrument"`
	Findings   []Finding    `json:"findings"`
	Queue      []QueuedWork `json:"queue"` // jobs in progress, first in the queue first
	Asked      BidQuestion  `json:"asked"`
}

// QueuedWork is what is left of a job in progress.
type QueuedWork struct {
	Name     string    `json:"name"`
	Accepted time.Time `json:"accepted"` // parts for it were ordered then
	Scope    Scope     `json:"scope"`    // only the lines that are left, with the hours left
	// Held is when a job that rests as a whole is expected to be taken up again.
	Held      time.Time       `json:"held,omitzero"`
	Suspended []SuspendedWork `json:"suspended,omitempty"`
	// Begun are the operations that hours were put into and that do not rest:
	// they go on before anything else is taken up.
	Begun []catalogue.Code `json:"begun,omitempty"`
	// Worked are the operations whose work is over, or whose next sitting has not
	// begun: what settles, dries or waits for the next sitting counts from then.
	Worked []WorkedOn `json:"worked,omitempty"`
}

// WorkedOn is when work on an operation ended.
type WorkedOn struct {
	Operation catalogue.Code `json:"operation"`
	Ended     time.Time      `json:"ended"`
	Outside   bool           `json:"outside,omitempty"` // back from an outside firm since
}

// Outcome is what a way of buying comes to.
type Outcome string

// Buy: a price works. Leave: none does. Stopped: a finding forbids a bid until
// it is cleared.
const (
	Buy     Outcome = "buy"
	Leave   Outcome = "leave"
	Stopped Outcome = "stopped"
)

// BidResult is the depths side by side.
type BidResult struct {
	Judgements Judgements  `json:"judgements"`
	Ways       []WayResult `json:"ways"`
}

// WayResult is one depth worked out.
type WayResult struct {
	Depth   catalogue.Depth `json:"depth"`
	Outcome Outcome         `json:"outcome"`
	Why     string          `json:"why"`
	// Sale is what it should sell for, what is left undone taken off. Bids of
	// engine 1 have none, nor what follows it down to Negotiation.
	Sale *pricing.Range `json:"sale,omitempty"`
	// Undone are the findings that a deeper depth deals with and this way does
	// not, whether or not money was taken off the sale for them.
	Undone []Undone `json:"undone,omitempty"`
	// Negotiation is the prices to take into the room.
	Negotiation *Negotiation `json:"negotiation,omitempty"`
	// What else there is to say of a consigned instrument, a part exchange, a
	// donor; nil for any other form.
	Commissions *Commissions     `json:"commissions,omitempty"`
	Exchanges   *Exchanges       `json:"exchanges,omitempty"`
	Parts       []PartWorth      `json:"parts,omitempty"`
	Scope       Scope            `json:"scope"`
	Estimate    pricing.Estimate `json:"estimate"`
	Dates       Dates            `json:"dates"`
	HoldDays    int              `json:"hold_days"` // from the purchase to the expected sale
	DaysOnFloor int              `json:"days_on_floor,omitempty"`
	// Advice is the price that keeps the wanted profit, the break-even and the
	// trade's rule of thumb, each followed through.
	Advice pricing.Advice `json:"advice"`
	// Cleared are the stops of the scope that somebody has looked into.
	Cleared []Clearance `json:"cleared,omitempty"`
	// AtAsked follows the seller's price through to its profit; nil where the
	// seller named none.
	AtAsked *pricing.Sums `json:"at_asked,omitempty"`
}

// Canonical is the one encoding of the inputs: fields in the order of the
// types, maps by key, decimals as strings.
func (in BidInputs) Canonical() []byte { return canonical(in) }

// Canonical is the one encoding of the result.
func (r BidResult) Canonical() []byte { return canonical(r) }

func canonical(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("a document cannot be written: %v", err))
	}
	return b
}

// ParseBidInputs reads what Canonical wrote, under this engine or an earlier
// one: settings that engine 1 did not know have the figures that it reckoned
// with, or their defaults.
func ParseBidInputs(b []byte) (BidInputs, error) {
	var in BidInputs
	err := json.Unmarshal(b, &in)
	if in.Engine == "1" {
		in.Workshop.Terms.WorkFinanced, in.Workshop.Terms.LossLimit = DefaultWorkFinanced, DefaultLossLimit
	}
	return in, err
}

// ParseBidResult reads what Canonical wrote.
func ParseBidResult(b []byte) (BidResult, error) {
	var r BidResult
	err := json.Unmarshal(b, &r)
	return r, err
}

// WorkOut works out a bid from its inputs, with the catalogue that they name
// and the workshop's zone. It is a function of its arguments and nothing else.
func WorkOut(in BidInputs, c *catalogue.Catalogue, zone *time.Location) (BidResult, error) {
	if err := in.Asked.Check(in.Workshop.Terms.Currency); err != nil {
		return BidResult{}, err
	}
	js, err := Judge(c, in.Instrument.Kind, in.Findings)
	if err != nil {
		return BidResult{}, err
	}
	r := BidResult{Judgements: js}
	d := deeper{c: c, in: in, js: js}
	if in.Asked.AcquiredBy() == DonorOfParts {
		w, err := in.workOutDonor(&d)
		if err != nil {
			return BidResult{}, err
		}
		r.Ways = append(r.Ways, w)
	}
	for i, way := range in.Asked.Ways {
		w, err := in.workOutWay(&d, zone, way)
		if err != nil {
			return BidResult{}, PointersUnder(err, fmt.Sprintf("#/ways/%d", i))
		}
		r.Ways = append(r.Ways, w)
	}
	return r, nil
}
