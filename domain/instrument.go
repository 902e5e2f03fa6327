package domain

import (
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Ownership is whose instrument it is.
type Ownership string

// An Offered instrument is one that we may buy; Stock is ours; a Client's is
// in our care only.
const (
	Offered Ownership = "offered"
	Stock   Ownership = "stock"
	Client  Ownership = "client"
)

// Stringing is how the compass is strung: singles up to note LastSingle, pairs
// up to note LastPair, threes above; Covered counts the overspun strings.
type Stringing struct {
	LastSingle int `json:"last_single"`
	LastPair   int `json:"last_pair"`
	Covered    int `json:"covered"`
}

// Instrument is a piano as the workshop knows it. Empty and zero fields are
// not known; nothing is guessed from them in silence.
type Instrument struct {
	ID          uuid.UUID      `json:"id"`
	Kind        catalogue.Kind `json:"kind"`
	Maker       string         `json:"maker"`
	Model       string         `json:"model,omitempty"`
	Serial      string         `json:"serial,omitempty"`
	StockNumber string         `json:"stock_number,omitempty"`
	Year        int            `json:"year,omitempty"`      // of making; 0: not known
	SizeMM      int            `json:"size_mm"`             // length of a grand, height of an upright
	Notes       int            `json:"notes"`               // 85 or 88 as a rule
	Stringing   *Stringing     `json:"stringing,omitempty"` // nil: not counted
	Covering    string         `json:"covering,omitempty"`  // of the naturals: ivory, plastic, celluloid, bone
	Finish      string         `json:"finish,omitempty"`    // shellac, polyester, lacquer, paint
	Colour      string         `json:"colour,omitempty"`    // black, or a wood such as walnut
	Decorated   bool           `json:"decorated,omitempty"` // turned legs, fretted desk, carving
	Action      string         `json:"action,omitempty"`    // roller, tied, obsolete, under_damper, over_damper
	Owner       Ownership      `json:"owner"`
}
