package scope

import (
	"errors"
	"slices"
	"strings"

	"bentside/domain"

	"github.com/shopspring/decimal"
)

// Alternatives draw a scope anew with one of its choices settled otherwise.
type Alternatives struct {
	Inputs
	Undone []Undone // the findings that the scope itself leaves undone
	plain  Scope
}

// AlternativesTo returns the alternatives to a scope that was drawn from the inputs.
func (in Inputs) AlternativesTo(s Scope) (Alternatives, error) {
	plain, err := in.plain(s)
	if err != nil {
		return Alternatives{}, err
	}
	return Alternatives{Inputs: in, Undone: s.distribution.undone(plain, s), plain: plain}, nil
}

// Taken is a scope drawn anew with a choice settled on an option of it.
type Taken struct {
	Scope Scope
	// Refused is why the option can't be taken; nil where it can.
	Refused *domain.Fault
	// Undone are the findings that the option leaves undone.
	Undone []Undone
	// NeedsWhy is set where the option is taken only with a reason, for other work usually brings
	// along more than it does.
	NeedsWhy bool
}

// Taking draws the scope with a choice settled on an option by the buyer. What keeps him from that
// is an answer; an error is one of Draw for other causes.
func (a Alternatives) Taking(group, option string) (Taken, error) {
	edit := Edit{Kind: TakeOption, Group: group, Option: option}
	s, refused, err := a.drawOrRefuse(edit)
	if err != nil {
		return Taken{}, err
	}
	if refused == nil {
		return a.taken(s, edit), nil
	}
	edit.Why = "held against the other options"
	s, again, err := a.drawOrRefuse(edit)
	if err != nil || again != nil {
		return Taken{Refused: refused}, err
	}
	t := a.taken(s, edit)
	t.NeedsWhy = t.Refused == nil
	return t, nil
}

// drawOrRefuse draws the scope with one more edit, and returns a Conflict Fault as an answer.
func (in Inputs) drawOrRefuse(e Edit) (Scope, *domain.Fault, error) {
	s, err := in.DrawAdding(e)
	var fault *domain.Fault
	if errors.As(err, &fault) && fault.Kind == domain.Conflict {
		return Scope{}, fault, nil
	}
	return s, nil, err
}

// taken returns a scope in which an option was chosen, refused where it comes to nothing there.
func (a Alternatives) taken(s Scope, e Edit) Taken {
	if settled := s.Settled[e.Group]; settled != e.Option {
		return Taken{Refused: domain.Refuse(domain.Conflict,
			"%s can't be settled as %s: nothing of it is done on this piano", e.Group, e.Option)}
	}
	return Taken{Scope: s, Undone: s.distribution.undone(a.plain, s)}
}

// WhySettled returns why a choice is settled as it is: the buyer's edit, else the work or the rule
// that called for the option first, else what called for another that is refused, with why that is.
// It is the zero value for a choice that doesn't come up, and in a scope that was read.
func (s Scope) WhySettled(group string) Reason {
	p := s.distribution
	if p == nil {
		return Reason{}
	}
	at := slices.IndexFunc(p.choices, func(x compiledChoice) bool { return x.Group == group })
	if at < 0 {
		return Reason{}
	}
	option := optionIndex(p.choices[at].Choice, s.Settled[group])
	chances := make([]decimal.Decimal, len(p.possible))
	for i := range chances {
		chances[i], _ = p.probability(i)
	}
	if why, ok := p.plannedDraft(chances).whySettled(at, option); ok {
		return why
	}
	for i := range p.worlds {
		if why, ok := p.worlds[i].draft.whySettled(at, option); ok {
			return why
		}
	}
	return Reason{}
}

// whySettled returns why a draft settles a choice on an option, and false where it doesn't.
func (d *draft) whySettled(group, option int) (Reason, bool) {
	if !d.inEffect(group) || d.selected[group].option != option {
		return Reason{}, false
	}
	if k := d.speaksFor(optionRef{group, option}); k != nil {
		return *k.reason, true
	}
	for _, k := range d.calls {
		for _, o := range d.optionsNamedBy(k.target) {
			if to, ok := d.fallback(group, o.option); o.group == group && ok && to == option {
				return d.insteadOf(k, o), true
			}
		}
	}
	return Reason{}, false
}

// speaksFor returns the call that settles a choice on an option: the first of the highest priority.
// What the option's own work brings along only counts where there is no other. It returns nil where
// no call names the option.
func (d *draft) speaksFor(o optionRef) *call {
	own := d.choices[o.group].options[o.option].operations
	var best *call
	for i := range d.calls {
		k := &d.calls[i]
		if !slices.Contains(d.optionsNamedBy(k.target), o) {
			continue
		}
		within, bestWithin := slices.Contains(own, k.from), best != nil && slices.Contains(own, best.from)
		if best == nil || bestWithin && !within || bestWithin == within && k.priority > best.priority {
			best = k
		}
	}
	return best
}

// insteadOf returns the reason of a call that another option answers, with why those between the
// two are refused.
func (d *draft) insteadOf(k call, o optionRef) Reason {
	r := *k.reason
	texts := []string{r.Text}
	for _, why := range d.fallbackReasons(target{none, o.group, o.option}) {
		texts = append(texts, why.Text)
	}
	r.Text = strings.Join(texts, "; ")
	return r
}
