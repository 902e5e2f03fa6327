package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// News is what is new about a job: findings, edits and another depth. Fresh are the points that the
// new findings are of.
type News struct {
	Before, After survey.Judgements // without and with the new findings
	Fresh         []catalogue.PointCode
	Edits         []Edit
	Depth         catalogue.Depth
}

// CalledFor returns the work of a job together with what news calls for beyond it, as a scope.
//
// What the job holds was agreed before, so nothing calls for more on its account: neither the rules
// that held already nor what its own operations usually bring along. A point that nobody looked at
// says nothing. New work brings along what it needs as in Draw, unless the job has it. A choice
// stays as the job settled it, unless a finding rules that option out or must be acted on by a more
// thorough one, other work needs a more thorough one, or an edit takes another; the work of the
// option that gives way is left out. Where the option in the job answers the finding too, as
// polyester does where shellac is called for, it stays.
//
// Lines that the job holds have the catalogue's hours, not the job's. It returns the faults of
// Draw; a Conflict is always about an edit.
func CalledFor(
	c *catalogue.Catalogue, in instrument.Instrument, held Held, news News,
) (Scope, error) {
	if !slices.Contains(catalogue.Depths, news.Depth) {
		return Scope{}, domain.Refuse(domain.Invalid, unknownDepth, news.Depth)
	}
	if err := CheckEdits(c, in.Kind, news.Edits); err != nil {
		return Scope{}, err
	}
	if err := checkContrary(c, in, news.After, overridesOf(c, news.Edits)); err != nil {
		return Scope{}, err
	}
	o := overridesOf(c, slices.Concat(held.Edits, news.Edits))
	looked := slices.DeleteFunc(slices.Clone(news.After), isUnknown)
	e := newEngine(
		c.AtDepths(news.Depth, o.depths), in, looked, news.Depth, o, domain.UnknownOdds{}, false,
	)
	before := slices.DeleteFunc(slices.Clone(news.Before), isUnknown)
	e.continueJob(c, held, before, news.Fresh)
	p, err := e.drawWorlds()
	if err != nil {
		return Scope{}, err
	}
	if p, err = p.withChanceEdits(); err != nil {
		return Scope{}, err
	}
	return p.scope(instrument.TakeOffOf(c, in, news.After)), nil
}

func isUnknown(j survey.Judgement) bool { return j.Severity == catalogue.Unknown }
