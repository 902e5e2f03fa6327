package bid

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"
)

// Engine is the version of the code that turns the inputs of a bid, or of a plan of the shop, into
// its result. Every change that gives another result for the same inputs raises it; bids and a plan
// of each version are kept, and a test recomputes them.
const Engine = "10"

// OfOlderModel reports whether a version of the engine worked with another model than this one.
func OfOlderModel(engine string) bool { return len(engine) == 1 }

// TookLinesAsIndependent reports whether a version of the engine took all lines of work as
// independent, as those up to 8 did.
func TookLinesAsIndependent(engine string) bool { return OfOlderModel(engine) && engine < "9" }

// Inputs is everything that a bid is computed from. Stored as a document, it gives the same result
// after any later edit of what it was taken from.
type Inputs struct {
	Engine    string `json:"engine"`
	Catalogue string `json:"catalogue"` // SHA-256 of the catalogue's document, in hex
	// AsShipped counts what of the catalogue nobody has changed; zero in bids up to engine 8.
	AsShipped catalogue.AsShipped `json:"as_shipped,omitzero"`
	At        time.Time           `json:"at"` // when plans start
	Workshop  domain.Workshop     `json:"workshop"`
	Stations  []domain.Station    `json:"stations"`
	// People are the crew that dates count with; bids up to engine 4 have none.
	People []domain.Person `json:"people,omitempty"`
	// Absences are those of people and stations that weren't over; bids up to engine 5 have none.
	Absences   []domain.Absence      `json:"absences,omitempty"`
	Instrument instrument.Instrument `json:"instrument"`
	Findings   []survey.Finding      `json:"findings"`
	// Stops are what stopped the instrument, with its clearances; bids up to engine 8 have none.
	Stops clearance.List    `json:"stops,omitempty"`
	Queue []plan.QueuedWork `json:"queue"` // jobs in progress, in the order of the queue
	Asked Question          `json:"asked"`
}

// Outcome is what a bid advises for a way.
type Outcome string

// Buy: there is a price to pay. Leave: there is none. Stopped: a finding bars the purchase, and the
// bid names no price.
const (
	Buy   Outcome = "buy"
	Leave Outcome = "leave"
	// Conditional: as Buy, once somebody has looked at what can stop the purchase, or takes it on.
	Conditional Outcome = "conditional"
	Stopped     Outcome = "stopped"
)

// Result is a bid: its ways side by side.
type Result struct {
	Judgements survey.Judgements `json:"judgements"`
	Ways       []WayResult       `json:"ways"`
}

// WayResult is the bid for one way: a depth, or the parts of a donor.
type WayResult struct {
	Depth   catalogue.Depth `json:"depth"`
	Outcome Outcome         `json:"outcome"`
	Why     string          `json:"why"`
	// Sale is the sale price after defects: likely and expected, and from P10 to P90. Bids of engine 1
	// have neither it nor what follows down to Negotiation.
	Sale *pricing.Range `json:"sale,omitempty"`
	// Undone are the findings that this depth or a deeper one deals with and this way doesn't,
	// whether or not money was taken off the sale price for them.
	Undone []Undone `json:"undone,omitempty"`
	// Spared is work that the prices count with though a bad finding takes it away; nil where there is
	// none.
	Spared *Spared `json:"spared,omitempty"`
	// Negotiation is the prices to negotiate with.
	Negotiation *Negotiation `json:"negotiation,omitempty"`
	// Commissions, Exchanges and Parts are for a consigned instrument, a part exchange and a donor;
	// nil for any other form.
	Commissions *Commissions     `json:"commissions,omitempty"`
	Exchanges   *Exchanges       `json:"exchanges,omitempty"`
	Parts       []PartWorth      `json:"parts,omitempty"`
	Scope       scope.Scope      `json:"scope"`
	Estimate    pricing.Estimate `json:"estimate"`
	Dates       plan.Dates       `json:"dates"`
	HoldDays    int              `json:"hold_days"` // from the purchase to the expected sale
	DaysOnFloor int              `json:"days_on_floor,omitempty"`
	// Advice is the price that keeps the wanted profit, the break-even price and the one by the
	// trade's rule of thumb, each with its sums; nil where the way is stopped, and so is all else
	// that speaks of a price to pay.
	Advice *pricing.Advice `json:"advice,omitempty"`
	// Stops are what stops the instrument, as it stands for this way.
	Stops clearance.List `json:"stops,omitempty"`
	// Unseen are the points that can stop the purchase and that nobody has looked at.
	Unseen []Unseen `json:"unseen,omitempty"`
	// Repairs are what the work mends and what may not hold; bids up to engine 8 have none.
	Repairs []Repair `json:"repairs,omitempty"`
	// Cleared says who cleared stops of the scope, in bids up to engine 8.
	Cleared []ClearedPoint `json:"cleared,omitempty"`
	// AtAsked is the sums at the seller's price, down to the profit; nil where the seller named
	// none.
	AtAsked *pricing.Sums `json:"at_asked,omitempty"`

	// priced is the work that the prices count with.
	priced pricedWork
}

// Canonical returns the inputs as the document that is stored.
func (in Inputs) Canonical() []byte { return domain.CanonicalJSON(in) }

// Canonical returns the bid as the document that is stored.
func (r Result) Canonical() []byte { return domain.CanonicalJSON(r) }

// ParseInputs reads what Inputs.Canonical wrote under this engine or an earlier one. Settings that
// engine 1 didn't know get the figures that it computed with, or their defaults.
func ParseInputs(b []byte) (Inputs, error) {
	var in Inputs
	err := json.Unmarshal(b, &in)
	if in.Engine == "1" {
		in.Workshop.Terms.WorkFinanced = domain.DefaultWorkFinanced
		in.Workshop.Terms.LossLimit = domain.DefaultLossLimit
	}
	return in, err
}

// ParseResult reads what Result.Canonical wrote. A way that is stopped is read without the prices
// that it was given up to engine 8.
func ParseResult(b []byte) (Result, error) {
	var r Result
	err := json.Unmarshal(b, &r)
	for i := range r.Ways {
		if w := &r.Ways[i]; w.Outcome == Stopped {
			w.withhold()
		}
	}
	return r, err
}

// Compute returns the bid for its inputs, with the catalogue that they name and the workshop's
// zone. It is a function of its arguments and nothing else; a context
// that ends gives its error.
func Compute(
	ctx context.Context, in Inputs, c *catalogue.Catalogue, zone *time.Location,
) (Result, error) {
	if err := in.Asked.Check(in.Workshop.Terms.Currency); err != nil {
		return Result{}, err
	}
	js, err := survey.Judge(c, in.Instrument.Kind, in.Findings)
	if err != nil {
		return Result{}, err
	}
	r := Result{Judgements: js}
	d := depthScopes{c: c, in: in, js: js}
	if err := d.checkTakenOn(); err != nil {
		return Result{}, err
	}
	if in.Asked.AcquiredBy() == DonorOfParts {
		w, err := in.computeDonor(ctx, &d)
		if err != nil {
			return Result{}, err
		}
		r.Ways = append(r.Ways, w)
	}
	for i, way := range in.Asked.Ways {
		w, err := in.computeWay(ctx, &d, zone, way)
		if err != nil {
			return Result{}, domain.PrefixPointers(err, fmt.Sprintf("#/ways/%d", i))
		}
		r.Ways = append(r.Ways, w)
	}
	return r, nil
}
