package schedule

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// meanBusy is a relaxation for costly ends that share a station: the work that each end waits for
// becomes a job on one machine as fast as the whole station, which may be preempted at will but not
// started before its early start. The weighted sum of the mean busy times, each end's weight being
// its cost rate, is least if the job with the highest rate per unit of work runs whenever there is
// one (Goemans 1997, on Smith 1956; from memory). That holds by the clock as it does in ticks:
// whatever is worth more comes sooner.
//
// From the mean busy time to the end lies at least
//
//   - the time that half of the work takes, and what follows the last of it; or
//   - for each activity half its own duration and what follows it, averaged over the work.
//
// A station is relaxed twice: in ticks, where nobody works in closed hours, and by the minute,
// where tails occupy it through them.
type meanBusy struct {
	*relaxation
	capacity float64
	unit     float64 // minutes in a unit of time: a tick, or 1 by the minute
	// In ticks: twice the sum of the clock, in minutes from the data date, over the ticks before
	// each; nil by the minute.
	clockSums []int64
	jobs      []job
	pieces    []piece // by release date
}

// job is one costly end by its work on the station. Its cost is nowhere below a straight line of
// some slope between 0 and its rate plus that of tardiness, which touches it where the end can be
// alone, or at its due date.
type job struct {
	cost         int32
	work         float64
	afterMean    float64 // minutes between mean busy time and end
	meanBusyTime float64 // minutes from the data date
	slope        float64
}

// piece is what one activity takes of the station, in units of time and of the station, from its
// release date on.
type piece struct {
	job        int // position in jobs
	release    float64
	work       float64
	unfinished float64
	afterMean  float64 // minutes between its mean busy time and the end
	afterLast  float64 // minutes between the last of it and the end
}

// meanBusyBound returns what all costly ends cost at least by what they share on one station. Any
// slopes give a bound; each round raises it by a subgradient step, which moves every slope by how
// far its end lies past the point where its line touches the cost.
func (b *relaxation) meanBusyBound(ctx context.Context, s, rounds int) int64 {
	best := 0.0
	for _, unit := range [...]Minutes{TickMinutes, 1} {
		x := meanBusy{
			relaxation: b, capacity: float64(b.problem.Stations[s].Capacity), unit: float64(unit),
		}
		if unit == 1 && !b.heldThroughTails(s) || !x.gather(s) {
			continue
		}
		for k := range x.jobs {
			x.jobs[k].slope = float64(b.costs[x.jobs[k].cost].rate)
		}
		for round := range rounds {
			if ctx.Err() != nil {
				break // what was found so far is a bound too
			}
			x.schedule()
			best = max(best, x.value())
			x.ascend(0.5 / float64(1+round/4))
		}
	}
	return roundDown(best)
}

// heldThroughTails reports whether a tail occupies a station.
func (b *relaxation) heldThroughTails(s int) bool {
	return slices.ContainsFunc(b.users[s], func(u user) bool {
		return u.hold == HoldThroughTail && b.network.nodes[u.activity].tail > 0
	})
}

// gather collects the station's work by end; false if fewer than two ends share it.
func (x *meanBusy) gather(s int) bool {
	at := map[int32]int{}
	latest, total := 0.0, 0.0
	for _, u := range x.users[s] {
		k := x.owners[u.activity]
		if k == none {
			continue
		}
		if _, known := at[k]; !known {
			at[k] = len(x.jobs)
			x.jobs = append(x.jobs, job{cost: k})
		}
		p := x.inTicks(u)
		if x.unit == 1 {
			p = x.byMinute(u)
		}
		p.job = at[k]
		x.pieces = append(x.pieces, p)
		x.jobs[p.job].work += p.work
		latest, total = max(latest, p.release), total+p.work
	}
	if len(x.jobs) < 2 || x.unit > 1 && !x.sumClock(Ticks(latest+total/x.capacity)+2) {
		return false
	}
	least := slices.Repeat([]float64{math.Inf(1)}, len(x.jobs))
	for _, p := range x.pieces {
		x.jobs[p.job].afterMean += p.work / x.jobs[p.job].work * p.afterMean
		least[p.job] = min(least[p.job], p.afterLast)
	}
	for k := range x.jobs {
		e := &x.jobs[k]
		e.afterMean = max(e.afterMean, x.unit*e.work/(2*x.capacity)+least[k])
	}
	slices.SortStableFunc(x.pieces, func(a, b piece) int {
		return cmp.Compare(a.release, b.release)
	})
	return true
}

// inTicks returns the attended work of an activity, from its early start on.
func (x *meanBusy) inTicks(u user) piece {
	nd, after := &x.network.nodes[u.activity], x.remaining[u.activity]
	earliest := x.path.Activities[u.activity].Early.StartTick
	p := piece{
		release: float64(earliest - x.axis.ceil(x.path.DataDate)), work: float64(u.work),
		afterLast: float64(x.elapsed(after)),
	}
	// The first half of the work has at least the second half after it.
	half := nd.work / 2
	early := float64(x.elapsed(distance{after.minutes + half.Minutes(), after.ticks + half}))
	p.afterMean = max(p.afterLast+float64(nd.work.Minutes())/2, (early+p.afterLast)/2)
	return p
}

// byMinute returns the least time for which an activity occupies the station, at the end of its
// hold.
func (x *meanBusy) byMinute(u user) piece {
	nd := &x.network.nodes[u.activity]
	holds, follows := nd.work.Minutes(), x.elapsed(x.remaining[u.activity])
	if u.hold != HoldWorking {
		holds = x.shortestSpan(nd.work)
	}
	if u.hold == HoldThroughTail {
		holds += nd.tail
		follows -= nd.tail
	}
	return piece{
		release:   float64(x.path.Activities[u.activity].Early.Start - x.path.DataDate),
		work:      float64(u.work) / float64(nd.work) * float64(holds),
		afterMean: float64(holds)/2 + float64(follows), afterLast: float64(follows),
	}
}

// sumClock computes clockSums for so many ticks from the data date on; false if the axis has fewer.
func (x *meanBusy) sumClock(ticks Ticks) bool {
	first := x.axis.ceil(x.path.DataDate)
	if first+ticks > x.axis.Len() {
		return false
	}
	x.clockSums = make([]int64, ticks+1)
	for t := range ticks {
		sinceDataDate := int64(x.axis.start(first+t) - x.path.DataDate)
		x.clockSums[t+1] = x.clockSums[t] + 2*sinceDataDate + int64(TickMinutes)
	}
	return true
}

// clockIntegral returns the integral of the clock, in minutes from the data date, between two
// times.
func (x *meanBusy) clockIntegral(from, to float64) float64 {
	if x.clockSums == nil {
		return (to - from) * (from + to) / 2
	}
	whole, part := x.clockIntegralTo(to)
	before, less := x.clockIntegralTo(from)
	return float64(whole-before)/2 + part - less
}

// clockIntegralTo returns twice the sum of the clock over the whole ticks before a time, and the
// integral over the part of a tick after them.
func (x *meanBusy) clockIntegralTo(at float64) (whole int64, part float64) {
	t := int(at)
	if at -= float64(t); at > 0 {
		begins := float64(x.clockSums[t+1]-x.clockSums[t]-int64(TickMinutes)) / 2
		part = at*begins + float64(TickMinutes)/2*at*at
	}
	return x.clockSums[t], part
}

// schedule runs the pieces, the highest slope per unit of work first, and computes the mean busy
// time of each job.
func (x *meanBusy) schedule() {
	for k := range x.jobs {
		x.jobs[k].meanBusyTime = 0
	}
	for k := range x.pieces {
		x.pieces[k].unfinished = x.pieces[k].work
	}
	urgent := func(a, b int) int {
		one, other := &x.jobs[x.pieces[a].job], &x.jobs[x.pieces[b].job]
		return cmp.Or(cmp.Compare(other.slope*one.work, one.slope*other.work), cmp.Compare(a, b))
	}
	var ready []int // the most urgent first
	now, next := 0.0, 0
	for next < len(x.pieces) || len(ready) > 0 {
		if len(ready) == 0 {
			now = max(now, x.pieces[next].release)
		}
		for ; next < len(x.pieces) && x.pieces[next].release <= now; next++ {
			k, _ := slices.BinarySearchFunc(ready, next, urgent)
			ready = slices.Insert(ready, k, next)
		}
		p := &x.pieces[ready[0]]
		end, done := now+p.unfinished/x.capacity, p.unfinished
		// The next piece may be more urgent.
		if next < len(x.pieces) && x.pieces[next].release < end {
			end = x.pieces[next].release
			done = min(p.unfinished, (end-now)*x.capacity)
		} else {
			ready = ready[1:]
		}
		x.jobs[p.job].meanBusyTime += x.clockIntegral(now, end) * x.capacity / x.jobs[p.job].work
		p.unfinished -= done
		now = end
	}
}

// endOf returns the earliest end of a job by its mean busy time, in minutes from the data date.
func (x *meanBusy) endOf(e *job) float64 { return e.meanBusyTime + e.afterMean }

// value returns what the ends cost at least by their slopes; ends that don't share the station cost
// what they would alone.
func (x *meanBusy) value() float64 {
	sum, from := 0.0, x.path.DataDate
	for k := range x.costs {
		sum += float64(x.costs[k].at(from, x.relaxation.ends[k]))
	}
	for k := range x.jobs {
		e := &x.jobs[k]
		c := &x.costs[e.cost]
		touches := x.tangent(e)
		sum += e.slope*(x.endOf(e)-float64(touches-from)) + float64(c.at(from, touches)-c.at(from,
			x.relaxation.ends[e.cost]))
	}
	return sum
}

// tangent returns where a straight line of a job's slope that is nowhere above its cost touches it.
func (x *meanBusy) tangent(e *job) Instant {
	c, alone := &x.costs[e.cost], x.relaxation.ends[e.cost]
	if e.slope > float64(c.rate) {
		return max(alone, c.due)
	}
	return alone
}

// ascend moves the slopes along the subgradient.
func (x *meanBusy) ascend(step float64) {
	mean := 0.0
	for k := range x.jobs {
		mean += math.Abs(x.subgradient(&x.jobs[k]))
	}
	if mean /= float64(len(x.jobs)); mean == 0 {
		return // no slope gives more
	}
	for k := range x.jobs {
		e := &x.jobs[k]
		most := float64(x.costs[e.cost].rate + x.costs[e.cost].lateRate)
		e.slope = min(max(e.slope+step*most*x.subgradient(e)/mean, 0), most)
	}
}

// subgradient returns how far a job's end lies past the point where its line touches the cost, in
// minutes.
func (x *meanBusy) subgradient(e *job) float64 {
	return x.endOf(e) - float64(x.tangent(e)-x.path.DataDate)
}
