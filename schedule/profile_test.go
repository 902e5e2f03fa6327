package schedule_test

import (
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule"
)

// use is something that holds units of a station from one point to another, in a state.
type use struct {
	from, to        int64
	quantity, state int32
}

// lacking reports whether at a point fewer than quantity units are free, or the station is in
// another state.
func lacking(uses []use, at int64, capacity, quantity, state int32) bool {
	for _, u := range uses {
		if u.from <= at && at < u.to {
			if capacity -= u.quantity; u.state != state && u.state != 0 {
				return true
			}
		}
	}
	return capacity < quantity
}

// The shortages that a station tells of are those that show when every point is looked at, whatever
// was taken and given back.
func TestAStationIsShortWhereItsUsesSayAndNowhereElse(t *testing.T) {
	t.Parallel()
	const points = 24
	rapid.Check(t, func(rt *rapid.T) {
		capacity := rapid.Int32Range(1, 4).Draw(rt, "capacity")
		ticks := schedule.Ticks(rapid.SampledFrom([]int{0, points}).Draw(rt, "ticks"))
		states := int32(0)
		if ticks == 0 {
			states = rapid.Int32Range(0, 2).Draw(rt, "states")
		}
		p := schedule.NewProfile(capacity, ticks)
		var uses []use
		draw := func() use {
			u := use{
				from:     rapid.Int64Range(0, points-1).Draw(rt, "from"),
				quantity: rapid.Int32Range(1, capacity).Draw(rt, "quantity"),
			}
			u.to = rapid.Int64Range(u.from+1, points).Draw(rt, "to")
			if states > 0 {
				u.state = rapid.Int32Range(1, states).Draw(rt, "state")
			}
			return u
		}
		for range rapid.IntRange(0, 12).Draw(rt, "changes") {
			if len(uses) > 0 && rapid.IntRange(0, 2).Draw(rt, "gives back") == 0 {
				k := rapid.IntRange(0, len(uses)-1).Draw(rt, "which")
				p.Take(uses[k].from, uses[k].to, -uses[k].quantity, uses[k].state)
				uses = append(uses[:k], uses[k+1:]...)
				continue
			}
			u, room := draw(), true
			for at := u.from; at < u.to; at++ {
				room = room && !lacking(uses, at, capacity, u.quantity, u.state)
			}
			if room {
				p.Take(u.from, u.to, u.quantity, u.state)
				uses = append(uses, u)
			}
		}
		for range 8 {
			u := draw()
			short := func(at int64) bool { return lacking(uses, at, capacity, u.quantity, u.state) }
			var want schedule.Shortages
			for at := u.from; at < u.to; at++ {
				if !short(at) {
					continue
				}
				if !want.Short {
					want.Short, want.First, want.Last = true, true, true
					for want.Since, want.Until = at, at; want.Until < points && short(want.Until); {
						want.Until++
					}
					want.FirstUntil = want.Until
				}
				if want.LastSince = at; at == u.from {
					for want.LastSince > 0 && short(want.LastSince-1) {
						want.LastSince--
					}
				} else if short(at - 1) {
					for want.LastSince > 0 && short(want.LastSince-1) {
						want.LastSince--
					}
				}
			}
			if got := p.Shortages(u.from, u.to, u.quantity, u.state); got != want {
				rt.Fatalf("%d of %d in state %d from %d to %d beside %v:\n got %+v\nwant %+v", u.quantity,
					capacity, u.state, u.from, u.to, uses, got, want)
			}
		}
	})
}

// More than there ever is has been lacking since the beginning, and will be for ever.
func TestMoreThanAStationHasIsAlwaysShort(t *testing.T) {
	t.Parallel()
	p := schedule.NewProfile(2, 0)
	p.Take(10, 20, 1, 0)
	want := schedule.Shortages{
		Until: schedule.Never, Since: 5, FirstUntil: schedule.Never, LastSince: schedule.Beginning,
		Short: true, First: true, Last: true,
	}
	if got := p.Shortages(5, 15, 3, 0); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}
