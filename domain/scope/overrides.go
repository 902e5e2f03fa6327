package scope

import (
	"slices"

	"bentside/domain/catalogue"
)

// overrides are what a list of edits amounts to. The last edit of each operation, choice and figure
// counts, so that repeating an edit changes nothing and taking one back leaves nothing.
type overrides struct {
	added     []catalogue.Code // in the order of the catalogue
	removed   map[catalogue.Code]Edit
	options   map[string]string // choice group → option
	figures   map[figureKey]Edit
	addedWhy  map[catalogue.Code]string
	optionWhy map[string]string // by choice group
	depths    map[catalogue.Part]catalogue.Depth
}

// figureKey names one figure of one line.
type figureKey struct {
	kind      EditKind
	operation catalogue.Code
}

// figure returns the edit of one figure of a line, and false where there is none.
func (o *overrides) figure(kind EditKind, op catalogue.Code) (Edit, bool) {
	e, ok := o.figures[figureKey{kind, op}]
	return e, ok
}

// overridesOf reduces checked edits to what they amount to.
func overridesOf(c *catalogue.Catalogue, edits []Edit) *overrides {
	o := &overrides{
		removed: map[catalogue.Code]Edit{}, options: map[string]string{},
		figures: map[figureKey]Edit{}, addedWhy: map[catalogue.Code]string{},
		optionWhy: map[string]string{}, depths: map[catalogue.Part]catalogue.Depth{},
	}
	added := map[catalogue.Code]bool{}
	for _, e := range edits {
		if e.leavesOut() {
			added[e.Operation], o.removed[e.Operation] = false, e
			continue
		}
		switch e.Kind {
		case AddOperation:
			o.add(added, e.Operation, e.Why)
		case RemoveOperation:
			added[e.Operation], o.removed[e.Operation] = false, e
		case TakeOption:
			o.options[e.Group], o.optionWhy[e.Group] = e.Option, e.Why
		case SetDepth:
			o.depths[e.Part] = e.Depth
		case TakeSuggestion:
			o.takeSuggestion(SuggestingRule(c, e.Rule), e.Why, added)
		case SetHours, SetQuantity, SetChance, SetMaking:
			if o.removed[e.Operation].Kind == e.Kind { // its figure is given after all
				delete(o.removed, e.Operation)
			}
			o.figures[figureKey{e.Kind, e.Operation}] = e
		}
	}
	for i := range c.Operations {
		if code := c.Operations[i].Code; added[code] {
			o.added = append(o.added, code)
		}
	}
	return o
}

// leavesOut reports whether an edit of a figure leaves nothing of the work to do, so that it is to
// leave it out.
func (e Edit) leavesOut() bool {
	return e.Kind == SetHours && e.Hours != nil && e.Hours.High.IsZero() ||
		e.Kind == SetQuantity && e.Quantity != nil && e.Quantity.IsZero()
}

// takeSuggestion makes the calls of a suggestion the buyer's own: its operations are added and its
// options chosen.
func (o *overrides) takeSuggestion(r *catalogue.Rule, why string, added map[catalogue.Code]bool) {
	if why == "" {
		why = r.Reason
	}
	for _, k := range r.Calls {
		if k.Group != "" {
			o.options[k.Group], o.optionWhy[k.Group] = k.Option, why
			continue
		}
		o.add(added, k.Operation, why)
	}
}

func (o *overrides) add(added map[catalogue.Code]bool, code catalogue.Code, why string) {
	added[code], o.addedWhy[code] = true, why
	delete(o.removed, code)
}

// excused reports whether the buyer may leave out an operation that other work brings along: one
// that it usually brings with a reason, one that it needs on the word of a named person.
func (o *overrides) excused(code catalogue.Code, usual bool) bool {
	e, removed := o.removed[code]
	return removed && (usual && e.Why != "" || e.By != "")
}

// settledWhy returns the buyer's reason for settling a choice on an option, or "" where there is
// none.
func (o *overrides) settledWhy(choice *catalogue.Choice, option int) string {
	if o.options[choice.Group] == choice.Options[option].Name {
		return o.optionWhy[choice.Group]
	}
	for _, code := range choice.Options[option].Operations {
		if why := o.addedWhy[code]; why != "" && slices.Contains(o.added, code) {
			return why
		}
	}
	return ""
}

// standsIn reports whether removed work is done all the same, before the job or by somebody else,
// so that what goes with it is still called for.
func (o *overrides) standsIn(code catalogue.Code) bool {
	because := o.removed[code].Because
	return because == Done || because == Elsewhere
}
