package plan

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/schedule"
)

// Network is the work on one or more instruments as activities and links, ready for package
// schedule.
type Network struct {
	Activities []schedule.Activity
	Links      []schedule.Link
	// Stations are what activities need. First come those that the workshop lists, in its order.
	// Then, as they are first needed, one for each part of each instrument, since two tasks on one
	// part never overlap; one for each instrument, in the state of the room that its body is in;
	// the pools of people; and the air of rooms where dust or open finish occurs.
	Stations []schedule.Station
	// Unlimited are stations that the catalogue names and the workshop doesn't list, Unstaffed
	// skills that nobody of the crew has. No task waits for them.
	Unlimited []string
	Unstaffed []string
	// Clashes are stations that are never in use at once: dust and open finish in the air of one
	// room.
	Clashes []schedule.Clash
	// Instruments stand on the floor from their first activity to their last; Floor is how many may
	// stand there at once, 0 for any number.
	Instruments []schedule.Group
	Floor       int
	// Reservations are stations that work occupies without being done, and people away and places
	// out of use.
	Reservations []schedule.Reservation

	crew    crew
	rooms   rooms
	bodies  map[int]string                        // of Stations: the instrument whose place it is
	outages map[stationKey][]schedule.Reservation // what absences take of stations
	// days on which everybody is away, in order
	allAway        []domain.Date
	forWork        map[int]bool       // of Reservations: those for work
	listed         int                // how many of Stations the workshop lists
	index          map[stationKey]int // of Stations
	sittings       []sitting          // of Activities
	releaseReasons []string           // of Activities: why not released before
	unlifted       [][]Stop           // of Activities: what must be cleared before it is begun
	// of Links: why the one waits for the other
	linkReasons []string
}

// stationKey tells stations apart: a station that the workshop lists may have any name, even that
// of a part, of people or of the air.
type stationKey struct {
	inner bool // not listed by the workshop
	name  string
}

// sitting says what an activity is: one sitting, from 1, of an operation on an instrument. An empty
// instrument is the one that is asked about.
type sitting struct {
	instrument string
	operation  catalogue.Code
	name       string
	number     int
	ready      bool // its end makes the instrument ready
}

// ScopeNetwork lays out the planned lines of a scope that is accepted at an instant as a network:
//
//   - attended work is the likely hours shared by those who do it at once, in quarter hours rounded
//     up, then the operation's tail; spaced sittings are a chain with gaps;
//   - work done outside takes the firm's turn-round and none of our hours;
//   - parts are ordered when the operation that the catalogue names is done, or on acceptance where
//     that is the survey or the intake, or isn't in the job;
//   - an operation waits for those that the catalogue links to it; where one of them isn't in the
//     job, its own predecessors stand in for it, back to the acceptance, but for links that lapse
//     with it;
//   - work that is only likely waits for the task that reveals it, and so does the order of its
//     parts;
//   - an operation that was begun goes on before all others, and waits for none of this; one that
//     was begun though something goes before it that is left keeps its links, and goes on after it;
//   - what follows work that is over waits for what is left of its tail or lag, and the next
//     sitting for what is left of the gap;
//   - while something stops the instrument, work goes behind the treatment of that, as far as it
//     isn't needed for it; the haul-in too, where the treatment can be done where the piano stands.
//     Where it can't, the haul-in is dated as if the stop were cleared at once, and says so.
//
// The survey before the purchase and work that belongs to the sale are left out. Dates are to be
// worked out from the acceptance on.
func ScopeNetwork(
	c *catalogue.Catalogue, s scope.Scope, accepted time.Time, stations []domain.Station,
	stops []Stop,
) (*Network, error) {
	n := emptyNetwork(Shop{Stations: stations})
	return n, n.add(c, instrumentWork{scope: s, accepted: accepted, stops: stops})
}

// emptyNetwork returns the network of a shop without work.
func emptyNetwork(shop Shop) *Network {
	n := &Network{
		index: map[stationKey]int{}, crew: crewOf(shop.People), rooms: newRooms(shop.Stations),
		bodies: map[int]string{}, outages: shop.outages(),
		allAway: shop.allAway(), forWork: map[int]bool{},
	}
	for _, s := range shop.Stations {
		n.stationFor(stationKey{name: s.Name}, s.Count)
		if s.Name == domain.FloorStation {
			n.Floor = s.Count
		}
	}
	n.listed = len(n.Stations)
	return n
}

// listedStation returns the position of a station that the workshop lists, by its name.
func (n *Network) listedStation(name string) (int, bool) {
	i, ok := n.index[stationKey{name: name}]
	return i, ok
}

// stationFor returns the position of a station, and adds it where it is new.
func (n *Network) stationFor(key stationKey, capacity int) int {
	if i, ok := n.index[key]; ok {
		return i
	}
	n.index[key] = len(n.Stations)
	for _, r := range n.outages[key] {
		r.Station = len(n.Stations)
		n.Reservations = append(n.Reservations, r)
	}
	n.Stations = append(n.Stations, schedule.Station{Name: key.name, Capacity: capacity})
	return n.index[key]
}

// OperationLink is a link between two operations, or two sittings of one.
type OperationLink struct {
	From LinkEnd `json:"from"`
	To   LinkEnd `json:"to"`
	Text string  `json:"says"` // why the one waits for the other
}

// LinkEnd is one sitting, from 1, of an operation.
type LinkEnd struct {
	Operation catalogue.Code `json:"operation"`
	Number    int            `json:"number"`
}

// OperationLinks returns the links of the network by the operations that they join.
func (n *Network) OperationLinks() []OperationLink {
	at := make(map[string]LinkEnd, len(n.Activities))
	for i, a := range n.Activities {
		at[a.Name] = LinkEnd{Operation: n.sittings[i].operation, Number: n.sittings[i].number}
	}
	list := make([]OperationLink, len(n.Links))
	for i, l := range n.Links {
		list[i] = OperationLink{From: at[l.From], To: at[l.To], Text: n.linkReasons[i]}
	}
	return list
}
