package instrument

import (
	"fmt"

	"bentside/domain"

	"github.com/google/uuid"
)

// Dependant is something that was recorded for an instrument as the kind of piano that it is.
type Dependant struct {
	What string // "survey", "scope", "bid" or "job"
	ID   uuid.UUID
	On   domain.Date // the day it is from
}

// CheckKind returns a Conflict Fault, naming what hangs on the instrument, where it would become
// another kind of piano: surveys ask for other points, and operations have other hours.
func CheckKind(was, is Instrument, on []Dependant) error {
	if was.Kind == is.Kind || len(on) == 0 {
		return nil
	}
	f := domain.Refuse(
		domain.Conflict,
		"the instrument can't become %s: work hangs on it as %s; enter another instrument instead",
		is.Kind, was.Kind,
	)
	for _, d := range on {
		f.Chain = append(f.Chain, fmt.Sprintf("the %s %s of %s", d.What, d.ID, d.On))
	}
	return f
}
