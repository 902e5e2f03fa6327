package plan

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/schedule"
)

// body is the sub-assembly that the instrument stands or falls with: where it is, the piano is.
const body = "body"

// rooms are the rooms of a workshop in the order in which work first asks for them. A station is in
// the room that the workshop says, or else it is a room of its own, by its own name: booth, drying
// room and showroom are rooms by their names, and a workshop in which benches share one says so.
// That goes for stations that the workshop doesn't list, too. (Common practice, no source.)
type rooms struct {
	of    map[string]string // by station, where the workshop says
	index map[string]int    // by name, from 1
	names []string
	air   []string // how the air of each is told, "in the …" or "at the …"
}

func newRooms(stations []domain.Station) rooms {
	r := rooms{of: map[string]string{}, index: map[string]int{}}
	for _, s := range stations {
		if s.Room != "" {
			r.of[s.Name] = s.Room
		}
	}
	return r
}

// number returns the number of a station's room, from 1.
func (r *rooms) number(station string) int {
	if room := r.of[station]; room != "" {
		return r.numbered(room, "in the "+room)
	}
	return r.numbered(station, "at the "+station)
}

// away returns the number of wherever outside firms are.
func (r *rooms) away() int { return r.numbered("", "") }

func (r *rooms) numbered(name, air string) int {
	if _, known := r.index[name]; !known {
		r.names, r.air = append(r.names, name), append(r.air, air)
		r.index[name] = len(r.names)
	}
	return r.index[name]
}

// told tells where a thing is that is in the room of a number.
func (r *rooms) told(number int) string {
	if name := r.names[number-1]; name != "" {
		return "in another room (" + name + ")"
	}
	return "away with a firm"
}

// bodyNeed returns the need of an operation to have the body of the instrument in the room where it
// is done, for as long as the operation holds its place there; false if it can be anywhere. A body
// is in one room at a time: no hammers are voiced in the quiet room while the piano rests in the
// showroom. In one room work may go on beside what dries or settles there.
func (b *networkBuilder) bodyNeed(op *catalogue.Operation, outside bool) (schedule.Need, bool) {
	if op.Subassembly != whole && !slices.Contains(b.partsOf(op), body) {
		return schedule.Need{}, false
	}
	need := schedule.Need{Quantity: 1, Hold: placeHold(op)}
	switch {
	case outside:
		need.State, need.Hold = b.rooms.away(), schedule.HoldThroughTail
	case op.Station != "":
		need.State = b.rooms.number(op.Station)
	default:
		return schedule.Need{}, false
	}
	need.Station = b.stationFor(stationKey{true, "place of " + b.instrumentName()}, manyUsers)
	b.bodies[need.Station] = b.instrumentName()
	return need, true
}

// placeNeeds returns what an operation that is done here needs of the station, of the air there and
// of the instrument's whereabouts.
func (b *networkBuilder) placeNeeds(op *catalogue.Operation) []schedule.Need {
	var list []schedule.Need
	if i, ok := b.listedStation(op.Station); ok {
		list = b.stationNeeds(op, i)
	}
	if need, ok := b.bodyNeed(op, false); ok {
		list = append(list, need)
	}
	return list
}

// placeHold returns how long an operation holds its place: to the end of attended work, and through
// the tail where the catalogue asks for settled or dust-free air.
func placeHold(op *catalogue.Operation) schedule.Hold {
	if op.Needs == humidityStable || op.Needs == dustFree {
		return schedule.HoldThroughTail
	}
	return schedule.HoldToFinish
}

// inTheWay says where an instrument is that is needed elsewhere, and what for.
func (n *Network) inTheWay(b schedule.Driver) string {
	at := func(state int) string { return n.bodies[b.Station] + " is " + n.rooms.told(state) }
	switch {
	case b.Activity >= 0:
		for _, need := range n.Activities[b.Activity].Needs {
			if need.Station == b.Station {
				return fmt.Sprintf("%s for %q", at(need.State), n.sittings[b.Activity].name)
			}
		}
	case b.Reservation >= 0:
		r := n.Reservations[b.Reservation]
		return at(r.State) + ", " + r.Name
	}
	return n.bodies[b.Station] + " is elsewhere"
}
