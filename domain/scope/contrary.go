package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// checkContrary returns a Conflict Fault where the buyer adds work, or chooses an option with work,
// that there is nothing on the instrument to do on, with what its record and the survey say.
func checkContrary(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, o *overrides,
) error {
	table, err := catalogue.Contraries()
	if err != nil {
		return err
	}
	shipped, err := catalogue.Shipped()
	if err != nil {
		return err
	}
	counterpart := func(p catalogue.PointCode) catalogue.PointCode { return c.Counterpart(shipped, p) }
	judged := js.ByPoint()
	facts := FactsOf(in, "", judged).Translated(counterpart)
	for _, code := range o.broughtByBuyer(c) {
		for _, x := range table {
			e := shipped.Expr(x.When)
			if x.Operation != code || !e.Holds(facts) {
				continue
			}
			fault := domain.Refuse(domain.Conflict,
				"%s (%s) can't be added: %s; correct the record or look again if that is wrong",
				code, c.Operation(code).Name, x.Says)
			fault.Chain = e.Facts(facts)
			for _, p := range e.Points() {
				if j := judged[counterpart(p)]; j.Severity != catalogue.Unknown && j.Text != "" {
					fault.Chain = append(fault.Chain, string(j.Point)+": "+j.Text)
				}
			}
			return fault
		}
	}
	return nil
}

// broughtByBuyer returns the operations that the buyer adds, or that an option which he chooses
// does, in the order of the catalogue.
func (o *overrides) broughtByBuyer(c *catalogue.Catalogue) []catalogue.Code {
	brought := slices.Clone(o.added)
	for _, choice := range c.Choices {
		for _, option := range choice.Options {
			if o.options[choice.Group] == option.Name {
				brought = append(brought, option.Operations...)
			}
		}
	}
	var list []catalogue.Code
	for i := range c.Operations {
		code := c.Operations[i].Code
		if _, removed := o.removed[code]; !removed && slices.Contains(brought, code) {
			list = append(list, code)
		}
	}
	return list
}
