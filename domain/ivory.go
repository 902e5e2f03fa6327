package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
)

// ivory is the covering that the law of several countries gates; it is also
// the answer that says so at a point of the survey.
const ivory = "ivory"

// ivoryBefore is the year before which a musical instrument must have been made
// for its ivory to be exempt from the UK's ban on dealing: Ivory Act 2018,
// section 8 (pre-1975, under 20 % ivory by volume, and registered). Other
// countries have other rules.
const ivoryBefore = 1975

// ivoryStop is the legal gate for keys that the instrument's record says are
// ivory, where the survey has not said so itself.
func (d *drawer) ivoryStop() (Stop, bool) {
	point := d.ivoryPoint()
	if d.in.Covering != ivory || d.judgements[point].Severity == catalogue.MustAct {
		return Stop{}, false
	}
	says := fmt.Sprintf("ivory keys, made before %d: may be dealt in under UK law once it is registered", ivoryBefore)
	switch {
	case d.in.Year == 0:
		says = "ivory keys and no evidence of the year of making: UK law forbids dealing in it until that is shown or the keys are recovered"
	case d.in.Year >= ivoryBefore:
		says = fmt.Sprintf("ivory keys, made in %d, that is %d or later: UK law forbids dealing in it until the keys are recovered", d.in.Year, ivoryBefore)
	}
	return Stop{Point: point, Says: says + ". Look at the law where you are and ask licensed advice"}, true
}

// ivoryPoint is the point of the survey that asks for ivory; empty where none
// does.
func (d *drawer) ivoryPoint() catalogue.PointCode {
	for i := range d.c.Points {
		p := &d.c.Points[i]
		if slices.ContainsFunc(p.Answers, func(a catalogue.Answer) bool { return a.Name == ivory }) {
			return p.Code
		}
	}
	return ""
}
