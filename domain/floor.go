package domain

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/schedule"
)

// whole is the sub-assembly of work on the instrument as one piece.
const whole = "whole"

// What an operation needs of the air around it, as the catalogue spells it.
const (
	humidityStable = "humidity_stable"
	quiet          = "quiet"
)

// needs are the stations that an operation holds.
//
// The place itself is held from start to finish of the attended work, nights
// included, and through the tail where that is a rest in its air: the drying
// room, the intake bay, the showroom. The parts worked on are held through the
// tail, since glue sets and finish hardens on them; not after tuning and
// chipping up, whose tail is only settling. Holds are common practice, no
// source.
func (w *weaver) needs(op *catalogue.Operation, l *Line) []schedule.Need {
	var list []schedule.Need
	away := l.Making == catalogue.Outside
	if op.Station != "" && !away {
		hold := schedule.HoldToFinish
		if op.Needs == humidityStable {
			hold = schedule.HoldThroughTail
		}
		if i, ok := w.index[op.Station]; ok {
			list = append(list, schedule.Need{Station: i, Quantity: 1, Hold: hold})
		} else if !slices.Contains(w.Unlimited, op.Station) {
			w.Unlimited = append(w.Unlimited, op.Station)
		}
	}
	hold := schedule.HoldThroughTail
	if op.Needs == quiet && !away {
		hold = schedule.HoldToFinish
	}
	for _, part := range w.partsOf(op) {
		list = append(list, schedule.Need{Station: w.part(part), Quantity: 1, Hold: hold})
	}
	return list
}

// partsOf are the parts that an operation works on: all of them where it takes
// the instrument as one piece.
func (w *weaver) partsOf(op *catalogue.Operation) []string {
	switch op.Subassembly {
	case "":
		return nil
	case whole:
		return w.parts
	default:
		return []string{op.Subassembly}
	}
}

// part is the station that stands for a part of the instrument.
func (w *weaver) part(name string) int {
	owner := w.job.name
	if owner == "" {
		owner = "this instrument"
	}
	return w.station(name+" of "+owner, 1)
}
