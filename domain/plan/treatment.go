package plan

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/clearance"
)

// Stop is what stops the instrument of some work, as far as it bears on the order of the work.
type Stop struct {
	Stop   string           `json:"stop"`
	Says   string           `json:"says"`
	Repair []catalogue.Code `json:"repair,omitempty"` // the work that mends it
	Move   bool             `json:"move,omitempty"`   // it bars moving the instrument
	Work   bool             `json:"work,omitempty"`   // it bars work on it
}

// StopsOf returns the stops that bar moving an instrument, or work on it, until something lifts
// them. A repair that is only planned lifts none of them here: it is what the rest waits for.
func StopsOf(list clearance.List) []Stop {
	var stops []Stop
	for _, s := range list {
		x := Stop{
			Stop: s.ID, Says: s.Says, Repair: s.Repair,
			Move: slices.Contains(s.Acts, catalogue.ToMove),
			Work: slices.Contains(s.Acts, catalogue.ToWork),
		}
		if !s.Lifted() && (x.Move || x.Work) {
			stops = append(stops, x)
		}
	}
	return stops
}

// treatmentInto returns the precedences that keep an operation behind the work that treats what
// stops the instrument. Work that is stopped goes behind the treatment, except for what leads up to
// it. So does the haul-in where the treatment can be done where the piano stands; where it can't,
// no work lifts the stop before the haul-in, and a word must: see unliftedAt. (Common practice, no
// source: what is live or cracked is treated before time goes into anything else.)
func (b *networkBuilder) treatmentInto(code catalogue.Code) []precedence {
	var list []precedence
	if b.lines[code] == nil { // late hours on what is over
		return nil
	}
	for _, s := range b.job.stops {
		for _, by := range b.treatments(s) {
			told := func(p precedence) bool { return p.from == by }
			if slices.ContainsFunc(list, told) || !b.behind(code, by, s) {
				continue
			}
			list = append(list, precedence{
				from: by, to: code,
				why: fmt.Sprintf("behind the treatment, %s: %s", b.lines[by].Name, s.Says),
			})
		}
	}
	return list
}

// treatments returns the operations of the job that treat what stops the instrument.
func (b *networkBuilder) treatments(s Stop) []catalogue.Code {
	return slices.DeleteFunc(
		slices.Clone(s.Repair), func(code catalogue.Code) bool { return b.lines[code] == nil },
	)
}

// behind reports whether an operation goes behind one that treats what stops the instrument.
func (b *networkBuilder) behind(code, by catalogue.Code, s Stop) bool {
	hauled := s.Move && b.isArrival(code) && b.whereItStands(by)
	return hauled || s.Work && !b.leadsUpToTreatment(code)
}

func (b *networkBuilder) isArrival(code catalogue.Code) bool {
	return code == b.c.OperationMarked(catalogue.ArrivalMark)
}

// whereItStands reports whether an operation of the job can be done before the instrument is hauled
// in: nothing that it waits for comes after the haul-in.
func (b *networkBuilder) whereItStands(code catalogue.Code) bool {
	arrival := b.c.OperationMarked(catalogue.ArrivalMark)
	return code != arrival && !b.leadingUpTo(b.predecessors, code)[arrival]
}

// unliftedAt returns the stops that keep the instrument from being hauled in and that no work of
// the job lifts before; nil for any other operation.
func (b *networkBuilder) unliftedAt(code catalogue.Code) []Stop {
	if !b.isArrival(code) {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(b.job.stops), func(s Stop) bool {
		lifts := len(s.Repair) > 0 && !slices.ContainsFunc(s.Repair, func(by catalogue.Code) bool {
			return b.lines[by] == nil || !b.whereItStands(by)
		})
		return !s.Move || lifts
	})
}

// leadsUpToTreatment reports whether an operation treats what stops work on the instrument, or
// leads up to what does.
func (b *networkBuilder) leadsUpToTreatment(code catalogue.Code) bool {
	if b.first == nil {
		var all []catalogue.Code
		for _, s := range b.job.stops {
			if s.Work {
				all = append(all, b.treatments(s)...)
			}
		}
		b.first = b.leadingUpTo(func(code catalogue.Code) []catalogue.Code {
			return append(b.predecessors(code), b.treatedBefore(code)...)
		}, all...)
	}
	return b.first[code]
}

// leadingUpTo returns some operations of the job and all that goes before them, given what goes
// right before each.
func (b *networkBuilder) leadingUpTo(
	before func(catalogue.Code) []catalogue.Code, codes ...catalogue.Code,
) map[catalogue.Code]bool {
	found := map[catalogue.Code]bool{}
	for open := slices.Clone(codes); len(open) > 0; open = open[1:] {
		if code := open[0]; b.lines[code] != nil && !found[code] {
			found[code] = true
			open = append(open, before(code)...)
		}
	}
	return found
}

// linked returns what goes right before an operation by the catalogue's links.
func (b *networkBuilder) linked(code catalogue.Code) []catalogue.Code {
	ask := *b
	ask.job.ended = nil // the tail of what is over isn't work
	var list []catalogue.Code
	for _, p := range ask.precedencesInto(code) {
		list = append(list, p.from)
	}
	return list
}

// predecessors returns what goes right before an operation whatever stops the instrument: by the
// links, what reveals it, and what its parts are ordered after. The links win where they put it
// before one of these.
func (b *networkBuilder) predecessors(code catalogue.Code) []catalogue.Code {
	list := b.linked(code)
	others := []catalogue.Code{b.lines[code].RevealedBy}
	if op := b.c.Operation(code); op != nil && op.Lead != nil {
		others = append(others, op.Lead.After)
	}
	for _, x := range others {
		if b.lines[x] != nil && !b.leadingUpTo(b.linked, x)[code] {
			list = append(list, x)
		}
	}
	return list
}

// treatedBefore returns what the haul-in waits for where the instrument stands; nothing for any
// other operation.
func (b *networkBuilder) treatedBefore(code catalogue.Code) []catalogue.Code {
	var list []catalogue.Code
	for _, s := range b.job.stops {
		for _, by := range b.treatments(s) {
			if s.Move && b.isArrival(code) && b.whereItStands(by) {
				list = append(list, by)
			}
		}
	}
	return list
}
