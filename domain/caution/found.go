package caution

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// CautionsOfFindings returns the cautions of what was found on an instrument, to be read before any
// work of a scope on it: a cracked frame under load, unsafe legs, live worm and what else stops it
// by the trade, with what was cleared of it. What is mended is left out. Findings of law have their
// cautions with the job and where the instrument is sold.
func CautionsOfFindings(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s scope.Scope,
	stops clearance.List,
) []Caution {
	stops = stops.In(s)
	return newBuilder(c, in, js).before(stops, catalogue.ToWork, catalogue.ToMove).found(stops)
}

// found returns a caution for each stop of the trade: what was found, what that bars and until
// when, and the usual caution of its hazard.
func (b *builder) found(stops clearance.List) []Caution {
	var list []Caution
	for _, s := range stops {
		if s.Law || s.Mended {
			continue
		}
		k := Caution{Key: "found", Standing: s.Standing, Stop: b.stopped(s.ID)}
		if s.Hazard != "" {
			k.Key, k.Says = s.Hazard, catalogue.Caution(s.Hazard)
		}
		switch s.Hazard {
		case "string_tension":
			b.stringTension(&k)
		case "lifting":
			b.lifting(&k, &catalogue.Operation{})
		}
		found := "Found here: " + s.Text() + "."
		if s.Clearance != nil {
			found += " " + s.Clearance.Text()
		}
		if k.Says != "" {
			found += " " + k.Says
		}
		k.Says = found
		list = append(list, k)
	}
	return list
}

// leftInPlace returns a caution for each stop of law that none of the given cautions is about: the
// work leaves the material alone, and it goes on with the instrument.
func (b *builder) leftInPlace(stops clearance.List, told []Caution) []Caution {
	var list []Caution
	for _, s := range stops {
		key := b.lawOf(s)
		if key == "" || slices.ContainsFunc(told, func(k Caution) bool { return k.Key == key }) {
			continue
		}
		k := Caution{Key: key, Standing: s.Standing, Stop: b.stopped(s.ID)}
		k.Says = "The law looks at what this work leaves alone too, when the piano is offered, sold or " +
			"taken across a border, whoever owns it: " + s.Text() + "."
		if s.Clearance != nil {
			k.Says += " " + s.Clearance.Text()
		}
		k.Says += " Ask the authority of each country concerned."
		list = append(list, k)
	}
	return list
}

// lawOf returns the key of the cautions on the material that a stop of law is about; empty where it
// is about none.
func (b *builder) lawOf(s clearance.Stop) string {
	switch {
	case !s.Law:
		return ""
	case s.Point == b.c.PointMarked(catalogue.CoveringMark):
		return "ivory_law"
	case s.Point == b.c.PointMarked(catalogue.TimberMark):
		return "protected_timber"
	}
	return ""
}
