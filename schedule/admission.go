package schedule

import "slices"

// Groups enter the floor as a whole. A group on the floor can always be scheduled to its end, since
// nothing on the floor waits for work that is not; and a group enters only when its place is
// certain: if o groups on the floor are not yet scheduled completely, there is room from the
// (Floor-o)-th latest end of those that are. So places never run out halfway, and the floor never
// holds more groups than it has places, except for groups that were present from the beginning.

// mayEnterFloor reports whether the group of activity i is on the floor or can enter it.
func (d *decoder) mayEnterFloor(i int32) bool {
	g := d.groupOf[i]
	return g < 0 || d.onFloor[g] || d.problem.Floor == 0 || d.unfinished < d.problem.Floor
}

// floorFrom returns the instant from which the group of activity i has, or would have, its place.
func (d *decoder) floorFrom(i int32) Instant {
	g := d.groupOf[i]
	switch {
	case g < 0 || d.problem.Floor == 0:
		return d.path.DataDate
	case d.onFloor[g]:
		return d.entered[g]
	}
	if at := d.problem.Floor - d.unfinished; at <= len(d.ends) {
		return max(d.path.DataDate, d.ends[at-1])
	}
	return d.path.DataDate
}

// enterFloor records that an activity of group g is scheduled. After the last one, others may take
// the group's place.
func (d *decoder) enterFloor(g int32, at *Dates) {
	if d.problem.Floor == 0 {
		return
	}
	if !d.onFloor[g] {
		d.entered[g] = d.groupFloorFrom(g)
		d.onFloor[g] = true
		d.unfinished++
	}
	d.lastEnd[g] = max(d.lastEnd[g], at.TailEnd)
	if d.remaining[g]--; d.remaining[g] > 0 {
		return
	}
	d.unfinished--
	k := 0
	for k < len(d.ends) && d.ends[k] >= d.lastEnd[g] {
		k++
	}
	if d.ends = slices.Insert(d.ends, k, d.lastEnd[g]); len(d.ends) > d.problem.Floor {
		d.ends = d.ends[:d.problem.Floor]
	}
	for _, i := range d.deferred {
		d.eligible.push(d.entry(i))
	}
	d.deferred = d.deferred[:0]
}

func (d *decoder) groupFloorFrom(g int32) Instant {
	return d.floorFrom(index32(d.problem.Groups[g].Activities[0]))
}
