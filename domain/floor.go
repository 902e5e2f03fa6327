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
	dustFree       = "dust_free"
)

// Dust that open finish must not meet, among an operation's hazards.
const (
	woodDust   = "wood_dust"
	finishDust = "finish_dust"
)

// floorStation is the station whose count is how many instruments the shop can
// hold at once, where a workshop lists it.
const floorStation = "floor"

// manyUsers is more than ever use the air of one place at once.
const manyUsers = 1000

// needs are the stations that an operation holds.
//
// The place itself is held from start to finish of the attended work, nights
// included, and through the tail where the catalogue asks for settled or
// dust-free air: in the drying room, the booth, the intake bay, the showroom
// the work stays where it is until it is dry or settled. The parts worked on
// are held from start to finish: while glue sets or finish cures on a part,
// what must wait for that does so by its link, and other work on it need not.
// People are held while they work. Dust of wood or finish is in the air of a
// place while it is made, and open finish from the start to the end of its
// tail; the two never meet. All this is common practice, no source.
func (w *weaver) needs(op *catalogue.Operation, l *Line) []schedule.Need {
	var list []schedule.Need
	away := l.Making == catalogue.Outside
	if op.Station != "" && !away {
		if i, ok := w.place(op.Station); ok {
			list = w.placeNeeds(op, i)
		} else if !slices.Contains(w.Unlimited, op.Station) {
			w.Unlimited = append(w.Unlimited, op.Station)
		}
	}
	for _, part := range w.partsOf(op) {
		hold := schedule.HoldToFinish
		if away {
			hold = schedule.HoldThroughTail // what is away is gone
		}
		list = append(list, schedule.Need{Station: w.part(part), Quantity: 1, Hold: hold})
	}
	if !away {
		list = append(list, w.crewNeeds(op.Skill, op.Crew)...)
	}
	return list
}

// placeNeeds are what an operation needs of the place where it is done, which it
// keeps while something dries or settles there, and of the air in it.
func (w *weaver) placeNeeds(op *catalogue.Operation, place int) []schedule.Need {
	hold := schedule.HoldToFinish
	if op.Needs == humidityStable || op.Needs == dustFree {
		hold = schedule.HoldThroughTail
	}
	return append([]schedule.Need{{Station: place, Quantity: 1, Hold: hold}}, w.air(op)...)
}

// air is what an operation does to the air of its place, and what it asks of
// it.
func (w *weaver) air(op *catalogue.Operation) []schedule.Need {
	dusty := slices.Contains(op.Hazards, woodDust) || slices.Contains(op.Hazards, finishDust)
	if !dusty && op.Needs != dustFree {
		return nil
	}
	dust, finish := stationKey{true, "dust at the " + op.Station}, stationKey{true, "open finish at the " + op.Station}
	if _, known := w.index[dust]; !known {
		w.Clashes = append(w.Clashes, schedule.Clash{One: w.station(dust, manyUsers), Other: w.station(finish, manyUsers)})
	}
	if dusty {
		return []schedule.Need{{Station: w.index[dust], Quantity: 1, Hold: schedule.HoldWorking}}
	}
	return []schedule.Need{{Station: w.index[finish], Quantity: 1, Hold: schedule.HoldThroughTail}}
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
	return w.station(stationKey{true, name + " of " + w.owner()}, 1)
}

// owner is the instrument by its name.
func (w *weaver) owner() string {
	if w.job.name == "" {
		return "this instrument"
	}
	return w.job.name
}
