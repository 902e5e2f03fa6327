package schedule

import "cmp"

// candidate is an activity whose predecessors are placed, with its rank.
type candidate struct {
	order    int
	late     Instant
	activity int32
}

// readyList is a heap of candidates, the first to be placed on top.
type readyList []candidate

func (l readyList) Len() int { return len(l) }

func (l readyList) Less(i, j int) bool {
	return cmp.Or(
		cmp.Compare(l[i].order, l[j].order), cmp.Compare(l[i].late, l[j].late), cmp.Compare(l[i].activity, l[j].activity)) < 0
}

func (l readyList) Swap(i, j int) { l[i], l[j] = l[j], l[i] }

// Push and Pop serve container/heap.
func (l *readyList) Push(c any) { *l = append(*l, c.(candidate)) }

// Pop removes the last element.
func (l *readyList) Pop() any {
	old := *l
	c := old[len(old)-1]
	*l = old[:len(old)-1]
	return c
}
