package app_test

import (
	"cmp"
	"slices"

	"github.com/google/uuid"
)

// slowPart is what is held of a part, in whole pieces and cents, worked out anew and slowly: it
// shares nothing with the package that values stock but the rules of costing (IAS 2.25; each amount
// is rounded once, half up; what is shared goes by the largest remainder).
type slowPart struct {
	average bool
	layers  []slowLine // oldest first; under the average only their pieces count
	pool    int64      // what all of it is worth
	last    slowLine   // the last receipt as it came
}

// slowLine is so many pieces of a receipt, worth so much.
type slowLine struct {
	layer          uuid.UUID
	pieces, amount int64
}

// rounded returns a quotient of positive numbers, half up.
func rounded(a, b int64) int64 { return (2*a + b) / (2 * b) }

func (p *slowPart) held() int64 { return piecesOf(p.layers) }

func piecesOf(lines []slowLine) int64 {
	n := int64(0)
	for _, l := range lines {
		n += l.pieces
	}
	return n
}

func amountOf(lines []slowLine) int64 {
	n := int64(0)
	for _, l := range lines {
		n += l.amount
	}
	return n
}

// receive adds a layer.
func (p *slowPart) receive(l slowLine) {
	p.layers, p.pool = append(p.layers, l), p.pool+l.amount
}

// take takes pieces out, the oldest first.
func (p *slowPart) take(pieces int64) []slowLine {
	var taken []slowLine
	all := rounded(p.pool*pieces, p.held())
	for i, left := 0, pieces; left > 0; i++ {
		l := &p.layers[i]
		if n := min(left, l.pieces); n > 0 {
			amount := int64(0)
			if !p.average {
				amount = rounded(l.amount*n, l.pieces)
			}
			taken = append(taken, slowLine{l.layer, n, amount})
			l.pieces, l.amount, left = l.pieces-n, l.amount-amount, left-n
		}
	}
	if p.average {
		shareOut(all, taken)
	}
	p.pool -= amountOf(taken)
	return taken
}

// shareOut shares an amount over lines by their pieces: each gets the whole cents of its quota, and
// the cents that are left go to the largest fractions, the first of equal ones.
func shareOut(amount int64, lines []slowLine) {
	all, left := piecesOf(lines), amount
	order := make([]int, len(lines))
	for i := range lines {
		order[i] = i
		lines[i].amount = amount * lines[i].pieces / all
		left -= lines[i].amount
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(amount*lines[b].pieces%all, amount*lines[a].pieces%all)
	})
	for _, i := range order[:left] {
		lines[i].amount++
	}
}

// putBack puts pieces back that are out, the last that were taken first, and returns what is still
// out and what came back.
func (p *slowPart) putBack(out []slowLine, pieces int64) (still []slowLine, back int64) {
	still = slices.Clone(out)
	for i := len(still) - 1; i >= 0 && pieces > 0; i-- {
		l := &still[i]
		n := min(pieces, l.pieces)
		if n == 0 {
			continue
		}
		amount := rounded(l.amount*n, l.pieces)
		l.pieces, l.amount, pieces = l.pieces-n, l.amount-amount, pieces-n
		back += amount
		p.add(l.layer, n, amount)
	}
	return still, back
}

// add adds to a layer that there was.
func (p *slowPart) add(layer uuid.UUID, pieces, amount int64) {
	i := slices.IndexFunc(p.layers, func(l slowLine) bool { return l.layer == layer })
	p.layers[i].pieces += pieces
	if !p.average {
		p.layers[i].amount += amount
	}
	p.pool += amount
}

// count makes what is held what was counted. What turns up is worth the mean of what is held, else
// what the last receipt cost.
func (p *slowPart) count(move uuid.UUID, pieces int64) {
	held := p.held()
	switch more := pieces - held; {
	case more < 0:
		p.take(-more)
	case more > 0 && held > 0:
		p.receive(slowLine{move, more, rounded(p.pool*more, held)})
	case more > 0:
		p.receive(slowLine{move, more, rounded(p.last.amount*more, p.last.pieces)})
	}
}

// slowPiano is what a piano has cost, in cents, by kind and purpose, and what its job has.
type slowPiano struct {
	costs  map[string]int64
	job    int64         // of stock, on its job
	landed int64         // of stock, in all
	bought *slowDocument // the purchase that stands
	sold   *slowSale     // the sale that stands
	stays  int64         // what stayed an expense at returns
}

// slowDocument is a document with what it posts by kind and purpose.
type slowDocument struct {
	posts              map[string]int64
	of                 *slowDocument
	margin             int64 // that a margin is taxed from
	replaced, reversed bool
}

type slowSale struct{ price, tax int64 }

// stock are the kinds and purposes that are a cost of stock (IAS 2, paragraphs 10 to 16).
func stocked(what string) bool {
	return slices.Contains([]string{
		"purchase_price acquisition", "buyers_premium acquisition", "transport_in acquisition",
		"labour work", "overhead work", "labour rework", "overhead rework", "parts work",
		"outside_work work", "other work", "other seasoning", "other rework", "other acquisition",
	}, what)
}

// post adds to what the piano has cost.
func (p *slowPiano) post(what string, cents int64, onJob bool) {
	p.costs[what] += cents
	if stocked(what) {
		p.landed += cents
		if onJob {
			p.job += cents
		}
	}
}

// postAll posts a document, or takes it back, with what it has the place of.
func (p *slowPiano) postAll(d *slowDocument, sign int64) {
	onJob := d != p.bought
	for what, cents := range d.posts {
		p.post(what, sign*cents, onJob)
	}
	if of := d.of; of != nil {
		of.replaced = sign > 0
		for what, cents := range of.posts {
			p.post(what, -sign*cents, onJob)
		}
	}
	d.reversed = sign < 0
}

// slowEntry is an entry of hours, or what is taken back of one.
type slowEntry struct {
	piano    int
	person   int
	week     int // which of the weeks of the test
	minutes  int64
	purpose  string
	origin   uuid.UUID
	approved bool
}

// carrying and account of the piano.
func (p *slowPiano) carrying() int64 {
	if p.sold != nil {
		return 0
	}
	return p.landed - p.stays
}
