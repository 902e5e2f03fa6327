package scope

import (
	"errors"
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// Consequences are what edits do to a scope beyond what they say themselves: each list is in the
// order of the catalogue.
type Consequences struct {
	Omitted []Omission // companions that the buyer left out
	Dropped []Dropped  // lines that are gone without being removed
	Undone  []Undone   // findings that call for work which the scope doesn't do
}

// Omission is work that other work brings along and that the buyer left out.
type Omission struct {
	Operation catalogue.Code
	Name      string
	Necessity catalogue.Necessity
	Of        []catalogue.Code // the operations that bring it along
	Text      string           // why the first of them does
	Because   Ground           // empty where only a reason is given
	By        string           // who answers for it; empty where only a reason is given
	Why       string
}

// Dropped is a line of the scope without its buyer's additions, removals and choices that the
// edited scope doesn't have, or needs less often, though no edit removes it.
type Dropped struct {
	Line Line // as it was
	// Group is the choice that is settled otherwise, From one option To another; empty where the
	// line belongs to no choice. To is empty where the choice doesn't come up any more.
	Group, From, To string
	Text            string // why it is gone
}

// ConsequencesOf returns the consequences of the edits of a scope that was drawn from the inputs.
func (in Inputs) ConsequencesOf(s Scope) (Consequences, error) {
	p := s.distribution
	if p == nil {
		return Consequences{}, errors.New("find the consequences of edits: the scope wasn't drawn")
	}
	plain, err := in.plain(s)
	if err != nil {
		return Consequences{}, err
	}
	return Consequences{
		Omitted: p.omissions(), Dropped: p.dropped(plain, s), Undone: p.undone(plain, s),
	}, nil
}

// plain returns the scope without the edits that add, remove or settle. Where the edits of figures
// make no sense without them, they are left out too.
func (in Inputs) plain(s Scope) (Scope, error) {
	figures := slices.DeleteFunc(slices.Clone(in.Edits), func(e Edit) bool {
		switch e.Kind {
		case AddOperation, RemoveOperation, TakeOption, TakeSuggestion:
			return true
		default:
			return false
		}
	})
	if len(figures) == len(in.Edits) {
		return s, nil
	}
	plain, err := in.DrawReplacing(figures)
	var fault *domain.Fault
	if !errors.As(err, &fault) {
		return plain, err
	}
	figures = slices.DeleteFunc(figures, func(e Edit) bool { return e.Kind == SetChance })
	return in.DrawReplacing(figures)
}

// omissions returns the companions that the buyer left out, in any world.
func (p *distribution) omissions() []Omission {
	found := map[int]*Omission{}
	note := func(op int, k call, why Edit) {
		x := found[op]
		if x == nil {
			x = &Omission{
				Operation: p.code(op), Name: p.c.Operations[op].Name, Necessity: catalogue.Usual,
				Text: k.reason.Text, Because: why.Because, By: why.By, Why: why.Why,
			}
			found[op] = x
		}
		if !k.usual && x.Necessity == catalogue.Usual {
			x.Necessity, x.Text = catalogue.Needed, k.reason.Text
		}
		if of := p.code(k.from); !slices.Contains(x.Of, of) {
			x.Of = append(x.Of, of)
		}
	}
	for _, w := range p.worlds {
		d := w.draft
		for _, k := range d.unmet {
			if op := k.target.operation; d.removed[op] && d.stands(k.from) {
				note(op, k, p.overrides.removed[p.code(op)])
			}
		}
		for _, k := range d.calls {
			if group := k.target.group; d.settledBelow(k) {
				why := p.overrides.settledWhy(p.choices[group].Choice, d.selected[group].option)
				for _, op := range p.choices[group].options[k.target.option].operations {
					if !d.present[op] {
						note(op, k, Edit{Why: why})
					}
				}
			}
		}
	}
	var list []Omission
	for op := range p.possible {
		if x := found[op]; x != nil {
			slices.SortFunc(x.Of, func(a, b catalogue.Code) int {
				return p.c.Position(a) - p.c.Position(b)
			})
			list = append(list, *x)
		}
	}
	return list
}

// dropped returns the lines of the plain scope that the edited one lacks or needs less often, but
// for those that the buyer removed or gave a chance.
func (p *distribution) dropped(plain, s Scope) []Dropped {
	var list []Dropped
	for i := range plain.Lines {
		l := &plain.Lines[i]
		now := s.line(l.Operation)
		_, removed := p.overrides.removed[l.Operation]
		_, given := p.overrides.figure(SetChance, l.Operation)
		if removed || given || now != nil && now.Chance.GreaterThanOrEqual(l.Chance) {
			continue
		}
		x := Dropped{Line: *l}
		if !p.otherOption(&x, plain, s) {
			x.Text = p.whyDropped(l, s)
		}
		list = append(list, x)
	}
	return list
}

// otherOption reports whether a line is gone because a choice is settled on an option that doesn't
// admit it, and says so.
func (p *distribution) otherOption(x *Dropped, plain, s Scope) bool {
	refs := p.c.OptionsWith(x.Line.Operation)
	if len(refs) == 0 {
		return false
	}
	of := func(option string) bool {
		return slices.Contains(refs, catalogue.OptionRef{Group: refs[0].Group, Option: option})
	}
	from, to := plain.Settled[refs[0].Group], s.Settled[refs[0].Group]
	if of(to) {
		return false
	}
	if !of(from) {
		from = refs[0].Option // where nobody looked, the line may be of an option that isn't planned
	}
	x.Group, x.From, x.To = refs[0].Group, from, to
	x.Text = fmt.Sprintf("%s is settled as %s instead of %s", x.Group, to, from)
	if to == "" {
		x.Text = fmt.Sprintf("%s doesn't come up any more", x.Group)
	}
	return true
}

// whyDropped returns why a line that belongs to no choice is gone: the work that it went with, or
// the rule that called for it and doesn't hold beside the other work.
func (p *distribution) whyDropped(l *Line, s Scope) string {
	for _, r := range l.Reasons {
		if r.From != "" && s.line(r.From) == nil {
			return fmt.Sprintf("%s, which it goes with, is gone", r.From)
		}
	}
	for _, r := range l.Reasons {
		for i := range p.rules {
			rule := &p.rules[i]
			if rule.ID != r.Rule {
				continue
			}
			if work := p.inTheWay(&rule.when, s); work != "" {
				return fmt.Sprintf("not called for %s: %s", work, r.Text)
			}
		}
	}
	return "the other work leaves less reason for it"
}

// inTheWay returns the work by which a rule's condition doesn't hold of a scope, in words, or "".
func (p *distribution) inTheWay(c *condition, s Scope) string {
	for _, x := range c.clauses {
		for _, t := range x.work {
			if there := p.hasWork(s, t.target); there && t.denied {
				return "beside " + p.name(t.target)
			} else if !there && !t.denied {
				return "without " + p.name(t.target)
			}
		}
	}
	return ""
}

// hasWork reports whether a finished scope has an operation, or settles a choice on an option.
func (e *engine) hasWork(s Scope, t target) bool {
	if t.group != none {
		choice := e.choices[t.group]
		return t.option != none && s.Settled[choice.Group] == choice.Options[t.option].Name
	}
	return t.operation != none && s.line(e.code(t.operation)) != nil
}

// name returns an operation's code, or a choice with its option.
func (e *engine) name(t target) string {
	if t.group == none {
		return string(e.code(t.operation))
	}
	choice := e.choices[t.group]
	return choice.Group + "=" + choice.Options[t.option].Name
}

// line returns the line of an operation, or nil where the scope has none.
func (s *Scope) line(code catalogue.Code) *Line {
	i := slices.IndexFunc(s.Lines, func(l Line) bool { return l.Operation == code })
	if i < 0 {
		return nil
	}
	return &s.Lines[i]
}
