// Package published gives tests the benchmark instances of the literature, with what is known about
// each: bounds, best makespan, critical path.
//
//	for _, set := range published.Sets(t, "j30", 5) {
//		for _, in := range set.Instances { … in.Problem, in.Best … }
//	}
//
// A fixed sample of every set is carried here as tables of figures, so that a test runs wherever
// the module does. The whole sets belong beside the module, in ../shared/data/psplib; where they
// are, tests see them too.
//
// Sources: Kolisch and Sprecher, European Journal of Operational Research 96 (1997) 205–216 (j30,
// j60, j120, with the best known values that their library collects); Patterson, Management Science
// 30 (1984); Schwindt and others (rcpspmax: maximum lags). The instances of several projects are
// merged from j30; their makespans are the best that a plain genetic algorithm found and no
// optimum.
//
// The package judges nothing: tests say what a result must be.
package published

import (
	"testing"

	"bentside/schedule/rcpsp"
)

// Instance is a published problem and what is known about it.
type Instance struct {
	Name       string // unique in its set; begins with the folder where a set has several
	Problem    *rcpsp.Problem
	Infeasible bool // proved to have no plan
	// Bound and Best enclose the least makespan; where they are equal it is proved. 0: not known.
	Bound, Best int
	// CriticalPath is the longest path by links alone; 0 where the links contradict each other.
	CriticalPath int
	// Starts is a published schedule that ends at Makespan, not always the best known; nil where
	// there is none.
	Starts   []int
	Makespan int
}

// Set is a number of instances of one kind.
type Set struct {
	Name      string // sample or whole
	Instances []Instance
}

// Sets returns the sample of a set (j30, j60, j120, patterson, rcpspmax or multiproject) and, where
// the whole set lies beside the module, a second set with every stride-th instance of it.
func Sets(t testing.TB, name string, stride int) []Set {
	t.Helper()
	sets := []Set{{"sample", Sample(t, name)}}
	whole := whole(t, name)
	if whole == nil {
		return sets
	}
	var some []Instance
	for k := stride / 2; k < len(whole); k += stride {
		some = append(some, whole[k])
	}
	return append(sets, Set{"whole", some})
}
