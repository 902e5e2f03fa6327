package catalogue

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"
	"time"
)

// Act is something done with an instrument that a stop may bar.
type Act string

// The acts. To offer is to offer for sale.
const (
	ToBuy   Act = "buy"
	ToOffer Act = "offer"
	ToSell  Act = "sell"
	ToMove  Act = "move"
	ToWork  Act = "work"
)

// Acts lists every act.
var Acts = []Act{ToBuy, ToOffer, ToSell, ToMove, ToWork}

// Relief is what lifts a stop.
type Relief string

// ByPapers: a paper, by reference and date. ByWord: the word of a named person on what was found.
// ByChange: nothing but another instrument, re-covered or with its year on record; no clearance
// does.
const (
	ByPapers Relief = "papers"
	ByWord   Relief = "word"
	ByChange Relief = "change"
)

// Where a stop holds, beside the codes of countries and unions.
const (
	anywhere  = "any"
	elsewhere = "elsewhere" // where no other row of the law names the country for its point
)

// Stop says which acts a finding bars, where, and what lifts that. Stops are part of no workshop's
// catalogue: no revision lifts the law, and a scope of an old revision obeys the law of today.
type Stop struct {
	ID     string    `json:"id"` // a word that stays: clearances name it
	Point  PointCode `json:"point"`
	When   Condition `json:"when"`
	Places []string  `json:"places"` // codes of countries or unions, any, elsewhere
	// Law: the law bars it, whatever the workshop's catalogue says of the point.
	Law  bool  `json:"law,omitempty"`
	Acts []Act `json:"acts"`
	// Donor: it may be bought to be broken up for its parts all the same.
	Donor  bool   `json:"donor,omitempty"`
	Relief Relief `json:"relief"`
	// Repair is the work that lifts the stop for a scope which holds all of it; to move the instrument
	// it must be done.
	Repair []Code   `json:"repair,omitempty"`
	Roles  []string `json:"roles,omitempty"` // who may clear it
	// Looks are the roles whose own later look lifts it where that finds nothing any more. What the
	// law asks papers for isn't lifted by a look of whoever buys.
	Looks []string `json:"looks,omitempty"`
	// Hazard is the key of the usual caution that goes with what was found; empty: none does.
	Hazard string `json:"hazard,omitempty"`
	Says   string `json:"says"`
	Until  string `json:"until"` // what must be so before the acts are free
	// NotBefore is the first day of papers that can be true: none were issued before. It bears on
	// what is entered only and stands in no document. In ISO 8601; empty: any day.
	NotBefore string `json:"-"`
	// EachOwner: the papers are one owner's, and the next one needs papers of their own.
	EachOwner bool     `json:"-"`
	Standing  Standing `json:"standing"`
}

// Stops returns the table of stops. The error comes from a broken build only.
func Stops() ([]Stop, error) { return stops() }

var stops = sync.OnceValues(func() ([]Stop, error) {
	c, err := Shipped()
	if err != nil {
		return nil, err
	}
	return readStops(
		c, func(name string) ([]byte, error) { return fs.ReadFile(data, "data/"+name) },
	)
})

var stopsColumns = []string{
	"id", "point", "when", "places", "law", "acts", "donor", "relief", "repair", "roles", "looks",
	"hazard", "says", "until", "not_before", "each_owner", "standing",
}

func readStops(c *Catalogue, read func(name string) ([]byte, error)) ([]Stop, error) {
	s := &sheets{read, &checking{Catalogue: c}}
	var list []Stop
	for _, r := range s.rows("stops", stopsColumns...) {
		x := Stop{
			ID: r.text("id"), Point: PointCode(r.text("point")), When: Condition(r.text("when")),
			Places: r.list("places"), Law: r.yes("law"), Donor: r.yes("donor"),
			Relief: Relief(r.text("relief")), Repair: r.codes("repair"), Roles: r.list("roles"),
			Looks: r.list("looks"), Hazard: r.text("hazard"), Says: r.text("says"),
			Until: r.text("until"), NotBefore: r.text("not_before"),
			EachOwner: r.yes("each_owner"),
			Standing:  Standing(r.text("standing")),
		}
		for _, act := range r.list("acts") {
			x.Acts = append(x.Acts, Act(act))
		}
		if slices.ContainsFunc(list, func(y Stop) bool { return y.ID == x.ID }) {
			r.wrong("id", "%q appears twice", x.ID)
		}
		x.check(c, r)
		list = append(list, x)
	}
	if len(s.flaws) > 0 {
		return nil, s.flaws
	}
	return list, nil
}

// check reports what is wrong with a row.
func (x *Stop) check(c *Catalogue, r row) {
	if x.ID == "" || x.Says == "" || x.Until == "" {
		r.wrong("", "must have an id, say what is the matter and until when")
	}
	if c.Point(x.Point) == nil {
		r.wrong("point", "unknown point %q", x.Point)
	}
	if e, err := ParseCondition(string(x.When)); err != nil {
		r.wrong("when", "%v", err)
	} else if !slices.Contains(e.Points(), x.Point) {
		r.wrong("when", "must ask for %s", x.Point)
	}
	for _, code := range x.Places {
		if _, country := CountryOf(code); !country && code != union && code != anywhere &&
			code != elsewhere {
			r.wrong("places", "%q must be the code of a country, EU, any or elsewhere", code)
		}
	}
	for _, act := range x.Acts {
		if !slices.Contains(Acts, act) {
			r.wrong("acts", "%q must be one of %q", act, Acts)
		}
	}
	if len(x.Places) == 0 || len(x.Acts) == 0 {
		r.wrong("", "must name a place and an act")
	}
	if _, err := time.Parse(time.DateOnly, x.NotBefore); x.NotBefore != "" && err != nil {
		r.wrong("not_before", "%q must be a day such as 2022-01-01", x.NotBefore)
	}
	for _, code := range x.Repair {
		if c.Operation(code) == nil {
			r.wrong("repair", "unknown operation %q", code)
		}
	}
	if x.Hazard != "" && Caution(x.Hazard) == "" {
		r.wrong("hazard", "unknown hazard %q", x.Hazard)
	}
	if err := x.checkRelief(); err != nil {
		r.wrong("relief", "%v", err)
	}
	if err := x.checkLooks(); err != nil {
		r.wrong("looks", "%v", err)
	}
	if !x.Standing.known() {
		r.wrong("standing", "%q must begin with one of: %s", x.Standing, strings.Join(Standings, "; "))
	}
	list, err := Sources()
	if err != nil {
		r.wrong("standing", "%v", err)
	}
	for _, number := range sourcesIn(string(x.Standing)) {
		if !slices.ContainsFunc(list, func(s Source) bool { return s.Number == number }) {
			r.wrong("standing", "%v: %s", errNoSource, number)
		}
	}
}

// union is the code of the one union of countries whose law has rows.
const union = "EU"

// checkRelief reports what contradicts the relief. No work and no word of ours meets the law's
// conditions.
func (x *Stop) checkRelief() error {
	switch {
	case !slices.Contains([]Relief{ByPapers, ByWord, ByChange}, x.Relief):
		return fmt.Errorf("%q must be papers, word or change", x.Relief)
	case (x.Relief == ByChange) != (len(x.Roles) == 0):
		return errors.New("somebody must be named who may clear it, unless only a change lifts it")
	case x.Law && len(x.Repair) > 0:
		return errors.New("no work of ours lifts what the law bars")
	case x.Relief != ByPapers && x.NotBefore != "":
		return errors.New("only papers have a first day")
	case x.Relief != ByPapers && x.EachOwner:
		return errors.New("only papers are one owner's")
	case !x.Law && x.Relief != ByWord:
		return fmt.Errorf("only the law asks for %s", x.Relief)
	}
	return nil
}

// checkLooks reports what is wrong with whose look lifts the stop: a look is a word on what was
// found, so that whoever may not give the word may not lift it by a look.
func (x *Stop) checkLooks() error {
	if len(x.Looks) == 0 {
		return errors.New("somebody must be named whose later look lifts it")
	}
	for _, role := range x.Looks {
		if x.Relief == ByWord && !slices.Contains(x.Roles, role) {
			return fmt.Errorf("%q must be one of those who may clear it", role)
		}
	}
	return nil
}

// StopsIn returns the stops of a table that hold in a country, in the table's order. In a country
// that isn't known those hold that hold elsewhere.
func StopsIn(table []Stop, code string) []Stop {
	country, _ := CountryOf(code)
	named := func(x Stop) bool {
		return slices.ContainsFunc(x.Places, func(place string) bool {
			return place != "" && (place == country.Code || place == country.Union)
		})
	}
	var list []Stop
	for _, x := range table {
		other := slices.Contains(x.Places, elsewhere) &&
			!slices.ContainsFunc(table, func(y Stop) bool { return y.Point == x.Point && named(y) })
		if named(x) || other || slices.Contains(x.Places, anywhere) {
			list = append(list, x)
		}
	}
	return list
}
