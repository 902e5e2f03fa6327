package catalogue

import (
	"fmt"
	"io/fs"
	"strings"
	"sync"
)

// NextOwner says what an option leaves to whoever owns the piano next.
type NextOwner struct {
	OptionRef
	Says     string
	Standing Standing
}

// NextOwners returns the table of what each shipped option leaves to the next owner, in its own
// order. Like the stops it is part of no workshop's catalogue. The error comes from a broken build
// only.
func NextOwners() ([]NextOwner, error) { return nextOwners() }

var nextOwners = sync.OnceValues(func() ([]NextOwner, error) {
	c, err := Shipped()
	if err != nil {
		return nil, err
	}
	return readNextOwners(
		c, func(name string) ([]byte, error) { return fs.ReadFile(data, "data/"+name) },
	)
})

// readNextOwners reads the table, which must name each option of the catalogue exactly once.
func readNextOwners(
	c *Catalogue, read func(name string) ([]byte, error),
) ([]NextOwner, error) {
	s := &sheets{read, &checking{Catalogue: c}}
	var list []NextOwner
	named := map[OptionRef]int{}
	for _, r := range s.rows("nextowners", "group", "option", "says", "standing") {
		x := NextOwner{
			OptionRef: OptionRef{Group: r.text("group"), Option: r.text("option")},
			Says:      r.text("says"), Standing: Standing(r.text("standing")),
		}
		if s.option(x.Group, x.Option) == nil {
			r.wrong("option", "%s=%s isn't an option of the catalogue", x.Group, x.Option)
		}
		if named[x.OptionRef]++; named[x.OptionRef] > 1 {
			r.wrong("option", "must name %s=%s only once", x.Group, x.Option)
		}
		if x.Says == "" || !x.Standing.known() {
			r.wrong("standing", "%q must begin with one of: %s", x.Standing, strings.Join(Standings, "; "))
		}
		list = append(list, x)
	}
	for ref := range s.options() {
		if named[ref] == 0 {
			s.flaws = append(s.flaws, &Flaw{
				Where: "nextowners.csv", Err: fmt.Errorf("%s=%s has no row", ref.Group, ref.Option),
			})
		}
	}
	if len(s.flaws) > 0 {
		return nil, s.flaws
	}
	return list, nil
}
