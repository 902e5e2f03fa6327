package plan_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// restoring returns what the restoration of a grand with these findings is drawn from.
func restoring(t *testing.T, findings ...survey.Finding) scope.Inputs {
	t.Helper()
	in := domaintest.Inputs(t, catalogue.Restore)
	in.Judgements = domaintest.Judged(t, in.Catalogue, in.Instrument, findings)
	return in
}

func choicesOf(t *testing.T, in scope.Inputs) []plan.Choice {
	t.Helper()
	list, err := plan.Choices(t.Context(), in, calendar(t))
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func optionOf(t *testing.T, list []plan.Choice, group, name string) plan.Option {
	t.Helper()
	for _, c := range list {
		for _, o := range c.Options {
			if c.Group == group && o.Name == name {
				return o
			}
		}
	}
	t.Fatalf("%s=%s isn't among the options", group, name)
	return plan.Option{}
}

func TestKeepingAPlankWithoutASizeLeftIsRefusedBesideTheNewOne(t *testing.T) {
	t.Parallel()
	list := choicesOf(t, restoring(
		t, domaintest.Number("SV-16", "3", ""), domaintest.Number("SV-13", "7.4", ""),
	))
	replaced := optionOf(t, list, "PLANK", "replace")
	if !replaced.Settled || !strings.Contains(replaced.Why.Text, "no larger pin") {
		t.Errorf("settled %t because %q, want a new plank for want of a size", replaced.Settled,
			replaced.Why.Text)
	}
	kept := optionOf(t, list, "PLANK", "keep_oversize")
	if kept.Refused == nil || !strings.Contains(kept.Refused.Detail, "7.4 mm") ||
		!kept.Ready.IsZero() {
		t.Errorf("keeping it: %v, want it refused at 7.4 mm", kept.Refused)
	}
}

func TestKeepingASoundPlankCostsLessThanANewOneAndIsReadySooner(t *testing.T) {
	t.Parallel()
	list := choicesOf(t, restoring(
		t, domaintest.Number("SV-16", "3", ""), domaintest.Number("SV-13", "7.0", ""),
		domaintest.Number("SV-15", "0", ""),
	))
	kept := optionOf(t, list, "PLANK", "keep_oversize")
	replaced := optionOf(t, list, "PLANK", "replace")
	if !kept.Settled || kept.Why.Text == "" || replaced.Refused != nil {
		t.Fatalf("kept: %t because %q; a new one: %v", kept.Settled, kept.Why.Text, replaced.Refused)
	}
	less := kept.Estimate.Costs.Total.Expected.Minor() < replaced.Estimate.Costs.Total.Expected.Minor()
	if !less || !kept.Estimate.Hours.Expected.LessThan(replaced.Estimate.Hours.Expected) ||
		kept.Days > replaced.Days {
		t.Errorf("kept %s h, %s, %d days; replaced %s h, %s, %d days",
			kept.Estimate.Hours.Expected, kept.Estimate.Costs.Total.Expected, kept.Days,
			replaced.Estimate.Hours.Expected, replaced.Estimate.Costs.Total.Expected, replaced.Days)
	}
	ofPlank := func(code catalogue.Code) func(scope.Line) bool {
		return func(l scope.Line) bool { return l.Operation == code }
	}
	if !slices.ContainsFunc(replaced.Comes, ofPlank("BD-02")) ||
		!slices.ContainsFunc(replaced.Goes, ofPlank("BD-04")) {
		t.Errorf("with a new plank %v comes and %v goes", replaced.Comes, replaced.Goes)
	}
	if kept.NextOwner.Says == "" || kept.NextOwner.Says == replaced.NextOwner.Says {
		t.Error("the next owner is told the same of both")
	}
}

// What an option comes to is what the buyer finds when he really chooses it, and what is settled
// comes to what the scope does.
func TestEachOptionComesToWhatTheScopeDoesWithItChosen(t *testing.T) {
	t.Parallel()
	in, cal := restoring(t, domaintest.Number("SV-39", "1.6", "mm")), calendar(t)
	list := choicesOf(t, in)
	own, err := in.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	settled, others, refused := 0, 0, 0
	for _, c := range list {
		for _, o := range c.Options {
			edit := domaintest.Choose(c.Group, o.Name)
			if o.NeedsWhy {
				edit.Why = "the client wants it so"
			}
			var edits []scope.Edit
			if !o.Settled {
				edits = append(edits, edit)
			}
			s, err := in.DrawAdding(edits...)
			if o.Refused != nil {
				refused++
				if err == nil && s.Settled[c.Group] == o.Name {
					t.Errorf("%s=%s is refused and can be chosen", c.Group, o.Name)
				}
				continue
			}
			if err != nil {
				t.Errorf("%s=%s: %v", c.Group, o.Name, err)
				continue
			}
			if settled++; !o.Settled {
				settled, others = settled-1, others+1
			} else if o.Why.Text == "" {
				t.Errorf("%s is settled as %s without a reason", c.Group, o.Name)
			}
			wantFigures(t, in, s, cal, o)
			wantDifference(t, own, s, c.Group, o)
		}
	}
	if settled != len(list) || others == 0 || refused == 0 {
		t.Errorf("%d of %d choices settled, %d other options, %d refused", settled, len(list), others,
			refused)
	}
}

func wantFigures(t *testing.T, in scope.Inputs, s scope.Scope, cal plan.Situation, o plan.Option) {
	t.Helper()
	e, err := scope.Estimate(in.Catalogue, in.Instrument, in.Judgements, s, in.Terms)
	if err != nil {
		t.Fatal(err)
	}
	sit := plan.Situation{Shop: cal.Shop, At: cal.At, Queue: cal.Queue}
	dates, err := sit.DatesOf(t.Context(), in.Catalogue, s)
	if err != nil {
		t.Fatal(err)
	}
	if !e.Hours.Expected.Equal(o.Estimate.Hours.Expected) ||
		e.Costs.Total.Expected != o.Estimate.Costs.Total.Expected ||
		!dates.Alone.Ready.Equal(o.Ready) {
		t.Errorf("%s: %s h, %s, ready %s; the scope has %s h, %s, %s", o.Name,
			o.Estimate.Hours.Expected, o.Estimate.Costs.Total.Expected, o.Ready,
			e.Hours.Expected, e.Costs.Total.Expected, dates.Alone.Ready)
	}
}

// wantDifference wants what comes and goes with an option to be what one of the two scopes plans
// and the other doesn't.
func wantDifference(t *testing.T, own, s scope.Scope, group string, o plan.Option) {
	t.Helper()
	planned := func(s scope.Scope) map[catalogue.Code]bool {
		codes := map[catalogue.Code]bool{}
		for _, l := range s.Lines {
			codes[l.Operation] = l.Planned()
		}
		return codes
	}
	also := map[string]string{}
	for _, d := range o.Also {
		also[d.Group] = d.There
	}
	for other := range own.Settled {
		differs := other != group && s.Settled[other] != own.Settled[other] && s.Settled[other] != ""
		if there, said := also[other]; differs && there != s.Settled[other] || other == group && said {
			t.Errorf("%s: %s is said to be settled %q, and is %q", o.Name, other, there, s.Settled[other])
		}
	}
	here, there := planned(own), planned(s)
	for what, x := range map[string]struct {
		lines     []scope.Line
		has, lack map[catalogue.Code]bool
	}{"comes": {o.Comes, there, here}, "goes": {o.Goes, here, there}} {
		said := map[catalogue.Code]bool{}
		for _, l := range x.lines {
			if said[l.Operation] = true; !x.has[l.Operation] || x.lack[l.Operation] {
				t.Errorf("%s: %s is said to %s", o.Name, l.Operation, what)
			}
		}
		for code, is := range x.has {
			if is && !x.lack[code] && !said[code] {
				t.Errorf("%s: nobody says that %s %s", o.Name, code, what)
			}
		}
	}
}

// Whatever the survey and the depth, a choice that comes up has one settled option, with a reason.
func TestEveryChoiceThatComesUpIsSettledOnceForAReason(t *testing.T) {
	t.Parallel()
	for _, depth := range catalogue.Depths {
		for _, findings := range [][]survey.Finding{
			nil,
			{domaintest.Number("SV-15", "4", "")},
			{domaintest.Number("SV-13", "7.4", "")},
			{domaintest.Number("SV-16", "3", "")},
			{domaintest.Number("SV-46", "20", "")},
		} {
			in := restoring(t, findings...)
			in.Depth = depth
			s, err := in.DrawAdding()
			if err != nil {
				t.Fatal(err)
			}
			for group, option := range s.Settled {
				if s.WhySettled(group).Text == "" {
					t.Errorf("%s, %v: nothing says why %s is %s", depth, findings, group, option)
				}
			}
		}
	}
}

func TestAChoiceOfTheBuyersOwnSaysSo(t *testing.T) {
	t.Parallel()
	in := restoring(t, domaintest.Number("SV-16", "3", ""))
	edit := domaintest.Choose("PLANK", "replace")
	edit.Why = "it has been restrung twice"
	in.Edits = []scope.Edit{edit}
	o := optionOf(t, choicesOf(t, in), "PLANK", "replace")
	if !o.Settled || o.Why.Rule != "buyer" || !strings.Contains(o.Why.Text, edit.Why) {
		t.Errorf("settled %t by %q because %q", o.Settled, o.Why.Rule, o.Why.Text)
	}
}

// An option with less work than other work usually brings is open to a buyer who says why.
func TestAnOptionThatTakesAReasonSaysSo(t *testing.T) {
	t.Parallel()
	in := restoring(t, domaintest.Number("SV-16", "3", ""))
	for _, c := range choicesOf(t, in) {
		for _, o := range c.Options {
			if !o.NeedsWhy {
				continue
			}
			_, err := in.DrawAdding(domaintest.Choose(c.Group, o.Name))
			if err == nil || !strings.Contains(err.Error(), "without a reason") || o.Refused != nil {
				t.Errorf("%s=%s takes a reason; without one: %v", c.Group, o.Name, err)
			}
			return
		}
	}
	t.Error("no option takes a reason")
}

func TestKeepingWornHammersLeavesWhatWasFoundOnThemUndone(t *testing.T) {
	t.Parallel()
	list := choicesOf(t, restoring(t, domaintest.Number("SV-32", "2", "")))
	kept, renewed := optionOf(t, list, "HAMMER", "keep"), optionOf(t, list, "HAMMER", "replace")
	ofFelt := func(u scope.Undone) bool { return u.Point == "SV-32" }
	if !renewed.Settled || len(renewed.Undone) > 0 || !slices.ContainsFunc(kept.Undone, ofFelt) {
		t.Errorf("new hammers settled: %t, leaving %v; the old ones leave %v", renewed.Settled,
			renewed.Undone, kept.Undone)
	}
}

// What the scope leaves undone anyway isn't another option's fault.
func TestAnOptionIsNotBlamedForWhatIsLeftUndoneAnyway(t *testing.T) {
	t.Parallel()
	in := restoring(t, domaintest.Number("SV-32", "2", ""), domaintest.Number("SV-16", "3", ""))
	keep := domaintest.Choose("HAMMER", "keep")
	keep.Why = "the client likes their sound"
	in.Edits = []scope.Edit{keep}
	others := 0
	for _, c := range choicesOf(t, in) {
		for _, o := range c.Options {
			if c.Group == "HAMMER" || o.Refused != nil || o.Settled {
				continue
			}
			others++
			if slices.ContainsFunc(o.Undone, func(u scope.Undone) bool { return u.Point == "SV-32" }) {
				t.Errorf("%s=%s is said to leave the felt of the hammers undone", c.Group, o.Name)
			}
		}
	}
	if others == 0 {
		t.Error("there are no other options")
	}
}
