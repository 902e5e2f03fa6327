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
type shared struct {
	*bounder
	capacity float64
	clock    []float64 // the sum of the clock over the ticks before each, in minutes from the data date
	ends     []sharedEnd
	pieces   []piece // by the first tick at which they can be worked on
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

// piece is the work of one activity on the station, from a tick on.
type piece struct {
	end   int // of ends
	first float64
	work  float64
	left  float64
}

// lowerShared is what all costly ends cost at least by what they share on one station. Each slope gives a bound; in so many rounds the sum is
// raised by moving each slope by how far its end lies from where its line touches its cost.
func (b *bounder) lowerShared(s, rounds int) int64 {
	x := shared{bounder: b, capacity: float64(b.problem.Stations[s].Capacity)}
	if !x.gather(s) {
		return 0
	}
	best := 0.0
	for k := range x.ends {
		x.ends[k].slope = float64(b.costs[x.ends[k].cost].rate)
	}
	for round := range rounds {
		x.spread()
		best = max(best, x.sum())
		x.tilt(0.5 / float64(1+round/4))
	}
	return sure(best)
}

// gather collects the station's work by end; false where fewer than two ends share it.
func (x *shared) gather(s int) bool {
	at := map[int32]int{}
	first, latest, total := float64(x.axis.ceil(x.path.DataDate)), 0.0, 0.0
	for _, u := range x.users[s] {
		k := x.owners[u.activity]
		if k == none {
			continue
		}
		if _, known := at[k]; !known {
			at[k] = len(x.ends)
			x.ends = append(x.ends, sharedEnd{cost: k})
		}
		p := piece{end: at[k], first: float64(x.path.Activities[u.activity].Early.StartTick) - first, work: float64(u.work)}
		x.pieces = append(x.pieces, p)
		x.ends[p.end].work += p.work
		latest, total = max(latest, p.first), total+p.work
	}
	if len(x.ends) < 2 {
		return false
	}
	if !x.wind(Ticks(first), Ticks(latest+total/x.capacity)+2) {
		return false
	}
	x.between(s)
	slices.SortStableFunc(x.pieces, func(a, b piece) int { return cmp.Compare(a.first, b.first) })
	return true
}

// wind sums up the clock from a first tick on; false where there aren't so many.
func (x *shared) wind(first, ticks Ticks) bool {
	if first+ticks > x.axis.Len() {
		return false
	}
	x.clock = make([]float64, ticks+1)
	for t := range ticks {
		x.clock[t+1] = x.clock[t] + float64(x.axis.start(first+t)-x.path.DataDate) + float64(TickMinutes)/2
	}
	return true
}

// sumTo is the sum of the clock up to a point on the axis.
func (x *shared) sumTo(at float64) float64 {
	whole := int(at)
	part := at - float64(whole)
	if part == 0 {
		return x.clock[whole]
	}
	begins := x.clock[whole+1] - x.clock[whole] - float64(TickMinutes)/2
	return x.clock[whole] + part*begins + float64(TickMinutes)/2*part*part
}

// between finds what lies between each end and the mean time of its work.
func (x *shared) between(s int) {
	least := make([]float64, len(x.ends))
	for k := range least {
		least[k] = -1
	}
	n := 0
	for _, u := range x.users[s] {
		if x.owners[u.activity] == none {
			continue
		}
		p := x.pieces[n]
		n++
		after, half := x.after[u.activity], x.network.nodes[u.activity].work/2
		follows := float64(x.elapsed(after))
		// The first half of the work has at least the second one after it.
		early := float64(x.elapsed(rest{after.minutes + half.Minutes(), after.ticks + half}))
		mean := max(follows+float64(x.network.nodes[u.activity].work.Minutes())/2, (early+follows)/2)
		x.ends[p.end].rest += p.work / x.ends[p.end].work * mean
		if least[p.end] < 0 || follows < least[p.end] {
			least[p.end] = follows
		}
	}
	for k := range x.ends {
		e := &x.ends[k]
		e.rest = max(e.rest, float64(TickMinutes)*e.work/(2*x.capacity)+least[k])
	}
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
		end := now + p.left/x.capacity
		if next < len(x.pieces) && x.pieces[next].first < end {
			end = x.pieces[next].first
		}
		done := min(p.left, (end-now)*x.capacity)
		x.ends[p.end].mean += (x.sumTo(end) - x.sumTo(now)) * x.capacity / x.ends[p.end].work
		p.left -= done
		if end < now+p.left/x.capacity || p.left > 1e-9*p.work {
			now = end
			continue
		}
		now, ready = end, ready[1:]
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
	mean /= float64(len(x.ends))
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
