package plan

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/schedule"
)

// whole is the sub-assembly of work on the instrument as one piece.
const whole = "whole"

// What an operation needs of the air around it, as the catalogue spells it.
const (
	humidityStable = "humidity_stable"
	dustFree       = "dust_free"
)

// Dust that open finish must be kept from: what an operation emits, and among its hazards.
const (
	dustEmitted = "dust"
	woodDust    = "wood_dust"
	finishDust  = "finish_dust"
)

// manyUsers is more than ever use the air of one room, or are busy with one instrument, at once.
const manyUsers = 1000

// needs returns the stations that an operation holds.
//
// The place is held from start to finish of the attended work, nights included, and through the
// tail where the catalogue asks for settled or dust-free air: in the drying room, the booth, the
// intake bay and the showroom, the work stays where it is until it is dry or settled. So does the
// body of the instrument, if the work is done on it or in it. The parts worked on are held from
// start to finish: while glue sets or finish cures on a part, what must wait for that does so by
// its link, and other work on the part needn't. People are held while they work. Dust is in the air
// of a room while it is made, and open finish from the start to the end of its tail; the two are
// never in one room together. All this is common practice, no source.
func (b *networkBuilder) needs(op *catalogue.Operation, l *scope.Line) []schedule.Need {
	var list []schedule.Need
	outside := l.Making == catalogue.Outside
	if op.Station != "" && !outside {
		if i, ok := b.listedStation(op.Station); ok {
			list = b.stationNeeds(op, i)
		} else if !slices.Contains(b.Unlimited, op.Station) {
			b.Unlimited = append(b.Unlimited, op.Station)
		}
	}
	if need, ok := b.bodyNeed(op, outside); ok {
		list = append(list, need)
	}
	hold := schedule.HoldToFinish
	if outside {
		hold = schedule.HoldThroughTail // the part is away until the firm brings it back
	}
	for _, part := range b.partsOf(op) {
		list = append(list, schedule.Need{Station: b.partStation(part), Quantity: 1, Hold: hold})
	}
	if !outside {
		list = append(list, b.crewNeeds(op.Skill, op.Crew)...)
	}
	return list
}

// stationNeeds returns what an operation needs of the station where it is done, and of the air
// there.
func (b *networkBuilder) stationNeeds(op *catalogue.Operation, station int) []schedule.Need {
	return append([]schedule.Need{{Station: station, Quantity: 1, Hold: placeHold(op)}},
		b.airNeeds(op)...)
}

// airNeeds returns what an operation puts into the air of its room or must keep out of it, as
// stations of which dust and open finish are never in use at once. Dust is what the catalogue says
// the operation emits, or warns of among its hazards.
func (b *networkBuilder) airNeeds(op *catalogue.Operation) []schedule.Need {
	dusty := op.Emits == dustEmitted || slices.Contains(op.Hazards, woodDust) ||
		slices.Contains(op.Hazards, finishDust)
	if !dusty && op.Needs != dustFree {
		return nil
	}
	room := b.rooms.air[b.rooms.number(op.Station)-1]
	dust, finish := stationKey{true, "dust " + room}, stationKey{true, "open finish " + room}
	if _, known := b.index[dust]; !known {
		b.Clashes = append(b.Clashes, schedule.Clash{
			One: b.stationFor(dust, manyUsers), Other: b.stationFor(finish, manyUsers),
		})
	}
	if dusty {
		return []schedule.Need{{Station: b.index[dust], Quantity: 1, Hold: schedule.HoldWorking}}
	}
	return []schedule.Need{{Station: b.index[finish], Quantity: 1, Hold: schedule.HoldThroughTail}}
}

// partsOf returns the parts that an operation works on or needs: all of them where it takes the
// instrument as one piece, and the body where another part is worked on in it.
func (b *networkBuilder) partsOf(op *catalogue.Operation) []string {
	switch op.Subassembly {
	case "":
		return nil
	case whole:
		return b.parts
	case body:
		return []string{body}
	}
	if op.Marked(catalogue.InBodyMark) {
		return []string{op.Subassembly, body}
	}
	return []string{op.Subassembly}
}

// partStation returns the station that stands for a part of the instrument.
func (b *networkBuilder) partStation(name string) int {
	return b.stationFor(stationKey{true, name + " of " + b.instrumentName()}, 1)
}

func (b *networkBuilder) instrumentName() string {
	if b.job.name == "" {
		return thisInstrument
	}
	return b.job.name
}
