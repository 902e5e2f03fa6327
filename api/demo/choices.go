package demo

import (
	"strconv"
	"strings"

	"bentside/domain/plan"
)

// optionRow is a row of the table of options: the mark of the settled one, name, hours, cost, days
// and the rest.
const optionRow = "  %1s %-13s %5s %10s %5s  %s"

// printChoices prints the options of each choice that the restoration settles.
func (s Story) printChoices(p *printer) {
	p.line("\nCHOICES THAT THE RULES SETTLED")
	p.line("  The restoration with each option: hours and cost in %s on average, over how what nobody",
		s.Workshop.Terms.Currency)
	p.line("  looked at may turn out; days from now with everybody and every station free; and what the")
	p.line("  next owner gets (common practice, no source). * is settled. Unlike in the bid, fetching it")
	p.line("  counts in the work.")
	p.line(optionRow, "", "", "hours", "cost", "days", "what the next owner gets")
	for _, c := range s.Choices.Choices {
		for _, o := range c.Options {
			if o.Settled {
				p.line("  %s, for: %s", c.Group, o.Why.Text)
			}
		}
		for _, o := range c.Options {
			p.printOption(c, o)
		}
	}
}

func (p *printer) printOption(c plan.Choice, o plan.Option) {
	mark, hours, cost, days, says := " ", "", "", "", o.NextOwner.Says
	if o.Settled {
		mark = "*"
	}
	if o.Refused != nil {
		prefix := c.Group + " can't be settled as " + o.Name + ": "
		says = "refused: " + strings.TrimPrefix(o.Refused.Detail, prefix)
	} else {
		hours = o.Estimate.Hours.Expected.StringFixed(0)
		cost = o.Estimate.Costs.Total.Expected.Text()
		days = strconv.Itoa(o.Days)
	}
	if len(o.Undone) > 0 {
		names := make([]string, len(o.Undone))
		for i, u := range o.Undone {
			names[i] = string(u.Point)
		}
		says += "; leaves undone: " + strings.Join(names, " ")
	}
	if o.NeedsWhy {
		says += " (takes a reason)"
	}
	p.line(optionRow, mark, o.Name, hours, cost, days, says)
}
