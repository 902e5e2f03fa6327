package plan

import (
	"context"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/schedule"
)

// Choice is a choice that comes up in a scope, with all its options side by side in the order of
// the catalogue, the least thorough first.
type Choice struct {
	Group   string
	Options []Option
}

// Option is one way to settle a choice.
type Option struct {
	Name      string
	NextOwner catalogue.NextOwner // zero for an option that the workshop made up itself
	Settled   bool                // the scope is settled so; its figures are the scope's own
	Why       scope.Reason        // that the scope is settled so
	// Refused is why another option can't be taken; the fields below are zero then.
	Refused  *domain.Fault
	NeedsWhy bool // taken only with a reason
	Estimate pricing.Estimate
	Ready    time.Time // alone, if the scope were accepted now
	Days     int       // from now to Ready, on the calendar
	// Comes and Goes are the planned lines that only this option has, and that it does without;
	// Also are the other choices that it settles otherwise, Here as the scope does.
	Comes, Goes []scope.Line
	Also        []scope.ChoiceDifference
	// Undone are the findings that only this option leaves undone.
	Undone []scope.Undone
}

// Choices returns every choice that comes up in a scope, in the order of the catalogue. Each other
// option is drawn, costed and dated as the scope would be if the buyer chose it.
func Choices(ctx context.Context, in scope.Inputs, sit Situation) ([]Choice, error) {
	own, err := in.DrawAdding()
	if err != nil {
		return nil, err
	}
	b := sideBySide{sit: sit, own: own, gets: map[catalogue.OptionRef]catalogue.NextOwner{}}
	table, err := catalogue.NextOwners()
	if err != nil {
		return nil, err
	}
	for _, x := range table {
		b.gets[x.OptionRef] = x
	}
	if b.Alternatives, err = in.AlternativesTo(own); err != nil {
		return nil, err
	}
	if b.settled, err = b.figures(own); err != nil {
		return nil, err
	}
	list := []Choice{}
	for _, c := range in.Catalogue.Choices {
		if own.Settled[c.Group] == "" {
			continue
		}
		x := Choice{Group: c.Group}
		for _, o := range c.Options {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			option, err := b.option(c.Group, o.Name)
			if err != nil {
				return nil, err
			}
			x.Options = append(x.Options, option)
		}
		list = append(list, x)
	}
	return list, nil
}

// sideBySide is what the options of a scope's choices are held against.
type sideBySide struct {
	scope.Alternatives
	sit     Situation
	own     scope.Scope
	settled Option // the figures of own
	gets    map[catalogue.OptionRef]catalogue.NextOwner
}

func (b sideBySide) option(group, name string) (Option, error) {
	if b.own.Settled[group] == name {
		o := b.settled
		o.Settled, o.Why = true, b.own.WhySettled(group)
		o.Name, o.NextOwner = name, b.gets[catalogue.OptionRef{Group: group, Option: name}]
		return o, nil
	}
	taken, err := b.Taking(group, name)
	if err != nil {
		return Option{}, err
	}
	o := Option{}
	if taken.Refused == nil {
		if o, err = b.figures(taken.Scope); err != nil {
			return Option{}, err
		}
		o.differ(scope.Compare(b.own, taken.Scope), group)
		o.Undone = slices.DeleteFunc(taken.Undone, b.leaves)
	}
	o.Refused, o.NeedsWhy = taken.Refused, taken.NeedsWhy
	o.Name, o.NextOwner = name, b.gets[catalogue.OptionRef{Group: group, Option: name}]
	return o, nil
}

// leaves reports whether the scope itself leaves a finding undone.
func (b sideBySide) leaves(u scope.Undone) bool {
	return slices.ContainsFunc(
		b.Undone, func(own scope.Undone) bool { return own.Point == u.Point },
	)
}

// figures returns what a scope comes to, and when it is ready alone.
func (b sideBySide) figures(s scope.Scope) (Option, error) {
	in := b.Inputs
	e, err := scope.Estimate(in.Catalogue, in.Instrument, in.Judgements, s, in.Terms)
	if err != nil {
		return Option{}, err
	}
	ready, err := readyAlone(in.Catalogue, s, b.sit)
	if err != nil {
		return Option{}, err
	}
	zone := b.sit.Shop.Zone
	days := domain.DateOf(b.sit.At.In(zone)).DaysUntil(domain.DateOf(ready.In(zone)))
	return Option{Estimate: e, Ready: ready, Days: days}, nil
}

// differ notes what an option plans otherwise than the scope.
func (o *Option) differ(c scope.Comparison, group string) {
	for _, l := range c.OnlyThere {
		if l.Planned() {
			o.Comes = append(o.Comes, l)
		}
	}
	for _, l := range c.OnlyHere {
		if l.Planned() {
			o.Goes = append(o.Goes, l)
		}
	}
	for _, d := range c.Changed {
		switch {
		case d.There.Planned() && !d.Here.Planned():
			o.Comes = append(o.Comes, d.There)
		case d.Here.Planned() && !d.There.Planned():
			o.Goes = append(o.Goes, d.Here)
		}
	}
	for _, d := range c.Settled {
		if d.Group != group {
			o.Also = append(o.Also, d)
		}
	}
}

// readyAlone is the Ready of a scope's Dates alone.
func readyAlone(c *catalogue.Catalogue, s scope.Scope, sit Situation) (time.Time, error) {
	free, network, err := sit.aloneNetwork(c, s)
	if err != nil {
		return time.Time{}, err
	}
	var t Timeline
	err = withinHorizon(func(years int) error {
		var axis *schedule.Axis
		if axis, err = free.axis(sit.At, years); err != nil {
			return err
		}
		t, err = network.criticalPath(axis, sit.At)
		return err
	})
	return t.Ready, err
}
