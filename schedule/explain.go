package schedule

// explain computes the driver of each start and the floats from the dates alone, however they came
// about. It uses the decoder only as a place to work in.
func (m *model) explain(p *Plan, d *decoder) {
	x := &explainer{
		model: m, plan: p, decoder: d, dates: make([]Dates, len(p.Placements)),
		users: make([][]int32, len(m.profiles)),
	}
	for i := range p.Placements {
		x.dates[i] = p.Placements[i].Dates
		for _, w := range m.demandsOf(index32(i)) {
			if !w.exclusive {
				x.users[w.station] = append(x.users[w.station], index32(i))
			}
		}
	}
	d.clearProfiles()
	for i := range x.dates {
		x.decoder.hold(index32(i), &x.dates[i], 1)
	}
	x.decoder.dates = x.dates
	for i := range p.Placements {
		p.Placements[i].Driver = x.driver(index32(i))
		p.Placements[i].FreeFloat = x.freeFloat(index32(i))
	}
	x.totalFloats()
}

type explainer struct {
	*model
	plan    *Plan
	dates   []Dates
	decoder *decoder  // with all activities of the plan in it
	users   [][]int32 // per station, the activities that demand some of it
}

// driver returns what holds the start of activity i back: a link if the links allow nothing
// earlier, else what it would meet a tick before.
func (x *explainer) driver(i int32) Driver {
	d := &x.dates[i]
	early, bound, err := x.network.earliest(x.axis, x.dates, i, x.path.DataDate)
	if err != nil || early.Start >= d.Start || bound.Kind == DriverFixed {
		return bound
	}
	nd := &x.network.nodes[i]
	before := nd.dates(x.axis, max(0, d.StartTick-1), d.Start-1)
	if b, found := x.blocked(i, d, &before); found {
		return b
	}
	if b, found := x.floorDriver(i); found {
		return b
	}
	bound.Kind, bound.Link, bound.Activity = DriverOrder, none, none
	return bound
}

// blocked returns what activity i would meet if it started at the dates before instead of d: the
// user of what it short that lets go last.
func (x *explainer) blocked(i int32, d, before *Dates) (Driver, bool) {
	x.decoder.hold(i, d, -1)
	defer x.decoder.hold(i, d, 1)
	demands := x.demandsOf(i)
	for k := range demands {
		w := &demands[k]
		for next := before.StartTick; next >= 0; {
			var from, to int64
			from, to, next = x.held(w, before, next)
			if from >= to {
				continue
			}
			if until, short := x.decoder.profiles[w.station].shortageIn(from, to,
				w.quantity, w.state); short {
				return x.blockedBy(i, w, from, until), true
			}
		}
	}
	return Driver{}, false
}

// blockedBy returns who lets go of a station when it has room again: a reservation before an
// activity, then the lower position; of a station with states, whoever needs another one before
// those who need the same.
func (x *explainer) blockedBy(i int32, w *demand, from, until int64) Driver {
	_, ready := x.fromUnit(w.station, until)
	if x.byTick[w.station] {
		ready = x.axis.endBefore(Ticks(until))
	}
	b := Driver{DriverStation, none, none, int(w.station), none, ready}
	if w.exclusive {
		b.Kind = DriverClash
	}
	x.findUser(&b, i, w, from, until, w.state)
	switch found := b.Reservation != none || b.Activity != none; {
	case w.state != 0 && found:
		b.Kind = DriverClash
	case w.state != 0:
		x.findUser(&b, i, w, from, until, none)
	}
	return b
}

// findUser enters in b who last lets go of a station between two points, those in a state and
// activity i apart.
func (x *explainer) findUser(b *Driver, i int32, w *demand, from, until int64, apart int32) {
	last := int64(beginning)
	for k, r := range x.problem.Reservations {
		if r.Station != b.Station || r.State != 0 && r.State == int(apart) {
			continue
		}
		if first, end := x.toUnit(r.Station, InstantBefore(r.From),
			InstantAfter(r.To)); first < until && end > from && end <= until && end > last {
			last, b.Reservation = end, k
		}
	}
	for _, j := range x.users[w.station] {
		if j == i {
			continue
		}
		if end := x.lastRelease(j, w.station, from, until, apart); end > last {
			last, b.Reservation, b.Activity = end, none, int(j)
		}
	}
}

// lastRelease returns when activity j last lets go of a station between two points, unless it needs
// the state apart.
func (x *explainer) lastRelease(j, station int32, from, until int64, apart int32) int64 {
	last := int64(beginning)
	demands, d := x.demandsOf(j), &x.dates[j]
	for k := range demands {
		w := &demands[k]
		if w.station != station || w.exclusive || w.state != 0 && w.state == apart {
			continue
		}
		for next := d.StartTick; next >= 0; {
			var first, end int64
			first, end, next = x.held(w, d, next)
			if first < until && end > from && end <= until {
				last = max(last, end)
			}
		}
	}
	return last
}

// floorDriver returns the activity that ended last among the groups that left the floor by the
// start of activity i; none if its group only came after others in the order of admission.
func (x *explainer) floorDriver(i int32) (Driver, bool) {
	g := x.groupOf[i]
	if g < 0 || x.problem.Floor == 0 {
		return Driver{}, false
	}
	b := Driver{DriverFloor, none, none, none, none, x.path.DataDate}
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
		if last >= 0 && x.dates[last].TailEnd <= x.dates[i].Start &&
			x.dates[last].TailEnd > b.Ready {
			b.Activity, b.Ready = last, x.dates[last].TailEnd
		}
	}
	return b, true
}
