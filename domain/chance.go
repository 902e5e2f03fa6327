package domain

import (
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// chance is how likely a line turns out to be needed, and the operation after
// which that is known.
type chance struct {
	share      decimal.Decimal
	revealedBy catalogue.Code
}

// chances are the chances of all operations that either world has.
func (d *drawer) chances(seen, feared *sketch, odds decimal.Decimal) map[catalogue.Code]chance {
	reveals := feared.reveals(seen)
	edited := d.editedChances(seen, feared)
	m := map[catalogue.Code]chance{}
	for i := range d.c.Operations {
		code := d.c.Operations[i].Code
		var x chance
		switch inSeen, inFeared := seen.present[code], feared.present[code]; {
		case inSeen && inFeared:
			x = chance{share: one}
		case inFeared:
			x = chance{share: odds, revealedBy: reveals[code]}
		case inSeen:
			x = chance{share: one.Sub(odds), revealedBy: d.revealOfRival(code, feared, reveals)}
		default:
			continue
		}
		if limit, ok := edited[code]; ok {
			x.share = decimal.Min(x.share, limit)
		}
		if e, ok := d.wishes.figure(SetChance, code); ok {
			x.share = *e.Chance
		}
		if x.share.Equal(one) {
			x.revealedBy = ""
		}
		m[code] = x
	}
	return m
}

// reveals is, for what only the feared world has, the operation after which it
// is known whether it is needed: that of the rule that calls for it, or for
// the work that it accompanies.
func (s *sketch) reveals(seen *sketch) map[catalogue.Code]catalogue.Code {
	m := map[catalogue.Code]catalogue.Code{}
	for _, k := range s.calls {
		by := k.revealedBy
		if k.from != "" {
			by = m[k.from]
		}
		if by == "" {
			continue
		}
		for i := range s.c.Operations {
			code := s.c.Operations[i].Code
			if _, known := m[code]; !known && s.present[code] && !seen.present[code] && s.brings(k, code) {
				m[code] = by
			}
		}
	}
	return m
}

// revealOfRival is what reveals whether a choice is settled otherwise than on
// the option that admits the operation.
func (d *drawer) revealOfRival(code catalogue.Code, feared *sketch, reveals map[catalogue.Code]catalogue.Code) catalogue.Code {
	for _, ref := range d.c.OptionsWith(code) {
		o := feared.option(ref.Group)
		if o == nil {
			continue
		}
		for _, rival := range o.Operations {
			if by := reveals[rival]; by != "" {
				return by
			}
		}
	}
	return ""
}

// editedChances is how the buyer's chances carry over to what is there only to
// accompany the edited lines: each line is as likely as the likeliest of its
// callers. Lines that no edit reaches are missing.
func (d *drawer) editedChances(seen, feared *sketch) map[catalogue.Code]decimal.Decimal {
	given := map[catalogue.Code]decimal.Decimal{}
	for key, e := range d.wishes.figures {
		if key.kind == SetChance {
			given[key.operation] = *e.Chance
		}
	}
	if len(given) == 0 {
		return nil
	}
	level := map[catalogue.Code]decimal.Decimal{}
	for again := true; again; {
		again = false
		for _, s := range []*sketch{seen, feared} {
			for _, k := range s.calls {
				again = s.raise(level, given, k) || again
			}
		}
	}
	return level
}

// raise lifts the levels of what a call brings to the level of its caller and
// reports whether that lifted any.
func (s *sketch) raise(level, given map[catalogue.Code]decimal.Decimal, k call) bool {
	from := one
	if k.from != "" {
		from = level[k.from]
	}
	raised := false
	for i := range s.c.Operations {
		code := s.c.Operations[i].Code
		if !s.present[code] || !s.brings(k, code) {
			continue
		}
		to := from
		if edited, ok := given[code]; ok {
			to = edited
		}
		if old, ok := level[code]; !ok || to.GreaterThan(old) {
			level[code] = to
			raised = true
		}
	}
	return raised
}
