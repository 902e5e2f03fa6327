package job

import (
	"errors"
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/scope"

	"github.com/shopspring/decimal"
)

// Work is what a job made of a scope would hold, in the scope's order. A scope is drawn anew on
// every read, and only an edit moves its version: what was quoted is kept as Work, so that a
// finding or a measure that comes later shows. Work that isn't known is nil.
type Work []WorkLine

// WorkLine is one operation of it, with its likely person-hours (0: a firm does it).
type WorkLine struct {
	Operation catalogue.Code  `json:"operation"`
	Quantity  decimal.Decimal `json:"quantity"`
	Hours     decimal.Decimal `json:"hours"`
}

// WorkOf returns the work of a scope; never nil.
func WorkOf(c *catalogue.Catalogue, s scope.Scope) Work {
	w := Work{}
	for _, l := range s.Lines {
		if scope.JobOperation(c, l) != nil && l.Planned() {
			w = append(w, WorkLine{Operation: l.Operation, Quantity: l.Quantity, Hours: l.Hours.Likely})
		}
	}
	return w
}

// CheckWork returns a Conflict Fault, with each line that came, went or changed, where a scope
// draws up other work now than it did when the option was quoted. An option from before its work
// was kept is accepted as it stands.
func (o QuotedOption) CheckWork(now Work) error {
	if o.Work == nil {
		return nil
	}
	differences := o.Work.differences(now)
	if len(differences) == 0 {
		return nil
	}
	f := domain.Refuse(domain.Conflict,
		"option %d is other work now than was quoted, since what is known of the instrument has "+
			"changed: quote again, or put right what was entered in error", o.Number)
	f.Chain = differences
	return f
}

// differences says line by line how work differs from what it was.
func (w Work) differences(now Work) []string {
	var list []string
	for _, was := range w {
		is, ok := now.line(was.Operation)
		switch {
		case !ok:
			list = append(list, fmt.Sprintf("%s went: %s h were quoted", was.Operation, was.Hours))
		case !is.Hours.Equal(was.Hours):
			list = append(list, fmt.Sprintf("%s takes %s h, not the %s h that were quoted",
				was.Operation, is.Hours, was.Hours))
		case !is.Quantity.Equal(was.Quantity):
			list = append(list, fmt.Sprintf("%s is a matter of %s, not of the %s that were quoted",
				was.Operation, is.Quantity, was.Quantity))
		}
	}
	for _, is := range now {
		if _, ok := w.line(is.Operation); !ok {
			list = append(list, fmt.Sprintf("%s came: %s h", is.Operation, is.Hours))
		}
	}
	return list
}

func (w Work) line(code catalogue.Code) (WorkLine, bool) {
	i := slices.IndexFunc(w, func(l WorkLine) bool { return l.Operation == code })
	if i < 0 {
		return WorkLine{}, false
	}
	return w[i], true
}

// Warnings says what would refuse a yes to the option, given its scope as it is drawn now. A
// quotation may go out while somebody looks into that.
func (o QuotedOption) Warnings(
	c *catalogue.Catalogue, s scope.Scope, stops clearance.List,
) []string {
	var list []string
	for _, x := range s.Stops {
		list = append(list, fmt.Sprintf("a yes to option %d will be refused: %s", o.Number, x.Text))
	}
	var f *domain.Fault
	if errors.As(CheckStops(c, s, stops), &f) {
		for _, bar := range f.Chain {
			list = append(list, fmt.Sprintf("a yes to option %d will be refused: %s", o.Number, bar))
		}
	}
	return list
}
