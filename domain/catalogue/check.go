package catalogue

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// Check tests everything that a catalogue promises: codes resolve in every
// table and condition, hard links hold no round, choices are sane, three-point
// figures are in order, words are from the closed lists, rules can be reached.
// It returns nil or Problems with all that is wrong, each with table and code.
func (c *Catalogue) Check() error {
	return (&checking{Catalogue: c}).check()
}

func (k *checking) check() error {
	k.problems = nil
	indexed := *k.Catalogue // the rows may have changed since its index was made
	indexed.index = newIndex(&indexed)
	k.Catalogue = &indexed
	if len(k.Currency) != 3 || strings.ToUpper(k.Currency) != k.Currency {
		k.say(place{currencyTable, 0}, "%q is no currency code of three capitals", k.Currency)
	}
	k.checkUnique()
	k.checkOperations()
	k.checkLinks()
	k.checkChoices()
	k.checkMaterials()
	k.checkCompanions()
	k.checkPoints()
	k.checkRules()
	k.checkConditions()
	if len(k.problems) == 0 {
		return nil
	}
	return k.problems
}

// checkUnique notes keys that stand twice.
func (k *checking) checkUnique() {
	seen := map[string]bool{}
	once := func(at place, key string) {
		key = string(at.table) + " " + key
		if seen[key] {
			k.say(at, "stands twice")
		}
		seen[key] = true
	}
	for i, o := range k.Operations {
		once(place{operationsTable, i}, string(o.Code))
	}
	for i, l := range k.Links {
		once(place{linksTable, i}, fmt.Sprint(l.From, l.To, l.Type))
	}
	i := 0
	for ref := range k.options() {
		once(place{choicesTable, i}, ref.Group+"="+ref.Option)
		i++
	}
	for i, m := range k.Materials {
		once(place{materialsTable, i}, fmt.Sprint(m.Operation, m.Name, m.When))
	}
	for i, m := range k.Companions {
		once(place{companionsTable, i}, m.ID)
	}
	for i, p := range k.Points {
		once(place{pointsTable, i}, string(p.Code))
	}
	for i, r := range k.Rules {
		once(place{rulesTable, i}, r.ID)
	}
}

func (k *checking) checkOperations() {
	for i := range k.Operations {
		o, at := &k.Operations[i], place{operationsTable, i}
		if !isCode(string(o.Code)) {
			k.say(at, "%q is not formed as a code such as BD-02", o.Code)
		}
		if o.Name == "" {
			k.say(at, "has no name")
		}
		k.sayUnless(Phases, o.Phase, at, "phase")
		k.sayUnless(Skills, o.Skill, at, "skill")
		k.sayUnless(Stations, o.Station, at, "station")
		k.sayUnless(Subassemblies, o.Subassembly, at, "subassembly")
		k.sayUnless(Drivers, o.Driver, at, "driver")
		k.sayUnless(Emissions, o.Emits, at, "emission")
		k.sayUnless(RoomNeeds, o.Needs, at, "need of the room")
		for _, h := range o.Hazards {
			if Caution(h) == "" {
				k.say(at, "%q is no known hazard", h)
			}
		}
		k.checkHours(at, o)
		k.checkThree(at, "tail", o.Tail)
		k.checkStanding(at, o.Standing)
		if o.Crew < 1 || o.Crew > 20 {
			k.say(at, "a crew of %d cannot work", o.Crew)
		}
		if s := o.Sessions; s != nil && (s.GapHours.IsNegative() || !s.PerUnit && s.Count < 2 || s.PerUnit && s.Count != 0) {
			k.say(at, "sittings are two or more, or one per unit, and gaps are not negative")
		}
		k.checkMaking(i, o)
	}
}

// checkHours tests the hours on each kind of piano.
func (k *checking) checkHours(at place, o *Operation) {
	if len(o.Hours) == 0 {
		k.say(at, "has no hours on any kind of piano")
	}
	for _, kind := range slices.Sorted(maps.Keys(o.Hours)) {
		h := o.Hours[kind]
		if kind != Grand && kind != Upright {
			k.say(at, "%q is no kind of piano", kind)
		}
		if h.Baseline.IsNegative() || h.Setup.IsNegative() || h.Rate.IsNegative() {
			k.say(at, "%s: quantity, setup and rate are not negative", kind)
		}
		k.checkThree(at, string(kind)+" hours", ThreePoint{h.Low, h.Likely(h.Baseline), h.High})
	}
}

// checkMaking tests what goes with being done in house or outside.
func (k *checking) checkMaking(i int, o *Operation) {
	at := place{operationsTable, i}
	switch o.Making {
	case InHouse:
		if o.Buying != nil {
			k.say(place{buyingTable, i}, "%s is done in house only, so nobody buys it", o.Code)
		}
	case Outside, Either:
		if o.Buying == nil {
			k.say(at, "may be done outside, but buying has no price for it")
		}
	default:
		k.say(at, "%q is no way of making", o.Making)
	}
	if o.Lead != nil {
		at := place{leadsTable, i}
		k.checkThree(at, "weeks", o.Lead.Weeks)
		k.checkStanding(at, o.Lead.Standing)
		if o.Lead.After != "" {
			k.resolve(at, "after", o.Lead.After)
		}
		if o.Lead.Item == "" {
			k.say(at, "does not say what is ordered")
		}
	}
	if o.Buying != nil {
		k.checkBuying(place{buyingTable, i}, o)
	}
}

func (k *checking) checkBuying(at place, o *Operation) {
	for _, kind := range slices.Sorted(maps.Keys(o.Buying.Price)) {
		if _, ok := o.Hours[kind]; !ok {
			k.say(at, "has a price for a kind of piano that cannot have the operation: %s", kind)
		}
	}
	for _, kind := range slices.Sorted(maps.Keys(o.Hours)) {
		p, ok := o.Buying.Price[kind]
		if !ok {
			k.say(at, "has no price for %s", kind)
		}
		k.checkThree(at, "price", p)
	}
	k.checkThree(at, "carriage", o.Buying.Carriage)
	k.checkThree(at, "turn-round", o.Buying.TurnRound)
	k.checkStanding(at, o.Buying.StandingOf)
}

// checkThree tests the order of a three-point figure, which is never negative.
func (k *checking) checkThree(at place, what string, p ThreePoint) {
	if p.Low.IsNegative() || p.Low.GreaterThan(p.Likely) || p.Likely.GreaterThan(p.High) {
		k.sayOf(columnOf[what], at, "%s %s/%s/%s is not in order", what, p.Low, p.Likely, p.High)
	}
}

func (k *checking) checkStanding(at place, s Standing) {
	if !slices.ContainsFunc(Standings, func(w string) bool { return strings.HasPrefix(string(s), w) }) {
		k.sayOf("standing", at, "standing %q begins with none of: %s", s, strings.Join(Standings, "; "))
	}
}

// resolve notes a code that is no operation.
func (k *checking) resolve(at place, what string, code Code) {
	if k.Operation(code) == nil {
		k.sayOf(what, at, "%q is no operation", code)
	}
}

func (k *checking) checkMaterials() {
	for i, m := range k.Materials {
		at := place{materialsTable, i}
		k.resolve(at, "operation", m.Operation)
		k.sayUnless(Drivers, m.Driver, at, "driver")
		k.checkThree(at, "price", m.UnitPrice)
		k.checkStanding(at, m.Standing)
		if m.Name == "" || m.Unit == "" {
			k.say(at, "wants a name and a unit")
		}
		if m.PerDriver.IsNegative() || m.Fixed.IsNegative() || m.Waste.IsNegative() || m.Waste.GreaterThan(decimal.NewFromInt(1)) {
			k.say(at, "quantities are not negative, and waste is a share from 0 to 1")
		}
		if m.PerDriver.IsZero() && m.Fixed.IsZero() {
			k.say(at, "consumes nothing")
		}
	}
}

func (k *checking) checkPoints() {
	for i := range k.Points {
		p, at := &k.Points[i], place{pointsTable, i}
		if !isCode(string(p.Code)) || p.Observe == "" {
			k.say(at, "wants a code such as SV-13 and something to observe")
		}
		if len(p.Kinds) == 0 || slices.ContainsFunc(p.Kinds, func(x Kind) bool { return x != Grand && x != Upright }) {
			k.say(at, "wants kinds of piano: grand, upright or both")
		}
		k.checkStanding(at, p.Standing)
		switch p.Type {
		case Number, Count, Percent, Grade:
			k.checkLimits(at, p)
		case Flag:
			k.checkSeverity(at, p.FlagSeverity)
		case Pick:
			if len(p.Answers) < 2 {
				k.say(at, "wants two answers or more")
			}
			for _, a := range p.Answers {
				k.checkSeverity(at, a.Severity)
				if !isWord(a.Name) {
					k.say(at, "answer %q wants small letters, digits and _", a.Name)
				}
			}
		case Text:
		default:
			k.say(at, "%q is no type of reading", p.Type)
		}
	}
}

// checkSeverity tests what a flag or an answer means.
func (k *checking) checkSeverity(at place, s Severity) {
	if s != Sound && s != Attention && s != MustAct {
		k.say(at, "%q should be sound, attention or must_act", s)
	}
}

// checkLimits tests that the ends of a point's limits stand in order.
func (k *checking) checkLimits(at place, p *Point) {
	k.sayUnless(Units, p.Unit, at, "unit")
	l := p.Limits
	if l == nil {
		k.say(at, "has no limits, nor bounds of what can be a reading")
		return
	}
	last := l.AbsurdMin
	for _, end := range []*decimal.Decimal{l.MustLow, l.AcceptMin, l.AcceptMax, l.MustHigh, &l.AbsurdMax} {
		if end == nil {
			continue
		}
		if end.LessThan(last) {
			k.say(at, "limits out of order: %s stands after %s", end, last)
			return
		}
		last = *end
	}
	if l.MustHigh != nil && l.AcceptMax != nil && !l.MustHigh.GreaterThan(*l.AcceptMax) {
		k.say(at, "what is accepted up to %s must be acted on from %s", l.AcceptMax, l.MustHigh)
	}
	if l.MustLow != nil && l.AcceptMin != nil && !l.MustLow.LessThan(*l.AcceptMin) {
		k.say(at, "what is accepted from %s must be acted on up to %s", l.AcceptMin, l.MustLow)
	}
}
