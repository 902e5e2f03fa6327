package scope

import (
	"slices"

	"bentside/domain/catalogue"
)

// CountedIn says where a line is counted that is listed in a scope and not counted in its work;
// empty: in the work.
type CountedIn string

// BeforePurchase: the survey that a bid is drawn up by is spent whether or not we buy. InSelling:
// work that belongs to the sale. InTransport: the haul-in, where the bid counts what it costs to
// fetch the instrument.
const (
	BeforePurchase CountedIn = "before_purchase"
	InSelling      CountedIn = "selling"
	InTransport    CountedIn = "transport_in"
)

// countedIn returns where an operation is counted.
func countedIn(c *catalogue.Catalogue, op *catalogue.Operation) CountedIn {
	switch {
	case op.ForSale:
		return InSelling
	case op.Code == c.OperationMarked(catalogue.SurveyMark):
		return BeforePurchase
	default:
		return ""
	}
}

// Fetched returns the scope of an instrument whose haul-in is paid for as transport: it stays in
// the scope and the dates and is not counted in the work.
func (s Scope) Fetched(c *catalogue.Catalogue) Scope {
	arrival := c.OperationMarked(catalogue.ArrivalMark)
	s.Lines = slices.Clone(s.Lines)
	for i := range s.Lines {
		if s.Lines[i].Operation == arrival {
			s.Lines[i].CountedIn = InTransport
		}
	}
	return s
}
