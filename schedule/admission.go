package schedule

import "slices"

// Groups are admitted to the floor as a whole. A group on the floor can always be placed to its end, since nothing on the floor waits for
// one that isn't; and a group gets on it only when its place is certain: with o groups on the floor that aren't placed whole, there is room
// from the (Floor-o)-th latest end of those that are. So places can't run out halfway, and no more groups than places are ever there at
// once, but for those that were there from the beginning.

// admissible reports whether the group of activity i is on the floor, or can get there.
func (d *decoder) admissible(i int32) bool {
	g := d.groupOf[i]
	return g < 0 || d.on[g] || d.problem.Floor == 0 || d.open < d.problem.Floor
}

// admitted is from when the group of activity i has, or would have, its place.
func (d *decoder) admitted(i int32) Instant {
	g := d.groupOf[i]
	switch {
	case g < 0 || d.problem.Floor == 0:
		return d.path.DataDate
	case d.on[g]:
		return d.since[g]
	}
	if at := d.problem.Floor - d.open; at <= len(d.ends) {
		return max(d.path.DataDate, d.ends[at-1])
	}
	return d.path.DataDate
}

// seat notes that an activity of group g is placed. When it was the last, others may get its place.
func (d *decoder) seat(g int32, at *Dates) {
	if d.problem.Floor == 0 {
		return
	}
	if !d.on[g] {
		d.since[g] = d.admittedGroup(g)
		d.on[g] = true
		d.open++
	}
	d.until[g] = max(d.until[g], at.TailEnd)
	if d.left[g]--; d.left[g] > 0 {
		return
	}
	d.open--
	k := 0
	for k < len(d.ends) && d.ends[k] >= d.until[g] {
		k++
	}
	if d.ends = slices.Insert(d.ends, k, d.until[g]); len(d.ends) > d.problem.Floor {
		d.ends = d.ends[:d.problem.Floor]
	}
	for _, i := range d.deferred {
		d.heap.push(d.entry(i))
	}
	d.deferred = d.deferred[:0]
}

func (d *decoder) admittedGroup(g int32) Instant {
	return d.admitted(index32(d.problem.Groups[g].Activities[0]))
}
