package instrument

import (
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Ownership is whose instrument it is.
type Ownership string

// An Offered instrument is one that we may buy; Stock is ours; a Client's is in our care only.
const (
	Offered Ownership = "offered"
	Stock   Ownership = "stock"
	Client  Ownership = "client"
)

// Stringing is how the compass is strung: singles up to note LastSingle, pairs up to note LastPair,
// threes above; Covered counts the overspun strings.
type Stringing struct {
	LastSingle int `json:"last_single"`
	LastPair   int `json:"last_pair"`
	Covered    int `json:"covered"`
}

// Instrument is a piano as the workshop knows it. Empty and zero fields are not known; nothing is
// guessed from them in silence.
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
	Measured    []Measurement  `json:"measured,omitempty"` // what was counted or measured on it
	Scale       []ScaleNote    `json:"scale,omitempty"`    // its strings as measured, lowest note first
	// Party is the client whose it is, or who offers it; zero: not recorded.
	Party uuid.UUID `json:"party,omitzero"`
	// Country is the code of the country where it stands; empty: the workshop's.
	Country string `json:"country,omitempty"`
	// State is where it stands with us. It isn't a property of the instrument and stands in no
	// document.
	State State `json:"-"`
}

// Bounds within which an instrument is one. The number of notes of pianos that a workshop meets
// runs from 49 to 108.
const (
	minNotes, maxNotes  = 49, 108
	minYear             = 1700
	minGrand, maxGrand  = 1200, 3100 // mm of length
	minUpright, maxTall = 800, 1600  // mm of height
)

var (
	coverings = []string{"", "ivory", "plastic", "celluloid", "bone"}
	finishes  = []string{"", "shellac", "polyester", "lacquer", "paint"}
	actions   = map[catalogue.Kind][]string{
		catalogue.Grand:   {"", "roller", "tied", "obsolete"},
		catalogue.Upright: {"", "under_damper", "over_damper", "obsolete"},
	}
)

// Check returns an Invalid Fault with everything that cannot be true of an instrument in a year, or
// nil.
func (i Instrument) Check(thisYear int) error {
	var f domain.Faults
	size := [2]int{minGrand, maxGrand}
	switch i.Kind {
	case catalogue.Grand:
	case catalogue.Upright:
		size = [2]int{minUpright, maxTall}
	default:
		f.Add("#/kind", "must be grand or upright")
	}
	if i.SizeMM < size[0] || i.SizeMM > size[1] {
		f.Add(
			"#/size_mm", "%d mm isn't a size of a %s; it must be between %d and %d mm", i.SizeMM, i.Kind,
			size[0], size[1],
		)
	}
	if i.Notes < minNotes || i.Notes > maxNotes {
		f.Add(
			"#/notes", "%d notes isn't a compass of a piano; it has between %d and %d", i.Notes,
			minNotes, maxNotes,
		)
	}
	if i.Year != 0 && (i.Year < minYear || i.Year > thisYear) {
		f.Add(
			"#/year", "%d isn't a year of making; it must be between %d and %d", i.Year, minYear,
			thisYear,
		)
	}
	if i.Maker == "" || utf8.RuneCountInString(i.Maker) > domain.MaxName {
		f.Add(
			"#/maker",
			"must be given, in at most %d characters; write \"unknown\" where it is not known",
			domain.MaxName,
		)
	}
	if !slices.Contains([]Ownership{Offered, Stock, Client}, i.Owner) {
		f.Add("#/owner", "must be one of offered, stock, client")
	}
	domain.CheckCountry(&f, "#/country", i.Country)
	i.checkWords(&f)
	i.checkStringing(&f)
	return f.Err()
}

func (i Instrument) checkWords(f *domain.Faults) {
	if !slices.Contains(coverings, i.Covering) {
		f.Add(
			"#/covering",
			"must be one of ivory, plastic, celluloid, bone; leave it out if it isn't known",
		)
	}
	if !slices.Contains(finishes, i.Finish) {
		f.Add(
			"#/finish",
			"must be one of shellac, polyester, lacquer, paint; leave it out if it isn't known",
		)
	}
	if allowed, ok := actions[i.Kind]; ok && !slices.Contains(allowed, i.Action) {
		f.Add(
			"#/action", "must be one of %s on a %s", strings.Join(allowed[1:], ", "), i.Kind,
		)
	}
}

func (i Instrument) checkStringing(f *domain.Faults) {
	s := i.Stringing
	if s == nil {
		return
	}
	if s.LastSingle < 0 || s.LastSingle > s.LastPair || s.LastPair > i.Notes {
		f.Add(
			"#/stringing",
			"singles end at note %d and pairs at note %d: of %d notes, the singles come first and the pairs next",
			s.LastSingle, s.LastPair, i.Notes,
		)
		return
	}
	if total := s.Strings(i.Notes); s.Covered < 0 || s.Covered > total {
		f.Add("#/stringing/covered", "%d covered strings of %d in all", s.Covered, total)
	}
}

// Strings returns the number of strings, and of rest pins, of a compass strung so: one for each
// single, two for each pair, three above.
func (s Stringing) Strings(notes int) int {
	return s.LastSingle + 2*(s.LastPair-s.LastSingle) + 3*(notes-s.LastPair)
}
