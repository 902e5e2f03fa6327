package scope

import "bentside/pricing/odds"

// work is what there is to do and to use up in some worlds, with their probability.
type work struct {
	key    workKey
	weight int64
	worn   [odds.Strata]float64 // of a sample: the probability in each stratum of the wear
	world  int                  // the first of them: of a sample, its lane
}

// workKey has a bit for each operation and for each material that is used up by a condition.
type workKey string

func (k workKey) has(bit int) bool { return k[bit/8]&(1<<(bit%8)) != 0 }

// keySize is the number of bytes of a workKey.
func (e *engine) keySize() int { return (len(e.possible) + e.conditionalCount + 7) / 8 }

// keyOf returns the key of a draft.
func (e *engine) keyOf(d *draft) workKey {
	key := make([]byte, e.keySize())
	for op, there := range d.present {
		if !there {
			continue
		}
		key[op/8] |= 1 << (op % 8)
		for i := range e.materials[op] {
			if m := &e.materials[op][i]; m.bit != none && d.holdsBy(&m.when, d.optionInEffect) {
				key[m.bit/8] |= 1 << (m.bit % 8)
			}
		}
	}
	return workKey(key)
}

// keys writes the keys of the worlds of a batch, one after the other.
func (b *batch) keys(to []byte) {
	clear(to)
	size := b.keySize()
	set := func(bit int, in lanes) {
		for lane := range eachLane(in) {
			to[lane*size+bit/8] |= 1 << (bit % 8)
		}
	}
	for op, in := range b.present {
		if in == 0 {
			continue
		}
		set(op, in)
		for i := range b.materials[op] {
			if m := &b.materials[op][i]; m.bit != none {
				set(m.bit, in&b.holdsBy(&m.when, b.inEffect))
			}
		}
	}
}

// workSet is some work by its key, in the order in which it was added.
type workSet struct {
	at   map[workKey]int
	list []work
}

// reach returns where the work of a key is; it is added, found first in a world, where it is new.
func (s *workSet) reach(key []byte, world int) int {
	at, known := s.at[workKey(key)]
	if !known {
		if s.at == nil {
			s.at = map[workKey]int{}
		}
		at = len(s.list)
		s.at[workKey(key)] = at
		s.list = append(s.list, work{key: workKey(key), world: world})
	}
	return at
}
