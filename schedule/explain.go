package schedule

// explain finds the reason for each start and its floats from the dates alone, however they came about. The decoder is only a place to
// work in.
func (m *model) explain(p *Plan, d *decoder) {
	x := &explainer{model: m, plan: p, decoder: d, dates: make([]Dates, len(p.Placements)), users: make([][]int32, len(m.free))}
	for i := range p.Placements {
		x.dates[i] = p.Placements[i].Dates
		for _, w := range m.of(index32(i)) {
			if !w.probe {
				x.users[w.station] = append(x.users[w.station], index32(i))
			}
		}
	}
	d.vacate()
	for i := range x.dates {
		x.decoder.hold(index32(i), &x.dates[i], 1)
	}
	x.decoder.dates = x.dates
	x.decoder.pushed = append(x.decoder.pushed, x.dates...)
	for i := range p.Placements {
		p.Placements[i].Bound = x.why(index32(i))
		p.Placements[i].Slack = x.slack(index32(i))
	}
	x.putOff()
}

type explainer struct {
	*model
	plan    *Plan
	dates   []Dates
	decoder *decoder  // with everything held
	users   [][]int32 // per station, the activities that take some of it
}

// why is the reason for the start of activity i: that of the links where they allow nothing earlier, else what it would meet a tick
// before.
func (x *explainer) why(i int32) Bound {
	d := &x.dates[i]
	early, bound, err := x.network.earliest(x.axis, x.dates, i, x.path.DataDate)
	if err != nil || early.Start >= d.Start || bound.Kind == BoundFixed {
		return bound
	}
	nd := &x.network.nodes[i]
	before := nd.dates(x.axis, max(0, d.StartTick-1), d.Start-1)
	if b, found := x.inTheWay(i, d, &before); found {
		return b
	}
	if b, found := x.floor(i); found {
		return b
	}
	bound.Kind, bound.Link, bound.Activity = BoundOrder, none, none
	return bound
}

// inTheWay finds what activity i would meet if it started at the dates before instead of d: the holder of what it lacks that lets go last.
func (x *explainer) inTheWay(i int32, d, before *Dates) (Bound, bool) {
	x.decoder.hold(i, d, -1)
	defer x.decoder.hold(i, d, 1)
	wants := x.of(i)
	for k := range wants {
		w := &wants[k]
		for next := before.StartTick; next >= 0; {
			var from, to int64
			from, to, next = x.stretch(w, before, next)
			if from >= to {
				continue
			}
			if until, lacks := x.decoder.free[w.station].lacking(from, to, w.quantity); lacks {
				return x.holder(i, w, from, until), true
			}
		}
	}
	return Bound{}, false
}

// holder blames whoever lets go of a station when it has room again; a reservation before an activity, then the lower position.
func (x *explainer) holder(i int32, w *want, from, until int64) Bound {
	_, ready := x.instantOf(w.station, until)
	if x.byTick[w.station] {
		ready = x.axis.endBefore(Ticks(until))
	}
	b := Bound{BoundStation, none, none, int(w.station), none, ready}
	if w.probe {
		b.Kind = BoundClash
	}
	last := int64(beginning)
	for k, r := range x.problem.Reservations {
		if first, end := x.inUnit(r.Station, InstantBefore(r.From), InstantAfter(r.To)); r.Station == b.Station && first < until && end > from && end <= until && end > last {
			last, b.Reservation = end, k
		}
	}
	for _, j := range x.users[w.station] {
		if j == i {
			continue
		}
		if end := x.lets(j, w.station, from, until); end > last {
			last, b.Reservation, b.Activity = end, none, int(j)
		}
	}
	return b
}

// lets is when activity j last lets go of a station between two points.
func (x *explainer) lets(j, station int32, from, until int64) int64 {
	last := int64(beginning)
	wants, d := x.of(j), &x.dates[j]
	for k := range wants {
		w := &wants[k]
		if w.station != station || w.probe {
			continue
		}
		for next := d.StartTick; next >= 0; {
			var first, end int64
			first, end, next = x.stretch(w, d, next)
			if first < until && end > from && end <= until {
				last = max(last, end)
			}
		}
	}
	return last
}

// floor blames the activity that ended last among the groups that left the floor by the start of activity i; none where its group only came
// after others in the order of admission.
func (x *explainer) floor(i int32) (Bound, bool) {
	g := x.groupOf[i]
	if g < 0 || x.problem.Floor == 0 {
		return Bound{}, false
	}
	b := Bound{BoundFloor, none, none, none, none, x.path.DataDate}
	for other, group := range x.problem.Groups {
		if index32(other) == g {
			continue
		}
		last := none
		for _, j := range group.Activities {
			if last < 0 || x.dates[j].TailEnd > x.dates[last].TailEnd {
				last = j
			}
		}
		if last >= 0 && x.dates[last].TailEnd <= x.dates[i].Start && x.dates[last].TailEnd > b.Ready {
			b.Activity, b.Ready = last, x.dates[last].TailEnd
		}
	}
	return b, true
}
