package scope

import (
	"hash/fnv"
	"math/bits"
	"math/rand/v2"
	"slices"

	"bentside/pricing/odds"
)

// A sample of worlds divides the unit interval into sampleSlots slots, a power of two.
const (
	sampleBits  = 11
	sampleSlots = 1 << sampleBits
)

// sampleWorlds returns a stratified sample of worlds. Each doubt lays its branches along the unit
// interval, with the slots in an order of its own, so that every branch has exactly its odds; a
// slot in which a branch ends is cut there. Worse odds only ever turn branches for the worse. The
// slots go from the least worn instrument to the most worn one, and the orders of points go along
// with that.
func (e *engine) sampleWorlds() []world {
	var set worldSet
	set.add(e.soundestWorld())
	e.eachSample(set.add)
	return set.list
}

// eachSample calls a function with each world of the sample; several may have one signature.
func (e *engine) eachSample(each func(world)) {
	orders := make([][]int, len(e.doubts))
	for i := range e.doubts {
		orders[i] = slotOrder(string(e.doubts[i].point) + string(e.code(e.doubts[i].line)))
		if e.doubts[i].line == none {
			orders[i] = odds.AlongWear(orders[i], e.loading)
		}
	}
	for slot := range sampleSlots {
		from := int64(0)
		for _, to := range e.breakpoints(orders, slot) {
			w := world{
				branches: make([]uint8, len(e.doubts)), weight: slotWeight(to - from),
				possible: true, worn: wornOf(slot, to-from),
			}
			for i := range e.doubts {
				branch := e.doubts[i].branchAt(int64(orders[i][slot])*wholePPM + from)
				w.branches[i] = uint8(branch) //nolint:gosec // a doubt has three branches at most
				w.signature = w.signature.with(e.doubts[i].branches[branch].signature)
			}
			each(w)
			from = to
		}
	}
}

// slotWeight returns the weight of a part of a slot, given in millionths of the slot. Odds have six
// decimals at most, so every part is a multiple of 64.
func slotWeight(part int64) int64 { return part / 64 * (wholeWeight / wholePPM * 64 / sampleSlots) }

// wornOf returns the probability of a part of a slot, given in millionths of it, in each stratum of
// the wear.
func wornOf(slot int, part int64) *[odds.Strata]float64 {
	worn := odds.StrataOf(float64(slot)/sampleSlots, float64(slot+1)/sampleSlots)
	for s := range worn {
		worn[s] *= float64(part) / wholePPM
	}
	return &worn
}

// slotOrder returns the order of the slots for a doubt. It depends on the doubt's name alone, so
// that a doubt that comes or goes leaves all others where they are. The order is a digital net: the
// slot's bits times an invertible matrix over GF(2), plus a shift. The leading bits of a few doubts
// together are then nearly always independent to the last slot (Owen's linear scrambling of nets,
// from memory).
func slotOrder(name string) []int {
	h := fnv.New64a()
	h.Write([]byte(name)) //nolint:errcheck,gosec // a hash takes everything
	seed := rand.NewPCG(h.Sum64(), sampleSlots)
	r := rand.New(seed) //nolint:gosec // a fixed sample, not a secret
	for {
		var rows [sampleBits]uint
		for i := range rows {
			rows[i] = uint(r.IntN(sampleSlots)) //nolint:gosec // below sampleSlots
		}
		shift := r.IntN(sampleSlots)
		order := make([]int, sampleSlots)
		reached := [sampleSlots]bool{}
		for slot := range order {
			place := 0
			for _, row := range rows {
				place = place<<1 | bits.OnesCount(row&uint(slot))&1 //nolint:gosec // a slot is not negative
			}
			order[slot] = place ^ shift
			reached[place] = true
		}
		if !slices.Contains(reached[:], false) {
			return order // the matrix is invertible
		}
	}
}

// branchAt returns the branch at a point of the interval, given in millionths of a slot.
func (x *doubt) branchAt(point int64) int {
	end := int64(0)
	for i, b := range x.branches {
		if end += b.ppm * sampleSlots; point < end {
			return i
		}
	}
	return len(x.branches) - 1
}

// breakpoints returns the places within a slot, in millionths of it and ending with its end, where
// some doubt passes from one branch to the next.
func (e *engine) breakpoints(orders [][]int, slot int) []int64 {
	list := []int64{wholePPM}
	for i := range e.doubts {
		if !e.doubts[i].matters() {
			continue
		}
		end := int64(0)
		for _, b := range e.doubts[i].branches {
			end += b.ppm * sampleSlots
			if cut := end - int64(orders[i][slot])*wholePPM; cut > 0 && cut < wholePPM {
				list = append(list, cut)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}
