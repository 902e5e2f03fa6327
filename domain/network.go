package domain

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// The operations that dates hang on. The survey (surveyOperation) is done
// before there is a job; an instrument takes a place on the floor when it is
// hauled in; what would be ordered after the intake is ordered on acceptance; the
// instrument is ready when it has been photographed for the showroom.
const (
	haulOperation   catalogue.Code = "IN-02"
	intakeOperation catalogue.Code = "IN-03"
	readyOperation  catalogue.Code = "QC-03"
)

// Network is the work on one or more instruments as activities and links,
// ready for package schedule.
type Network struct {
	Activities []schedule.Activity
	Links      []schedule.Link
	// Stations are what activities need: the workshop's places of limited
	// number, in their order, then one for each part of each instrument, since
	// two tasks on one part never overlap.
	Stations []schedule.Station
	// Then come the people who have one of some skills, and the air of places
	// where both dust and open finish occur.
	// Unlimited are places that the catalogue names and the workshop does not
	// list, Unstaffed skills that nobody of the crew has. Nothing waits for
	// them.
	Unlimited []string
	Unstaffed []string
	// Clashes are stations that are never in use at once: dust and open finish
	// in the air of one place.
	Clashes []schedule.Clash
	// Instruments stand on the floor from their first activity to their last;
	// Floor is how many may at once, 0 for any number.
	Instruments []schedule.Group
	Floor       int
	// Reservations are stations that suspended tasks keep meanwhile, and people
	// away and places out of use.
	Reservations []schedule.Reservation

	crew     crew
	out      map[stationKey][]schedule.Reservation // what absences take of stations
	deserted []Date                                // on which everybody is away, in order
	kept     map[int]bool                          // of Reservations: places of suspended tasks
	listed   int                                   // how many of Stations the workshop lists
	index    map[stationKey]int                    // of Stations
	of       []sitting                             // of Activities, by position
	rests    []string                              // of Activities: why they are not released before
	whys     []string                              // of Links: why the one waits for the other
}

// stationKey tells stations apart: a place that the workshop lists may have any
// name, that of a part, of people or of the air among them.
type stationKey struct {
	inner bool // not of the workshop's list
	name  string
}

// sitting says what an activity is: one sitting, from 1, of an operation on an
// instrument. An empty instrument is the one that is asked about.
type sitting struct {
	instrument string
	operation  catalogue.Code
	name       string
	number     int
}

// instrumentWork is the work on one instrument that goes into a network.
type instrumentWork struct {
	name     string // empty: the instrument that is asked about
	scope    Scope
	accepted time.Time
	underWay bool // accepted before the dates are asked for
	order    int  // its place in the queue

	held      time.Time // not taken up before; zero: free
	suspended []SuspendedWork
	begun     []catalogue.Code
	worked    []WorkedOn
}

// present reports whether the instrument has its place on the floor already: it
// need not be hauled in any more.
func (w instrumentWork) present() bool {
	return w.underWay && !slices.ContainsFunc(w.scope.Lines, func(l Line) bool { return l.Operation == haulOperation && l.Planned() })
}

// ScopeNetwork lays out the planned lines of a scope that is accepted at an
// instant as a network:
//
//   - attended work is the likely hours shared by those who do it at once, in
//     quarter hours rounded up, then the operation's tail; spaced sittings are a
//     chain with gaps;
//   - work done outside takes the firm's turn-round and none of our hours;
//   - parts are ordered when the operation that the catalogue names is done, or
//     on acceptance where that is the survey, the intake or not in the job;
//   - an operation waits for those that the catalogue links to it; where one of
//     them is not in the job, its own predecessors stand in for it, back to the
//     acceptance;
//   - work that is only likely waits for the task that reveals it, and so does
//     the order of its parts;
//   - an operation that was begun goes on before all others, and waits for none
//     of this;
//   - what comes after work that is over waits for what is left of its tail or
//     lag, and the next sitting for what is left of the gap.
//
// The survey before the purchase and work that belongs to the sale are left
// out. Dates are to be worked out from the acceptance on.
func ScopeNetwork(c *catalogue.Catalogue, s Scope, accepted time.Time, stations []Station) (*Network, error) {
	n := networkOf(Shop{Stations: stations})
	return n, n.add(c, instrumentWork{scope: s, accepted: accepted})
}

// networkOf is a network without work in a shop.
func networkOf(shop Shop) *Network {
	n := &Network{
		index: map[stationKey]int{}, crew: crewOf(shop.People), out: shop.outages(), deserted: shop.deserted(), kept: map[int]bool{},
	}
	for _, s := range shop.Stations {
		n.station(stationKey{name: s.Name}, s.Count)
		if s.Name == floorStation {
			n.Floor = s.Count
		}
	}
	n.listed = len(n.Stations)
	return n
}

// place is the position of a place that the workshop lists, by its name; false
// where there is none of that name.
func (n *Network) place(name string) (int, bool) {
	i, ok := n.index[stationKey{name: name}]
	return i, ok
}

// station is the position of a station, which is added where it is new.
func (n *Network) station(key stationKey, capacity int) int {
	if i, ok := n.index[key]; ok {
		return i
	}
	n.index[key] = len(n.Stations)
	for _, r := range n.out[key] {
		r.Station = len(n.Stations)
		n.Reservations = append(n.Reservations, r)
	}
	n.Stations = append(n.Stations, schedule.Station{Name: key.name, Capacity: capacity})
	return n.index[key]
}

// add puts the work on one instrument into the network. No two instruments may
// have one name.
func (n *Network) add(c *catalogue.Catalogue, work instrumentWork) error {
	w := &weaver{
		Network: n, c: c, job: work,
		picked: map[catalogue.Code]*Line{}, strands: map[catalogue.Code]strand{}, ties: map[catalogue.Code][]catalogue.Code{},
	}
	w.pick()
	group := schedule.Group{Name: w.owner(), Present: work.present()}
	for _, code := range w.order {
		if err := w.spin(code); err != nil {
			return err
		}
		for i := w.strands[code].first; i <= w.strands[code].last; i++ {
			group.Activities = append(group.Activities, i)
		}
	}
	n.Instruments = append(n.Instruments, group)
	w.keepPlaces()
	for _, code := range w.order {
		for _, t := range w.tiesInto(code) {
			w.tie(t)
		}
	}
	for _, code := range w.order {
		w.awaitReveal(code)
		w.awaitParts(code)
	}
	w.awaitAll()
	return nil
}

// weaver puts the work on one instrument into a network.
type weaver struct {
	*Network
	c   *catalogue.Catalogue
	job instrumentWork

	picked  map[catalogue.Code]*Line
	order   []catalogue.Code // of picked, as in the scope
	parts   []string         // what is worked on apart
	strands map[catalogue.Code]strand
	ties    map[catalogue.Code][]catalogue.Code // from an operation to those that wait for it
}

// strand is the activities of one operation by their positions, first and
// last; they are the same where there is one.
type strand struct{ first, last int }

// pick takes the lines that the job consists of.
func (w *weaver) pick() {
	seen := map[string]bool{}
	for i := range w.job.scope.Lines {
		l := &w.job.scope.Lines[i]
		op := jobOperation(w.c, *l)
		if op == nil || !l.Planned() {
			continue
		}
		w.picked[op.Code] = l
		w.order = append(w.order, op.Code)
		if part := op.Subassembly; part != "" && part != whole && !seen[part] {
			seen[part] = true
			w.parts = append(w.parts, part)
		}
	}
	if len(w.parts) == 0 {
		w.parts = []string{whole}
	}
}

// spin adds the activities of one operation: one, or a chain of sittings.
func (w *weaver) spin(code catalogue.Code) error {
	op, l := w.c.Operation(code), w.picked[code]
	a := schedule.Activity{Name: string(code), Tail: minutesOf(op.Tail.Likely) + w.away(code), Needs: w.needs(op, l), Order: w.job.order}
	if w.job.name != "" {
		a.Name = w.job.name + " " + a.Name
	}
	why := w.rest(op, &a)
	a.UnderWay = slices.Contains(w.job.begun, code)
	n, gap := 1, schedule.Minutes(0)
	if l.Making != catalogue.Outside {
		a.Work = ticksOf(w.crew.attended(l.Hours.Likely, op.Skill), op.Crew)
	}
	if op.Sessions != nil && l.Making != catalogue.Outside {
		// The hours left of a job under way may not fill every sitting.
		n, gap = max(min(l.Sessions, int(a.Work)), 1), minutesOf(op.Sessions.GapHours)
	}
	sittings, links, err := schedule.Sessions(a, n, gap)
	if err != nil {
		return fmt.Errorf("lay out %s: %w", code, err)
	}
	first := len(w.Activities)
	for i, x := range sittings {
		w.Activities = append(w.Activities, x)
		w.rests = append(w.rests, why)
		why = "" // of the first sitting only
		w.of = append(w.of, sitting{instrument: w.job.name, operation: code, name: l.Name, number: i + 1})
	}
	for _, link := range links {
		w.link(link, fmt.Sprintf("at least %s h after the sitting before", op.Sessions.GapHours))
	}
	w.strands[code] = strand{first: first, last: len(w.Activities) - 1}
	if at, ok := w.ended(code); ok && op.Sessions != nil {
		w.release(code, minutesAfter(at, gap), fmt.Sprintf("at least %s h after the last sitting, on %s", op.Sessions.GapHours, dayOf(at)))
	}
	return nil
}

// away is how long an outside firm has the work; nothing for work of our own.
func (w *weaver) away(code catalogue.Code) schedule.Minutes {
	op := w.c.Operation(code)
	if w.picked[code].Making != catalogue.Outside || op.Buying == nil {
		return 0
	}
	return weeksOf(op.Buying.TurnRound.Likely)
}

func (w *weaver) link(l schedule.Link, why string) {
	w.Links = append(w.Links, l)
	w.whys = append(w.whys, why)
}

var (
	ticksPerHour = decimal.NewFromInt(int64(schedule.TicksPerHour))
	// hoursPerWeek is what a calendar week comes to.
	hoursPerWeek = decimal.NewFromInt(7 * 24)
)

// ticksOf are the quarter hours that a crew works to put in person-hours,
// rounded up.
func ticksOf(hours decimal.Decimal, crew int) schedule.Ticks {
	people := decimal.NewFromInt(int64(max(crew, 1)))
	return schedule.Ticks(hours.Mul(ticksPerHour).DivRound(people, canonicalPlaces).Ceil().IntPart())
}

// minutesOf is elapsed hours in minutes, rounded up.
func minutesOf(hours decimal.Decimal) schedule.Minutes {
	return schedule.Minutes(hours.Mul(decimal.NewFromInt(int64(schedule.Hour))).Ceil().IntPart())
}

func weeksOf(weeks decimal.Decimal) schedule.Minutes { return minutesOf(weeks.Mul(hoursPerWeek)) }
