package cost

import (
	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Share is what of a document went for one thing.
type Share struct {
	Kind    Kind
	Purpose Purpose
	Amount  money.Amount
}

// BroughtIn returns the lines of a document that came in with an opening. All of them take place on
// the day of its balances, since the day of each is in the old books only.
func (d Document) BroughtIn(of []Share, balances domain.Date) []Line {
	lines := make([]Line, len(of))
	for i, s := range of {
		lines[i] = d.line(s.Kind, s.Purpose, s.Amount)
		lines[i].On, lines[i].PostedOn = balances, balances
	}
	return numbered(lines)
}

// CheckAlone returns a Conflict Fault where a document would be taken back that came in with an
// opening, whose sums are those of the old books.
func CheckAlone(d Document) error {
	if d.Opening == uuid.Nil {
		return nil
	}
	return domain.Refuse(domain.Conflict, "it came in with the opening %s, and is taken back with the "+
		"whole of that", d.Opening)
}
