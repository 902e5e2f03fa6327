package scope

import (
	"math/bits"
	"slices"
)

// lanes are up to 64 worlds, one a bit.
type lanes = uint64

const (
	laneCount = 64
	everyLane = ^lanes(0)
)

// batch resolves 64 worlds at once, as resolver does one by one: every flag of a draft is a word
// with a bit for each world. It finds which work there is and how choices are settled, and keeps no
// calls, reasons or conflicts. It doesn't know the work of a job under way. A test holds it against
// resolver.
type batch struct {
	*engine
	findings []lanes   // by predicate
	away     []lanes   // by operation: the world doesn't need it
	awayBy   []lanes   // by chance of the buyer's: its line is away
	gone     [][]lanes // by choice and option: all that it does is away
	removed  []lanes   // by operation

	selected [][]lanes                  // by choice and option
	priority [][chosenByBuyer + 1]lanes // by choice: of what is selected
	settled  []lanes                    // by choice: some option is selected
	refused  [][]lanes
	lookBack lanes
	onlyUp   lanes
	seen     []seenSelection

	present   []lanes
	stoodIn   []lanes
	admits    []lanes // by operation: every settled choice admits it
	first     [][]lanes
	any       []lanes   // by choice: an option was called for
	leadsTo   [][]lanes // by choice: the option that the first call leads to
	supported []lanes
	called    []lanes                      // by companion
	spoken    [][][chosenByBuyer + 1]lanes // by choice and option: rules and the buyer, by priority
	needed    []need
	changed   bool
}

// need is a call by other work, in some worlds.
type need struct {
	from int
	optionRef
	in lanes
}

// seenSelection is a selection that some worlds had before.
type seenSelection struct {
	options [][]lanes
	valid   lanes
}

func (e *engine) newBatch() *batch {
	byOption := func() [][]lanes {
		list := make([][]lanes, len(e.choices))
		for i := range list {
			list[i] = make([]lanes, len(e.choices[i].options))
		}
		return list
	}
	n, m := len(e.possible), len(e.choices)
	b := &batch{
		engine: e, findings: make([]lanes, len(e.predicates.list)), away: make([]lanes, n),
		gone: byOption(), removed: make([]lanes, n), selected: byOption(),
		priority: make([][chosenByBuyer + 1]lanes, m), settled: make([]lanes, m), refused: byOption(),
		present: make([]lanes, n), stoodIn: make([]lanes, n), admits: make([]lanes, n),
		first: byOption(), any: make([]lanes, m), leadsTo: byOption(), supported: make([]lanes, m),
		called: make([]lanes, e.companionCount),
		spoken: make([][][chosenByBuyer + 1]lanes, m),
	}
	for i := range b.spoken {
		b.spoken[i] = make([][chosenByBuyer + 1]lanes, len(e.choices[i].options))
	}
	return b
}

// resolve draws the worlds whose doubts take the branches that branches holds, by doubt and branch.
// It returns the worlds in which the buyer's choice is refused.
func (b *batch) resolve(branches [][]lanes) (faulty lanes) {
	b.find(branches)
	clear(b.removed)
	for open := everyLane; open != 0; {
		faulty = faulty&^open | b.fixedPoint(open)
		open = 0
		for code := range b.overrides.removed {
			if at := b.c.Position(code); at >= 0 {
				more := b.present[at] &^ b.removed[at]
				b.removed[at] |= more
				open |= more
			}
		}
	}
	return faulty
}

// find sets what is found in each world, and what the buyer's chances leave out there.
func (b *batch) find(branches [][]lanes) {
	clear(b.findings)
	clear(b.away)
	b.awayBy = make([]lanes, len(b.doubts)-b.points)
	for i := range b.doubts {
		for j, in := range branches[i] {
			if x := &b.doubts[i].branches[j]; in != 0 {
				x.signature.each(len(b.findings), func(bit int) { b.findings[bit] |= in })
				if x.absent {
					b.awayBy[i-b.points] |= in
					b.leaveOut(b.doubts[i].line, in)
				}
			}
		}
	}
	for i := range b.choices {
		for k := range b.choices[i].options {
			gone := lanes(0)
			if operations := b.choices[i].options[k].operations; len(operations) > 0 {
				gone = everyLane
				for _, op := range operations {
					if b.possible[op] {
						gone &= b.away[op]
					}
				}
			}
			b.gone[i][k] = gone
		}
	}
}

func (b *batch) leaveOut(line int, in lanes) {
	for op := range b.away {
		if op == line || slices.Contains(b.goesWith[op], line) {
			b.away[op] |= in
		}
	}
}

// each calls a function with each bit below a limit that is set.
func (s signature) each(limit int, yield func(bit int)) {
	for i := range len(s) {
		for rest := s[i]; rest != 0; rest &= rest - 1 {
			if bit := 8*i + bits.TrailingZeros8(rest); bit < limit {
				yield(bit)
			}
		}
	}
}

// noBranches returns room for the worlds in which each doubt takes each branch.
func (e *engine) noBranches() [][]lanes {
	list := make([][]lanes, len(e.doubts))
	for i := range list {
		list[i] = make([]lanes, len(e.doubts[i].branches))
	}
	return list
}

// eachLane returns the worlds that are in a set.
func eachLane(in lanes) func(func(int) bool) {
	return func(yield func(int) bool) {
		for ; in != 0; in &= in - 1 {
			if !yield(bits.TrailingZeros64(in)) {
				return
			}
		}
	}
}
