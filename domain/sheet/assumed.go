package sheet

import (
	"strings"

	"bentside/domain"
)

// assumed returns every default that moved a price or a date and that nobody confirmed, in a few
// words each. None is left out for want of room.
func (b Subject) assumed() []string {
	list := b.Inputs.Assumptions(b.Result)
	if len(list) == 0 {
		return []string{"Nothing: each default that moved a price or a date was set or confirmed."}
	}
	var lines []string
	for _, about := range domain.AssumptionsAbout {
		var briefs []string
		for _, a := range list {
			if a.About() == about {
				briefs = append(briefs, a.Brief)
			}
		}
		if len(briefs) > 0 {
			lines = append(lines, string(about)+": "+strings.Join(briefs, ", "))
		}
	}
	return lines
}
