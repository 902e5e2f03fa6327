package schedule

// entry is an eligible activity: all its predecessors are scheduled.
type entry struct {
	key      Instant
	rank     int32
	activity int32
}

func (e *entry) before(other *entry) bool {
	if e.key != other.key {
		return e.key < other.key
	}
	return e.rank < other.rank || e.rank == other.rank && e.activity < other.activity
}

// entries is a binary heap with the activity to be scheduled next on top.
type entries []entry

func (h *entries) push(e entry) {
	s := append(*h, e)
	k := len(s) - 1
	for k > 0 {
		above := (k - 1) / 2
		if !s[k].before(&s[above]) {
			break
		}
		s[k], s[above] = s[above], s[k]
		k = above
	}
	*h = s
}

func (h *entries) pop() entry {
	s := *h
	top := s[0]
	last := len(s) - 1
	s[0] = s[last]
	s = s[:last]
	for k := 0; ; {
		next := 2*k + 1
		if next >= last {
			break
		}
		if next+1 < last && s[next+1].before(&s[next]) {
			next++
		}
		if !s[next].before(&s[k]) {
			break
		}
		s[k], s[next] = s[next], s[k]
		k = next
	}
	*h = s
	return top
}
