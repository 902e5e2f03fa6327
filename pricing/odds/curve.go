package odds

import (
	"math"
	"slices"

	"bentside/pricing/money"
)

// curve is probability on the multiples of a step that many curves share: mass[i] lies at (from+i)
// steps.
type curve struct {
	from int
	mass []float64
}

// negligible is the mass that is cut off at each end of a curve.
const negligible = 1e-13

// point returns the curve of nothing at all.
func point() curve { return curve{mass: []float64{1}} }

// curveOf lays a distribution on the multiples of a step.
func curveOf(d Distribution, step float64) curve {
	first := int(math.Floor(float64(d.origin) / step))
	last := int(math.Ceil(float64(d.High().Minor()) / step))
	c := curve{from: first, mass: make([]float64, last-first+1)}
	for i, m := range d.mass {
		if m != 0 {
			c.lay(float64(d.origin+int64(i)*d.step)/step, m)
		}
	}
	return c
}

// distribution returns the curve as a distribution.
func (c curve) distribution(currency money.Currency, step int64) Distribution {
	return Distribution{currency: currency, origin: int64(c.from) * step, step: step, mass: c.mass}
}

// lay puts a mass at a place in steps, split between two points so that the mean stays.
func (c curve) lay(place, mass float64) {
	at := place - float64(c.from)
	i := int(math.Floor(at))
	if i >= len(c.mass)-1 {
		c.mass[len(c.mass)-1] += mass
		return
	}
	upper := float64(mass * (at - float64(i)))
	c.mass[i] += mass - upper
	c.mass[i+1] += upper
}

// trim cuts negligible mass off at both ends and gives it to the new ends.
func (c curve) trim() curve {
	first, last := 0, len(c.mass)-1
	low, high := 0.0, 0.0
	for first < last && low+c.mass[first] < negligible {
		low += c.mass[first]
		first++
	}
	for last > first && high+c.mass[last] < negligible {
		high += c.mass[last]
		last--
	}
	c.mass[first] += low
	c.mass[last] += high
	return curve{from: c.from + first, mass: c.mass[first : last+1]}
}

// plus returns the sum of two independent amounts.
func (c curve) plus(o curve) curve {
	if len(c.mass) < len(o.mass) {
		c, o = o, c
	}
	sum := curve{from: c.from + o.from, mass: make([]float64, len(c.mass)+len(o.mass)-1)}
	for j, m := range o.mass {
		if m == 0 {
			continue
		}
		to := sum.mass[j : j+len(c.mass)]
		for i, n := range c.mass {
			to[i] += float64(m * n)
		}
	}
	return sum.trim()
}

// times returns an amount multiplied by an independent factor, whose slices' probabilities add up
// to total.
func (c curve) times(factor []slice) curve {
	if len(factor) == 1 && factor[0].from == factor[0].to && factor[0].from == 1 {
		return c
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, end := range []int{c.from, c.from + len(c.mass) - 1} {
		for _, f := range factor {
			for _, x := range []float64{float64(float64(end) * f.from), float64(float64(end) * f.to)} {
				least, most = min(least, x), max(most, x)
			}
		}
	}
	first := int(math.Floor(least))
	n := int(math.Ceil(most)) - first + 2
	out := smear{from: first, mass: make([]float64, n), upTo: make([]float64, n)}
	for i, m := range c.mass {
		if m == 0 {
			continue
		}
		place := float64(c.from + i)
		for _, f := range factor {
			out.spread(float64(place*f.from), float64(place*f.to), float64(m*f.probability))
		}
	}
	return out.curve().trim()
}

// smear gathers masses that are spread evenly over stretches. A stretch is laid on the points as if
// each of its places were split between its two neighbours, so that the mean stays; only near its
// ends that differs from an equal share.
type smear struct {
	from int
	mass []float64
	upTo []float64 // what each point and all below it get
}

// spread lays a mass evenly between two places.
func (s smear) spread(from, to, mass float64) {
	if from > to {
		from, to = to, from
	}
	if to-from < 1e-6 {
		curve{s.from, s.mass}.lay((from+to)/2, mass)
		return
	}
	density := mass / (to - from)
	s.end(to, density)
	s.end(from, -density)
}

// end adds a density that reaches from far below up to a place.
func (s smear) end(place, density float64) {
	at := place - float64(s.from)
	k := int(math.Floor(at))
	t := at - float64(k)
	if k > 0 {
		s.upTo[k-1] += density
	}
	s.mass[k] += float64(density * (1 - float64((1-t)*(1-t))/2))
	s.mass[k+1] += float64(density*float64(t*t)) / 2
}

// curve returns what was gathered.
func (s smear) curve() curve {
	above := 0.0
	for k := len(s.mass) - 1; k >= 0; k-- {
		above += s.upTo[k]
		s.mass[k] = max(s.mass[k]+above, 0)
	}
	return curve{s.from, s.mass}
}

// addTo adds the curve, shifted by a number of steps that need not be whole and weighed, to a sum.
func (c curve) addTo(sum *curve, shift, weight float64) {
	whole := math.Floor(shift)
	upper := shift - whole
	first := c.from + int(whole)
	sum.reach(first, first+len(c.mass))
	to := sum.mass[first-sum.from:]
	for i, m := range c.mass {
		part := float64(m * weight)
		to[i] += float64(part * (1 - upper))
		to[i+1] += float64(part * upper)
	}
}

// addScaled adds the curve, stretched and shifted and weighed, to a sum. Nothing falls below zero.
func (c curve) addScaled(sum *curve, scale, shift, weight float64) {
	place := func(i int) float64 { return max(float64(scale*float64(c.from+i))+shift, 0) }
	sum.reach(int(math.Floor(place(0))), int(math.Floor(place(len(c.mass)-1)))+1)
	for i, m := range c.mass {
		if m != 0 {
			sum.lay(place(i), float64(m*weight))
		}
	}
}

// reach makes a curve cover the points from first to last.
func (c *curve) reach(first, last int) {
	if len(c.mass) == 0 {
		c.from, c.mass = first, make([]float64, last-first+1)
		return
	}
	if first < c.from {
		c.mass = slices.Concat(make([]float64, c.from-first), c.mass)
		c.from = first
	}
	if missing := last - (c.from + len(c.mass) - 1); missing > 0 {
		c.mass = append(c.mass, make([]float64, missing)...)
	}
}

// variance returns the variance in squared steps.
func (c curve) variance() (sum float64) {
	mean := c.mean()
	for i, m := range c.mass {
		off := float64(c.from+i) - mean
		sum += float64(m * float64(off*off))
	}
	return sum
}

// mean returns the mean in steps.
func (c curve) mean() (sum float64) {
	for i, m := range c.mass {
		sum += float64(m * float64(c.from+i))
	}
	return sum
}
