package catalogue

import "github.com/shopspring/decimal"

// Code names an operation, such as BD-02, in its catalogue.
type Code string

// Kind is the kind of piano.
type Kind string

// The two kinds of piano that the trade tells apart.
const (
	Grand   Kind = "grand"
	Upright Kind = "upright"
)

// Depth is how far the work on an instrument goes.
type Depth string

// The depths, from least to most work.
const (
	AsFound     Depth = "as_found"
	Recondition Depth = "recondition"
	Restore     Depth = "restore"
)

// Depths lists all depths from least to most work.
var Depths = []Depth{AsFound, Recondition, Restore}

// Standing says how far a figure may be trusted, best first: source (with its id), derived, common
// practice, from memory.
type Standing string

// ThreePoint is a low, likely and high figure, in the unit that its field names; Low <= Likely <=
// High.
type ThreePoint struct {
	Low    decimal.Decimal `json:"low"`
	Likely decimal.Decimal `json:"likely"`
	High   decimal.Decimal `json:"high"`
}

// Hours is the attended work of an operation on one kind of piano. Likely hours are Setup + Rate ×
// quantity; Low and High hold at the Baseline quantity and scale in proportion to the likely hours.
type Hours struct {
	Baseline decimal.Decimal `json:"baseline"` // quantity of the driver on the baseline instrument
	Setup    decimal.Decimal `json:"setup"`    // hours, whatever the quantity
	Rate     decimal.Decimal `json:"rate"`     // hours per unit of the driver
	Low      decimal.Decimal `json:"low"`      // hours at the baseline quantity
	High     decimal.Decimal `json:"high"`     // hours at the baseline quantity
}

// Likely returns the likely hours for a quantity of the driver.
func (h Hours) Likely(quantity decimal.Decimal) decimal.Decimal {
	return h.Setup.Add(h.Rate.Mul(quantity))
}

// Making says who does an operation.
type Making string

// The crew does InHouse operations, a firm does Outside ones. The scope line says who does an
// Either one; if it doesn't, the crew.
const (
	InHouse Making = "in_house"
	Outside Making = "outside"
	Either  Making = "either"
)

// Lead is something to order before an operation can start. It applies to work in house only: the
// wait for an outside firm is Buying's TurnRound.
type Lead struct {
	Item  string     `json:"item"`
	Weeks ThreePoint `json:"weeks"` // calendar weeks from the order
	// After is the operation whose finish releases the order; if it is empty or not in the job, the
	// acceptance does.
	After    Code     `json:"after"`
	Standing Standing `json:"standing"`
}

// Buying is the price of an operation done by an outside firm. It replaces the operation's hours,
// materials and Lead; the tail stays.
type Buying struct {
	// Price is money at the baseline quantity; it scales as the likely hours do.
	Price map[Kind]ThreePoint `json:"price"`
	// Carriage is money for both ways; zero if the work travels with another operation's.
	Carriage   ThreePoint `json:"carriage"`
	TurnRound  ThreePoint `json:"turn_round"` // calendar weeks, queue and carriage included
	StandingOf Standing   `json:"standing"`
}

// Sessions divides an operation's hours into spaced sittings: a shellac build, a series of tunings.
// The operation's tail follows the last one.
type Sessions struct {
	Count    int             `json:"count"`     // sittings at the baseline
	GapHours decimal.Decimal `json:"gap_hours"` // least elapsed hours between two sittings
	PerUnit  bool            `json:"per_unit"`  // one sitting per unit of the driver instead of Count
}

// Operation is one piece of standard work.
type Operation struct {
	Code        Code   `json:"code"`
	Name        string `json:"name"`
	Phase       string `json:"phase"`
	Skill       string `json:"skill"`
	Station     string `json:"station"`     // bench, booth, hoist, …; empty: none
	Subassembly string `json:"subassembly"` // the part of the instrument that is worked on
	// Group is the work whose hours go over or under together with this operation's; empty: none.
	Group WorkGroup `json:"group,omitempty"`
	// Driver is what hours scale with: instrument, note, string, m² of case, …
	Driver string         `json:"driver"`
	Hours  map[Kind]Hours `json:"hours"` // an absent kind can't have the operation
	Crew   int            `json:"crew"`  // people at once; hours are person-hours
	// Tail is unattended elapsed hours after the work: cure, glue, settling.
	Tail     ThreePoint `json:"tail"`
	TailNote string     `json:"tail_note,omitempty"`
	Sessions *Sessions  `json:"sessions,omitempty"`
	Making   Making     `json:"making"`
	Lead     *Lead      `json:"lead,omitempty"` // parts for in-house work
	Buying   *Buying    `json:"buying,omitempty"`
	Emits    string     `json:"emits,omitempty"` // one of Emissions
	Needs    string     `json:"needs,omitempty"` // one of RoomNeeds
	Hazards  []string   `json:"hazards,omitempty"`
	// ForSale work belongs to the sale, not to making the instrument ready.
	ForSale  bool     `json:"for_sale,omitempty"`
	Marks    []Mark   `json:"marks,omitempty"`
	Standing Standing `json:"standing"`
	Note     string   `json:"note,omitempty"`
	// Shipped is the hash of the shipped row that this one started from; empty: the workshop's own.
	Shipped string `json:"shipped,omitempty"`
}

// Material is something an operation consumes.
type Material struct {
	Operation Code            `json:"operation"`
	Name      string          `json:"name"`
	Unit      string          `json:"unit"`
	Driver    string          `json:"driver"`     // what the quantity scales with
	PerDriver decimal.Decimal `json:"per_driver"` // units per unit of the driver
	Fixed     decimal.Decimal `json:"fixed"`      // units, whatever the driver
	Waste     decimal.Decimal `json:"waste"`      // share, 0.15 = 15 %
	UnitPrice ThreePoint      `json:"unit_price"` // money of the catalogue's currency, without VAT
	When      Condition       `json:"when,omitempty"`
	Standing  Standing        `json:"standing"`
}
