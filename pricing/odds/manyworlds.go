package odds

import (
	"cmp"
	"math"
	"slices"
)

// maxConvolved is the number of worlds up to which the sum of each is built line by line.
const maxConvolved = 256

// all returns what every world is due. Where they are many, the sum of one in the middle is built
// and stands in for all others, stretched and shifted to their own mean and standard deviation: the
// sums of fifty lines differ in place and width and hardly in shape.
func (j *job) all(together Together) ([]world, *standIn) {
	n := max(j.worlds, 1)
	worlds := make([]world, n)
	if n <= maxConvolved {
		for w := range worlds {
			worlds[w] = j.world(w)
		}
		return worlds, nil
	}
	means, deviations := make([]float64, n), make([]float64, n)
	moments := j.moments()
	for w := range worlds {
		means[w], deviations[w] = j.spreadOf(moments, w, together.GroupSD)
		worlds[w].plain = j.plainMean(w)
	}
	at := middleOf(means)
	m := &standIn{sum: j.world(at).sum, mean: means[at], deviation: deviations[at]}
	for w := range worlds {
		worlds[w].mean, worlds[w].scale = means[w], 1
		if m.deviation > 0 && deviations[w] > 0 {
			worlds[w].scale = deviations[w] / m.deviation
		}
	}
	return worlds, m
}

// standIn is the sum of a world in the middle, which stands in for those of all others.
type standIn struct {
	sum             curve
	mean, deviation float64
}

// Worlds that differ by less than a sixteenth of a standard deviation, and in it by less than a
// thirty-second, are taken as one: that takes under a thousandth off the spread of each.
const (
	cellsPerDeviation = 16
	cellsPerScale     = 32
)

// cell is worlds that hardly differ: their probability, and that times mean and scale.
type cell struct{ probability, mean, scale float64 }

// mix adds what worlds of given probabilities are due to a sum, in a stratum with that mean of the
// job's factor.
func (m *standIn) mix(sum *curve, worlds []world, factor float64, given []float64) {
	type place struct{ mean, scale int }
	at, cells := map[place]int{}, []cell{}
	width := max(m.deviation/cellsPerDeviation, 1)
	for w, p := range given {
		if p == 0 {
			continue
		}
		mean := worlds[w].mean + worlds[w].plain/factor
		key := place{int(mean / width), int(worlds[w].scale * cellsPerScale)}
		k, known := at[key]
		if !known {
			k = len(cells)
			at[key] = k
			cells = append(cells, cell{})
		}
		cells[k].probability += p
		cells[k].mean += float64(p * mean)
		cells[k].scale += float64(p * worlds[w].scale)
	}
	for _, c := range cells {
		scale := c.scale / c.probability
		shift := c.mean/c.probability - float64(scale*m.mean)
		m.sum.addScaled(sum, scale, shift, c.probability)
	}
}

// middleOf returns where the median of a list stands.
func middleOf(list []float64) int {
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(list[a], list[b]) })
	return order[len(order)/2]
}

// moment is the mean and the variance of a piece, in steps.
type moment struct{ mean, variance float64 }

// moments returns those of the pieces, by group, and last of what isn't worn.
func (j *job) moments() [][]moment {
	list := make([][]moment, 0, len(j.groups)+1)
	for _, pieces := range append(slices.Clip(j.groups), j.spare) {
		of := make([]moment, len(pieces))
		for i, p := range pieces {
			of[i] = moment{p.curve.mean(), p.curve.variance()}
		}
		list = append(list, of)
	}
	return list
}

// spreadOf returns mean and standard deviation of the sum that a world is due: each group's by the
// law of total variance, its factor having mean one.
func (j *job) spreadOf(moments [][]moment, w int, groupSD float64) (mean, deviation float64) {
	variance := 0.0
	for g, of := range moments {
		pieces := j.spare
		if g < len(j.groups) {
			pieces = j.groups[g]
		}
		m, v := 0.0, 0.0
		for i, x := range of {
			if pieces[i].due(w) {
				m += x.mean
				v += x.variance
			}
		}
		if g > 0 && g < len(j.groups) {
			v += float64(float64(groupSD*groupSD) * (v + float64(m*m)))
		}
		mean += m
		variance += v
	}
	return mean, math.Sqrt(variance)
}
