package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
)

// ivory is the covering that the law of several countries gates; it is also
// the answer that says so at a point of the survey.
const ivory = "ivory"

// ivoryStop is the legal gate for keys that the instrument's record says are
// ivory, where the survey has not said so itself.
func (d *drawer) ivoryStop() (Stop, bool) {
	point := d.ivoryPoint()
	if d.in.Covering != ivory || d.judgements[point].Severity == catalogue.MustAct {
		return Stop{}, false
	}
	says := ""
	switch standing := IvoryInUK(d.in.Year); standing {
	case IvoryUndated:
		says = "ivory keys and no evidence of the year of making: UK law forbids dealing in it until that is shown or the keys are recovered"
	case IvoryBarred:
		says = fmt.Sprintf("ivory keys, made in %d, that is %d or later: UK law forbids dealing in it until the keys are recovered", d.in.Year, ivoryBefore)
	case IvoryRegister, IvoryCertificate:
		says = fmt.Sprintf("ivory keys, made before %d: may be dealt in under UK law once it is registered", ivoryBefore)
		if standing == IvoryCertificate {
			says += fmt.Sprintf(", with an Article 10 certificate beside since it is of %d or later", ivoryWorkedBefore)
		}
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
