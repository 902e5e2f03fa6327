package catalogue

import (
	"io/fs"
	"strings"
	"sync"

	"github.com/shopspring/decimal"
)

// Unseen is a point that can stop a purchase, as long as nobody has looked at it.
type Unseen struct {
	Point PointCode
	// Odds are the probability that it must be acted on, where a workshop has set none of its own for
	// the point; 0 leaves it at the workshop's default.
	Odds decimal.Decimal
	// Law: what is found is the law's to judge. No price counts that, and nobody takes it on.
	Law bool
	// RepairFails is the probability that the work which mends it doesn't hold, so that the instrument
	// goes as a donor of parts after all.
	RepairFails decimal.Decimal
	Says        string
	Standing    Standing
}

// UnseenStops returns the table of points that can stop a purchase. Like the stops themselves it is
// part of no workshop's catalogue. The error comes from a broken build only.
func UnseenStops() ([]Unseen, error) { return unseenStops() }

var unseenStops = sync.OnceValues(func() ([]Unseen, error) {
	c, err := Shipped()
	if err != nil {
		return nil, err
	}
	return readUnseen(
		c, func(name string) ([]byte, error) { return fs.ReadFile(data, "data/"+name) },
	)
})

func readUnseen(c *Catalogue, read func(name string) ([]byte, error)) ([]Unseen, error) {
	s := &sheets{read, &checking{Catalogue: c}}
	var list []Unseen
	for _, r := range s.rows("unseen", "point", "odds", "law", "repair_fails", "says", "standing") {
		x := Unseen{
			Point: PointCode(r.text("point")), Law: r.yes("law"), Says: r.text("says"),
			Standing: Standing(r.text("standing")),
		}
		for column, to := range map[string]*decimal.Decimal{
			"odds": &x.Odds, "repair_fails": &x.RepairFails,
		} {
			var err error
			if *to, err = decimal.NewFromString(r.text(column)); err != nil || to.IsNegative() ||
				to.GreaterThan(decimal.NewFromInt(1)) {
				r.wrong(column, "must be a probability from 0 to 1, not %q", r.text(column))
			}
		}
		if p := c.Point(x.Point); p == nil || !p.HardStop {
			r.wrong("point", "%q must be a point that can stop a purchase", x.Point)
		}
		if x.Says == "" || !x.Standing.known() {
			r.wrong("standing", "%q must begin with one of: %s", x.Standing, strings.Join(Standings, "; "))
		}
		list = append(list, x)
	}
	if len(s.flaws) > 0 {
		return nil, s.flaws
	}
	return list, nil
}
