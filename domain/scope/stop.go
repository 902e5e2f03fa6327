package scope

import "bentside/domain/catalogue"

// Stop is work that cannot be done: a choice of which every option is refused. Scopes of bids up to
// engine 8 also hold the findings that forbade a bid then; what a finding stops now is package
// clearance's.
type Stop struct {
	Point catalogue.PointCode `json:"point,omitempty"`
	Text  string              `json:"says"`
}

// stops returns the choices that are called for and of which every option is refused.
func (d *draft) stops() []Stop {
	var list []Stop
	for i := range d.choices {
		if d.firstCalled[i] != none && d.selected[i].option == none {
			text := d.choices[i].Group + " is called for, and every way to do it is refused"
			list = append(list, Stop{Text: text})
		}
	}
	return list
}
