package caution

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// CautionsOfSending returns the cautions to read before something of an instrument goes to an
// outside firm for the lines of a scope: what the law and the trade say of the work, and, where it
// leaves the country, of taking it across a border. It may be of ivory or of a protected timber
// unless the survey says that it isn't.
func CautionsOfSending(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, sent scope.Scope,
	stops clearance.List, abroad bool,
) []Caution {
	b := newBuilder(c, in, js).before(stops, catalogue.ToWork, catalogue.ToMove)
	var list []Caution
	for _, l := range sent.Lines {
		l.Making = catalogue.Outside
		for _, k := range b.line(l) {
			i := slices.IndexFunc(list, func(x Caution) bool { return x.Key == k.Key && x.Says == k.Says })
			if i < 0 {
				list = append(list, k)
				continue
			}
			list[i].Operations = append(list[i].Operations, k.Operations...)
		}
	}
	if !abroad {
		return list
	}
	told := func(key string) bool {
		return slices.ContainsFunc(list, func(k Caution) bool { return k.Key == key })
	}
	if k := b.ivoryAtSale(); k != nil && b.sendsAny(sent, keyboard, action, whole) {
		if !told(k.Key) {
			list = append(list, *k)
		}
	}
	if k := b.timber(); k != nil && b.sendsAny(sent, keyboard, caseParts, body, lyre, whole) {
		list = append(list, *k)
	}
	return append(list, border())
}

// The parts of an instrument that may hold ivory or protected timber: key covers, sharps, veneer
// and legs (common practice, no source).
const (
	keyboard  = "keyboard"
	action    = "action" // with the keys on it
	caseParts = "case_parts"
	body      = "body"
	lyre      = "lyre"
	whole     = "whole"
)

// sendsAny reports whether one of the lines is work on one of some parts.
func (b *builder) sendsAny(sent scope.Scope, parts ...string) bool {
	return slices.ContainsFunc(sent.Lines, func(l scope.Line) bool {
		op := b.c.Operation(l.Operation)
		return op != nil && slices.Contains(parts, op.Subassembly)
	})
}

// border returns the caution on what leaves a country for work and comes back.
func border() Caution {
	return Caution{
		Key: "border", Standing: fromMemory,
		Says: "It crosses a border twice. Material of protected species, such as ivory or rosewood, may " +
			"need a permit of both countries before it leaves, and may not come back without one. Where " +
			"it crosses a customs border, duty and tax may fall due on its return unless it was declared " +
			"before it left as going out for work. Ask the authority of each country and your adviser " +
			"before it is sent.",
	}
}
