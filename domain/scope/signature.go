package scope

import "maps"

// signature is everything about a world's branches that can make a difference to its work: a bit
// for each predicate and for each operation that the buyer gave a chance. Worlds with the same
// signature have the same draft.
type signature string

func (s signature) has(bit int) bool { return s[bit/8]&(1<<(bit%8)) != 0 }

// with returns the union of two signatures of the same length; the empty one adds nothing.
func (s signature) with(o signature) signature {
	if s == "" {
		return o
	}
	b := []byte(s)
	for i := range b {
		b[i] |= o[i]
	}
	return signature(b)
}

// computeSignatures gives every branch of every doubt its signature.
func (e *engine) computeSignatures() {
	ask := e.predicates.list
	judged := maps.Clone(e.judgements)
	facts := e.factsIn(judged)
	for i := range e.doubts {
		x := &e.doubts[i]
		open := judged[x.point]
		for j := range x.branches {
			bits := make([]byte, (len(ask)+len(e.doubts)+7)/8)
			set := func(k int) { bits[k/8] |= 1 << (k % 8) }
			if x.branches[j].absent {
				set(len(ask) + i)
			}
			if x.line == none {
				judged[x.point] = x.judgementIn(open, j)
				for k, heldBy := range ask {
					if heldBy(x.point, facts) {
						set(k)
					}
				}
			}
			x.branches[j].signature = signature(bits)
		}
		if x.line == none {
			judged[x.point] = open
		}
	}
}
