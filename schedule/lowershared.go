package schedule

import (
	"cmp"
	"math"
	"slices"
)

// shared are costly ends that share a station. What each waits for is work on one machine as fast as the whole station, that may be broken
// off at will but not begun before its early start. The mean time at which an end's work is done, weighted by the end's cost over its work,
// is then least in sum when the most costly per unit of work goes first, whenever there is some (Goemans 1997, on Smith 1956; from memory).
// That holds by the clock as it does in ticks: whatever is worth more comes sooner.
// From that mean time to the end lies at least
//
//   - the time that half of the work takes, and what follows the last of it; or
//   - for each activity half its own duration and what follows it, averaged over the work.
//
// A station is looked at twice: in ticks, when nobody works in closed hours, and by the minute, when tails hold it through them.
type shared struct {
	*bounder
	capacity float64
	unit     float64 // minutes of one unit of time: a tick, or 1 by the minute
	clock    []int64 // in ticks: twice the sum of the clock, in minutes from the data date, over the ticks before each; nil by the minute
	ends     []sharedEnd
	pieces   []piece // by the first time at which they can be worked on
}

// sharedEnd is one costly end by its work on the station. What it costs is nowhere below a straight line of some slope, from 0 to its rate
// and that of lateness, that touches it where the end can be alone, or at its due date.
type sharedEnd struct {
	cost  int32
	work  float64
	rest  float64 // minutes between its mean time and its end
	mean  float64 // minutes from the data date
	slope float64
}

// piece is what one activity takes of the station, in units of time and of the station, from a time on.
type piece struct {
	end     int // of ends
	first   float64
	work    float64
	left    float64
	mid     float64 // minutes between its own mean time and the end
	follows float64 // minutes between the last of it and the end
}

// lowerShared is what all costly ends cost at least by what they share on one station. Each slope gives a bound; in so many rounds the sum is
// raised by moving each slope by how far its end lies from where its line touches its cost.
func (b *bounder) lowerShared(s, rounds int) int64 {
	best := 0.0
	for _, unit := range [...]Minutes{TickMinutes, 1} {
		x := shared{bounder: b, capacity: float64(b.problem.Stations[s].Capacity), unit: float64(unit)}
		if unit == 1 && !b.throughTails(s) || !x.gather(s) {
			continue
		}
		for k := range x.ends {
			x.ends[k].slope = float64(b.costs[x.ends[k].cost].rate)
		}
		for round := range rounds {
			x.spread()
			best = max(best, x.sum())
			x.tilt(0.5 / float64(1+round/4))
		}
	}
	return sure(best)
}

// throughTails reports whether a tail holds a station.
func (b *bounder) throughTails(s int) bool {
	return slices.ContainsFunc(b.users[s], func(u user) bool { return u.hold == HoldThroughTail && b.network.nodes[u.activity].tail > 0 })
}

// gather collects the station's work by end; false where fewer than two ends share it.
func (x *shared) gather(s int) bool {
	at := map[int32]int{}
	latest, total := 0.0, 0.0
	for _, u := range x.users[s] {
		k := x.owners[u.activity]
		if k == none {
			continue
		}
		if _, known := at[k]; !known {
			at[k] = len(x.ends)
			x.ends = append(x.ends, sharedEnd{cost: k})
		}
		p := x.inTicks(u)
		if x.unit == 1 {
			p = x.byMinute(u)
		}
		p.end = at[k]
		x.pieces = append(x.pieces, p)
		x.ends[p.end].work += p.work
		latest, total = max(latest, p.first), total+p.work
	}
	if len(x.ends) < 2 || x.unit > 1 && !x.wind(Ticks(latest+total/x.capacity)+2) {
		return false
	}
	least := slices.Repeat([]float64{math.Inf(1)}, len(x.ends))
	for _, p := range x.pieces {
		x.ends[p.end].rest += p.work / x.ends[p.end].work * p.mid
		least[p.end] = min(least[p.end], p.follows)
	}
	for k := range x.ends {
		e := &x.ends[k]
		e.rest = max(e.rest, x.unit*e.work/(2*x.capacity)+least[k])
	}
	slices.SortStableFunc(x.pieces, func(a, b piece) int { return cmp.Compare(a.first, b.first) })
	return true
}

// inTicks is the attended work of an activity, from its early start on.
func (x *shared) inTicks(u user) piece {
	nd, after := &x.network.nodes[u.activity], x.after[u.activity]
	p := piece{
		first: float64(x.path.Activities[u.activity].Early.StartTick - x.axis.ceil(x.path.DataDate)), work: float64(u.work),
		follows: float64(x.elapsed(after)),
	}
	// The first half of the work has at least the second one after it.
	half := nd.work / 2
	early := float64(x.elapsed(rest{after.minutes + half.Minutes(), after.ticks + half}))
	p.mid = max(p.follows+float64(nd.work.Minutes())/2, (early+p.follows)/2)
	return p
}

// byMinute is the time for which an activity holds the station at least, at the end of its hold.
func (x *shared) byMinute(u user) piece {
	nd := &x.network.nodes[u.activity]
	holds, follows := nd.work.Minutes(), x.elapsed(x.after[u.activity])
	if u.hold != HoldWorking {
		holds = x.span(nd.work)
	}
	if u.hold == HoldThroughTail {
		holds += nd.tail
		follows -= nd.tail
	}
	return piece{
		first: float64(x.path.Activities[u.activity].Early.Start - x.path.DataDate),
		work:  float64(u.work) / float64(nd.work) * float64(holds),
		mid:   float64(holds)/2 + float64(follows), follows: float64(follows),
	}
}

// wind sums up the clock over so many ticks from the data date on; false where there aren't so many.
func (x *shared) wind(ticks Ticks) bool {
	first := x.axis.ceil(x.path.DataDate)
	if first+ticks > x.axis.Len() {
		return false
	}
	x.clock = make([]int64, ticks+1)
	for t := range ticks {
		x.clock[t+1] = x.clock[t] + 2*int64(x.axis.start(first+t)-x.path.DataDate) + int64(TickMinutes)
	}
	return true
}

// between is the clock summed up, in minutes from the data date, between two times.
func (x *shared) between(from, to float64) float64 {
	if x.clock == nil {
		return (to - from) * (from + to) / 2
	}
	whole, part := x.within(to)
	before, less := x.within(from)
	return float64(whole-before)/2 + part - less
}

// within is twice the sum of the clock over the whole ticks before a time, and that over the part of a tick after them.
func (x *shared) within(at float64) (whole int64, part float64) {
	t := int(at)
	if at -= float64(t); at > 0 {
		begins := float64(x.clock[t+1]-x.clock[t]-int64(TickMinutes)) / 2
		part = at*begins + float64(TickMinutes)/2*at*at
	}
	return x.clock[t], part
}

// spread lays the work out, the most costly per unit first, and finds the mean time of each end's.
func (x *shared) spread() {
	for k := range x.ends {
		x.ends[k].mean = 0
	}
	for k := range x.pieces {
		x.pieces[k].left = x.pieces[k].work
	}
	urgent := func(a, b int) int {
		one, other := &x.ends[x.pieces[a].end], &x.ends[x.pieces[b].end]
		return cmp.Or(cmp.Compare(other.slope*one.work, one.slope*other.work), cmp.Compare(a, b))
	}
	var ready []int // the most urgent first
	now, next := 0.0, 0
	for next < len(x.pieces) || len(ready) > 0 {
		if len(ready) == 0 {
			now = max(now, x.pieces[next].first)
		}
		for ; next < len(x.pieces) && x.pieces[next].first <= now; next++ {
			k, _ := slices.BinarySearchFunc(ready, next, urgent)
			ready = slices.Insert(ready, k, next)
		}
		p := &x.pieces[ready[0]]
		end, done := now+p.left/x.capacity, p.left
		if next < len(x.pieces) && x.pieces[next].first < end { // who comes next may be more urgent
			end = x.pieces[next].first
			done = min(p.left, (end-now)*x.capacity)
		} else {
			ready = ready[1:]
		}
		x.ends[p.end].mean += x.between(now, end) * x.capacity / x.ends[p.end].work
		p.left -= done
		now = end
	}
}

// minutes is when an end is by its mean time, from the data date.
func (x *shared) minutes(e *sharedEnd) float64 { return e.mean + e.rest }

// sum is what the ends cost at least by their slopes, those that don't share the station by where they could be alone.
func (x *shared) sum() float64 {
	sum, from := 0.0, x.path.DataDate
	for k := range x.costs {
		sum += float64(x.costs[k].at(from, x.bounder.ends[k]))
	}
	for k := range x.ends {
		e := &x.ends[k]
		c := &x.costs[e.cost]
		touches := x.touches(e)
		sum += e.slope*(x.minutes(e)-float64(touches-from)) + float64(c.at(from, touches)-c.at(from, x.bounder.ends[e.cost]))
	}
	return sum
}

// touches is where a straight line of an end's slope that is nowhere above its cost meets it.
func (x *shared) touches(e *sharedEnd) Instant {
	c, alone := &x.costs[e.cost], x.bounder.ends[e.cost]
	if e.slope > float64(c.rate) {
		return max(alone, c.due)
	}
	return alone
}

// tilt moves the slopes towards a higher sum.
func (x *shared) tilt(step float64) {
	mean := 0.0
	for k := range x.ends {
		mean += math.Abs(x.past(&x.ends[k]))
	}
	if mean /= float64(len(x.ends)); mean == 0 {
		return // every line touches where its end lies: no slope gives more
	}
	for k := range x.ends {
		e := &x.ends[k]
		most := float64(x.costs[e.cost].rate + x.costs[e.cost].late)
		e.slope = min(max(e.slope+step*most*x.past(e)/mean, 0), most)
	}
}

// past is how far an end lies past where its line touches its cost, in minutes.
func (x *shared) past(e *sharedEnd) float64 {
	return x.minutes(e) - float64(x.touches(e)-x.path.DataDate)
}
