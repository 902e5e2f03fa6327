package odds

import (
	"fmt"
	"math"
	"slices"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Piece is one amount of a job: what it comes to where it is due. It isn't below nothing.
type Piece struct {
	Of Distribution
	// Chance is how likely it is due, where In is nil.
	Chance decimal.Decimal
	// In tells for each world whether it is due there; nil where worlds don't decide it.
	In []bool
	// Worn says that the factors of the job and of the group apply: hours, and what is paid by the
	// hour.
	Worn bool
	// Group is the group of work that a worn piece goes along with, empty for none.
	Group string
}

// Together is how the pieces of a job go together.
type Together struct {
	// JobSD and GroupSD are the standard deviations of the lognormal factors of mean one: one for
	// the job, driven by the wear, and one for each group of work.
	JobSD, GroupSD float64
	// Worlds are the probabilities of the worlds in each stratum of the wear, which add up to one
	// there; nil where there are none.
	Worlds *[Strata][]float64
	// Unfit is the probability of a case without any work, which the figures of the work leave out;
	// nil where there is none. Worlds are as likely as they are in the other cases.
	Unfit *ByWear
}

// Lengths tells by how much work takes longer because it is likelier on a worn instrument, and less
// long because a worn one may be unfit for it.
type Lengths struct {
	always      float64   // the mean of the job's factor where there is work
	due, longer []float64 // by world: its probability, and that times the mean of the job's factor
}

// Lengths returns those of the worlds.
func (t Together) Lengths() Lengths {
	l := Lengths{always: 1}
	if t.JobSD == 0 {
		return l
	}
	if t.Worlds != nil {
		n := len(t.Worlds[0])
		l.due, l.longer = make([]float64, n), make([]float64, n)
	}
	fit, always := t.Unfit.fit(), 0.0
	for s := range strata {
		f := strata[s].factor(t.JobSD)
		mean := (f.from + f.to) / 2
		always += float64(fit[s] * mean)
		if t.Worlds == nil {
			continue
		}
		for w, p := range t.Worlds[s] {
			if p > 0 {
				p *= fit[s]
				l.due[w] += p
				l.longer[w] += float64(p * mean)
			}
		}
	}
	if t.Unfit != nil {
		l.always = always
	}
	return l
}

// Of returns by how much the job's factor is above one on average where a piece is due, or below.
// Of a piece that worlds don't decide, or that is never due, it is the mean over all work.
func (l Lengths) Of(in []bool) float64 {
	if in == nil || l.due == nil || !slices.Contains(in, false) {
		return l.always
	}
	due, longer := 0.0, 0.0
	for w, there := range in {
		if there {
			due += l.due[w]
			longer += l.longer[w]
		}
	}
	if due == 0 {
		return l.always
	}
	return longer / due
}

// WorldsByWear are the probabilities of worlds in each stratum of the wear.
type WorldsByWear = [Strata][]float64

// WorldsError says that a piece was made for another number of worlds.
type WorldsError struct{ Want, Got int }

// Error gives both numbers.
func (e *WorldsError) Error() string {
	return fmt.Sprintf("a piece for %d worlds among %d", e.Got, e.Want)
}

// jobPoints is about how many steps a job's amount is taken in, from nothing to where hardly any
// case lies.
const jobPoints = 1600

// SumTied returns the total of the pieces of a job as it goes along with the wear: worn pieces are
// multiplied by the factor of the job and by that of their group, and each world is as likely as it
// is in each stratum. It returns [*money.MismatchError], [*WorldsError] or [*money.RangeError].
//
// For each world, what is due in a group is added up and multiplied by the group's factor, and the
// groups are added up; worlds that have the same in a group share that sum. For each stratum, the
// worlds are mixed and multiplied by the job's factor there, and what isn't worn is added. Two
// shortcuts are taken with what is not worn and due in some worlds only: its spread is multiplied
// by the job's factor as if it were worn, and its mean by the factor's spread within a stratum,
// some two per cent. Both are far below what the tests compare.
func SumTied(c money.Currency, pieces []Piece, together Together) (Tied, error) {
	s, err := SumByWorld(c, pieces, together)
	if err != nil {
		return Tied{}, err
	}
	return s.Weighed(together.Worlds)
}

// Summed is the pieces of a job added up in each world, before the worlds are weighed: nearly all
// of the work of [SumTied].
type Summed struct {
	currency money.Currency
	step     int64
	jobSD    float64
	plain    curve
	worlds   []world
	middle   *standIn // stands in for each world where they are many
}

// SumByWorld adds the pieces up in each world. It returns the errors of [SumTied].
func SumByWorld(c money.Currency, pieces []Piece, together Together) (Summed, error) {
	j, err := newJob(c, pieces, together)
	if err != nil {
		return Summed{}, err
	}
	s := Summed{currency: c, step: j.step, jobSD: together.JobSD, plain: j.plain}
	s.worlds, s.middle = j.all(together)
	return s, nil
}

// Weighed returns the total with the worlds as likely as they are in each stratum; nil where there
// is one world. It returns [*WorldsError] for another number of worlds, or [*money.RangeError].
func (j Summed) Weighed(worlds *WorldsByWear) (Tied, error) {
	given := 1
	if worlds != nil {
		given = len(worlds[0])
	}
	if given != len(j.worlds) {
		return Tied{}, &WorldsError{Want: len(j.worlds), Got: given}
	}
	var t Tied
	for s := range t.given {
		f := strata[s].factor(j.jobSD)
		f.probability = 1
		mean := (f.from + f.to) / 2
		mixed := curve{}
		switch {
		case worlds == nil:
			j.worlds[0].addTo(&mixed, mean, 1)
		case j.middle != nil:
			j.middle.mix(&mixed, j.worlds, mean, worlds[s])
		default:
			for w, p := range worlds[s] {
				if p > 0 {
					j.worlds[w].addTo(&mixed, mean, p)
				}
			}
		}
		t.given[s] = mixed.times([]slice{f}).plus(j.plain).distribution(j.currency, j.step)
		if err := t.given[s].check(); err != nil {
			return Tied{}, err
		}
	}
	return t, nil
}

// job is the pieces of a job on one grid.
type job struct {
	step   int64
	worlds int
	groups [][]piece // of worn pieces; the first are those without a group
	spare  []piece   // not worn, due in some worlds only: what they are off their means
	plain  curve     // not worn, due whatever the world
	factor []slice   // of a group
	sums   map[string]curve
}

// piece is a piece on the grid of the job.
type piece struct {
	curve
	in   []bool
	mean float64 // in steps; of a spare piece, before it was taken off
}

// world is what a world is due.
type world struct {
	sum   curve   // worn, with the groups' factors, and the spread of what isn't
	plain float64 // the mean of what isn't worn, in steps
	// mean and scale are those of the sum where a middle one stands in for it, stretched by scale.
	mean, scale float64
}

// addTo adds what the world is due to a sum, in a stratum with that mean of the job's factor.
func (w world) addTo(sum *curve, mean, weight float64) {
	w.sum.addTo(sum, w.plain/mean, weight)
}

func newJob(c money.Currency, pieces []Piece, together Together) (*job, error) {
	j := &job{factor: factor(together.GroupSD), plain: point(), sums: map[string]curve{}}
	if together.Worlds != nil {
		j.worlds = len(together.Worlds[0])
	}
	mean, variance := 0.0, 0.0
	for _, p := range pieces {
		switch {
		case p.Of.currency != c:
			return nil, &money.MismatchError{Want: c, Got: p.Of.currency}
		case p.In != nil && len(p.In) != j.worlds:
			return nil, &WorldsError{Want: j.worlds, Got: len(p.In)}
		}
		mean += float64(p.Of.Mean().Minor())
		sd := float64(p.Of.SD().Minor())
		variance += float64(sd * sd)
	}
	// Six standard deviations of the lines and four of the factors.
	spread := float64(4 * math.Hypot(together.JobSD, together.GroupSD))
	most := (mean + float64(6*math.Sqrt(variance))) * (1 + spread)
	if most > money.Limit {
		return nil, &money.RangeError{
			What: "job that may come to " + money.FromMinor(money.Limit, c).String() + " and more",
		}
	}
	j.step = max(int64(math.Ceil(most/jobPoints)), 1)
	at := map[string]int{"": 0}
	j.groups = make([][]piece, 1)
	for _, p := range pieces {
		x := piece{curve: curveOf(p.Of, float64(j.step)).trim(), in: p.In}
		if p.In == nil && !p.Chance.Equal(decimal.NewFromInt(1)) {
			x.curve = x.orNothing(p.Chance.InexactFloat64())
		}
		switch {
		case p.In != nil && !slices.Contains(p.In, true):
		case p.Worn:
			if _, ok := at[p.Group]; !ok {
				at[p.Group] = len(j.groups)
				j.groups = append(j.groups, nil)
			}
			j.groups[at[p.Group]] = append(j.groups[at[p.Group]], x)
		case p.In == nil || !slices.Contains(p.In, false):
			j.plain = j.plain.plus(x.curve)
		default:
			x.mean = x.curve.mean()
			centred := curve{}
			x.addTo(&centred, -x.mean, 1)
			x.curve = centred
			j.spare = append(j.spare, x)
		}
	}
	return j, nil
}

// orNothing returns an amount that is due with a probability.
func (c curve) orNothing(p float64) curve {
	maybe := curve{}
	c.addTo(&maybe, 0, p)
	point().addTo(&maybe, 0, 1-p)
	return maybe.trim()
}

// world returns what a world is due.
func (j *job) world(w int) world {
	due := make([]byte, 0, 64)
	sum := point()
	for g, pieces := range j.groups {
		due = append(due, '/')
		from := len(due)
		due = mark(due, pieces, w)
		before := sum
		sum = j.once(string(due), func() curve {
			group := j.once(fmt.Sprint(g, " ", string(due[from:])), func() curve {
				total := addDue(pieces, w)
				if g > 0 {
					total = total.times(j.factor)
				}
				return total
			})
			return before.plus(group)
		})
	}
	due = mark(append(due, '/'), j.spare, w)
	return world{
		sum:   j.once(string(due), func() curve { return sum.plus(addDue(j.spare, w)) }),
		plain: j.plainMean(w),
	}
}

// plainMean returns the mean, in steps, of what isn't worn and a world is due while others aren't.
func (j *job) plainMean(w int) (sum float64) {
	for _, p := range j.spare {
		if p.in[w] {
			sum += p.mean
		}
	}
	return sum
}

// once returns the curve of a name, built where it isn't known yet.
func (j *job) once(name string, build func() curve) curve {
	if c, ok := j.sums[name]; ok {
		return c
	}
	c := build()
	j.sums[name] = c
	return c
}

// due reports whether a piece is due in a world.
func (p piece) due(w int) bool { return p.in == nil || p.in[w] }

// mark writes down which pieces are due in a world.
func mark(to []byte, pieces []piece, w int) []byte {
	for _, p := range pieces {
		if p.due(w) {
			to = append(to, '1')
		} else {
			to = append(to, '0')
		}
	}
	return to
}

// addDue adds up the pieces that are due in a world.
func addDue(pieces []piece, w int) curve {
	total := point()
	for _, p := range pieces {
		if p.due(w) {
			total = total.plus(p.curve)
		}
	}
	return total
}
