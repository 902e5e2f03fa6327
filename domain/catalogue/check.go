package catalogue

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// Check checks all invariants of a catalogue: codes resolve in every table and condition, hard
// links form no cycle, options of a choice exclude each other, three-point figures rise, words come
// from the closed lists, marks stand in rows that can hold them, rules can fire. It returns nil or
// Flaws with all faults, each with table and code.
func (c *Catalogue) Check() error {
	return (&checking{Catalogue: c}).check()
}

func (k *checking) check() error {
	k.flaws = nil
	indexed := *k.Catalogue // the rows may have changed since its index was made
	indexed.index = newIndex(&indexed)
	k.Catalogue = &indexed
	if len(k.Currency) != 3 || strings.ToUpper(k.Currency) != k.Currency {
		k.report(rowPosition{currencyTable, 0}, "currency %q must be a code of three capitals",
			k.Currency)
	}
	k.checkUnique()
	k.checkOperations()
	k.checkLinks()
	k.checkChoices()
	k.checkMaterials()
	k.checkCompanions()
	k.checkPoints()
	k.checkMarks()
	k.checkRules()
	k.checkConditions()
	if len(k.flaws) == 0 {
		return nil
	}
	return k.flaws
}

// checkUnique reports keys that appear twice.
func (k *checking) checkUnique() {
	seen := map[string]bool{}
	once := func(at rowPosition, key string) {
		key = string(at.table) + " " + key
		if seen[key] {
			k.report(at, "appears twice")
		}
		seen[key] = true
	}
	for i, o := range k.Operations {
		once(rowPosition{operationsTable, i}, string(o.Code))
	}
	for i, l := range k.Links {
		once(rowPosition{linksTable, i}, fmt.Sprint(l.From, l.To, l.Type))
	}
	i := 0
	for ref := range k.options() {
		once(rowPosition{choicesTable, i}, ref.Group+"="+ref.Option)
		i++
	}
	for i, m := range k.Materials {
		once(rowPosition{materialsTable, i}, fmt.Sprint(m.Operation, m.Name, m.When))
	}
	for i, m := range k.Companions {
		once(rowPosition{companionsTable, i}, m.ID)
	}
	for i, p := range k.Points {
		once(rowPosition{pointsTable, i}, string(p.Code))
	}
	for i, r := range k.Rules {
		once(rowPosition{rulesTable, i}, r.ID)
	}
}

func (k *checking) checkOperations() {
	for i := range k.Operations {
		o, at := &k.Operations[i], rowPosition{operationsTable, i}
		if !isCode(string(o.Code)) {
			k.report(at, "code %q must be formed as BD-02 is", o.Code)
		}
		if o.Name == "" {
			k.report(at, "must have a name")
		}
		k.requireWord(Phases, o.Phase, at, "phase")
		k.requireWord(Skills, o.Skill, at, "skill")
		k.requireWord(Stations, o.Station, at, "station")
		k.requireWord(Subassemblies, o.Subassembly, at, "subassembly")
		if o.Group != "" && !slices.Contains(WorkGroups, o.Group) {
			k.reportIn("group", at, "unknown group %q; use belly, action, case or nothing", o.Group)
		}
		k.requireWord(Drivers, o.Driver, at, "driver")
		k.requireWord(Emissions, o.Emits, at, "emission")
		k.requireWord(RoomNeeds, o.Needs, at, "need of the room")
		for _, h := range o.Hazards {
			if Caution(h) == "" {
				k.report(at, "unknown hazard %q; use %s", h, oneOf(slices.Sorted(maps.Keys(cautions))))
			}
		}
		k.checkHours(at, o)
		k.checkThree(at, "tail", o.Tail)
		k.checkStanding(at, o.Standing)
		if o.Crew < 1 || o.Crew > 20 {
			k.report(at, "a crew must be 1 to 20 people, not %d", o.Crew)
		}
		if s := o.Sessions; s != nil &&
			(s.GapHours.IsNegative() || !s.PerUnit && s.Count < 2 || s.PerUnit && s.Count != 0) {
			k.report(at, "sittings must be two or more, or one per unit, and gaps must not be negative")
		}
		k.checkMaking(i, o)
	}
}

// checkHours checks the hours for each kind of piano.
func (k *checking) checkHours(at rowPosition, o *Operation) {
	if len(o.Hours) == 0 {
		k.report(at, "must have hours for a grand, an upright or both")
	}
	for _, kind := range slices.Sorted(maps.Keys(o.Hours)) {
		h := o.Hours[kind]
		if kind != Grand && kind != Upright {
			k.report(at, "unknown kind of piano %q; use grand or upright", kind)
		}
		if h.Baseline.IsNegative() || h.Setup.IsNegative() || h.Rate.IsNegative() {
			k.report(at, "%s: quantity, setup and rate must not be negative", kind)
		}
		k.checkThree(at, string(kind)+" hours", ThreePoint{h.Low, h.Likely(h.Baseline), h.High})
	}
}

// checkMaking checks what belongs to work in house and outside.
func (k *checking) checkMaking(i int, o *Operation) {
	at := rowPosition{operationsTable, i}
	switch o.Making {
	case InHouse:
		if o.Buying != nil {
			k.report(rowPosition{buyingTable, i}, "%s is done in house only, so it must not have a price",
				o.Code)
		}
	case Outside, Either:
		if o.Buying == nil {
			k.report(at, "may be done outside, so it must have a price in buying")
		}
	default:
		k.report(at, "unknown making %q; use in_house, outside or either", o.Making)
	}
	if o.Lead != nil {
		at := rowPosition{leadsTable, i}
		k.checkThree(at, "weeks", o.Lead.Weeks)
		k.checkStanding(at, o.Lead.Standing)
		if o.Lead.After != "" {
			k.resolve(at, "after", o.Lead.After)
		}
		if o.Lead.Item == "" {
			k.report(at, "must say what is ordered")
		}
	}
	if o.Buying != nil {
		k.checkBuying(rowPosition{buyingTable, i}, o)
	}
}

func (k *checking) checkBuying(at rowPosition, o *Operation) {
	for _, kind := range slices.Sorted(maps.Keys(o.Buying.Price)) {
		if _, ok := o.Hours[kind]; !ok {
			k.report(at, "must not have a price for %s, which can't have the operation", kind)
		}
	}
	for _, kind := range slices.Sorted(maps.Keys(o.Hours)) {
		p, ok := o.Buying.Price[kind]
		if !ok {
			k.report(at, "must have a price for %s", kind)
		}
		k.checkThree(at, "price", p)
	}
	k.checkThree(at, "carriage", o.Buying.Carriage)
	k.checkThree(at, "turn-round", o.Buying.TurnRound)
	k.checkStanding(at, o.Buying.StandingOf)
}

// checkThree checks that a three-point figure rises and isn't negative.
func (k *checking) checkThree(at rowPosition, what string, p ThreePoint) {
	if p.Low.IsNegative() || p.Low.GreaterThan(p.Likely) || p.Likely.GreaterThan(p.High) {
		k.reportIn(columnOf[what], at, "%s %s/%s/%s must rise from low to high and not be negative", what,
			p.Low, p.Likely, p.High)
	}
}

func (k *checking) checkStanding(at rowPosition, s Standing) {
	if !s.known() {
		k.reportIn("standing", at, "standing %q must begin with one of: %s",
			s, strings.Join(Standings, "; "))
	}
}

// known reports whether a standing begins with one of Standings.
func (s Standing) known() bool {
	return slices.ContainsFunc(
		Standings, func(word string) bool { return strings.HasPrefix(string(s), word) },
	)
}

// checkStandingIfGiven checks the standing of a row whose table had none in earlier revisions.
func (k *checking) checkStandingIfGiven(at rowPosition, s Standing) {
	if s != "" {
		k.checkStanding(at, s)
	}
}

// resolve reports a code without an operation.
func (k *checking) resolve(at rowPosition, what string, code Code) {
	if k.Operation(code) == nil {
		k.reportIn(what, at, "unknown operation %q", code)
	}
}

func (k *checking) checkMaterials() {
	for i, m := range k.Materials {
		at := rowPosition{materialsTable, i}
		k.resolve(at, "operation", m.Operation)
		k.requireWord(Drivers, m.Driver, at, "driver")
		k.checkThree(at, "price", m.UnitPrice)
		k.checkStanding(at, m.Standing)
		if m.Name == "" || m.Unit == "" {
			k.report(at, "must have a name and a unit")
		}
		if m.PerDriver.IsNegative() || m.Fixed.IsNegative() || m.Waste.IsNegative() ||
			m.Waste.GreaterThan(decimal.NewFromInt(1)) {
			k.report(at, "quantities must not be negative, and waste must be a share from 0 to 1")
		}
		if m.PerDriver.IsZero() && m.Fixed.IsZero() {
			k.report(at, "must consume something: per_driver or fixed above 0")
		}
	}
}

func (k *checking) checkPoints() {
	for i := range k.Points {
		p, at := &k.Points[i], rowPosition{pointsTable, i}
		if !isCode(string(p.Code)) || p.Observe == "" {
			k.report(at, "must have a code such as SV-13 and something to observe")
		}
		if len(p.Kinds) == 0 ||
			slices.ContainsFunc(p.Kinds, func(x Kind) bool { return x != Grand && x != Upright }) {
			k.report(at, "kinds must be grand, upright or both")
		}
		k.checkStanding(at, p.Standing)
		switch p.Type {
		case Number, Count, Percent, Grade:
			k.checkLimits(at, p)
		case Flag:
			k.checkSeverity(at, p.FlagSeverity)
		case Pick:
			if len(p.Answers) < 2 {
				k.report(at, "must have two answers or more")
			}
			for _, a := range p.Answers {
				k.checkSeverity(at, a.Severity)
				if !isWord(a.Name) {
					k.report(at, "answer %q must be of small letters, digits and _", a.Name)
				}
			}
		case Text:
		default:
			k.report(at, "unknown type of reading %q; use number, count, percent, grade, flag, choice "+
				"or text", p.Type)
		}
	}
}

// checkSeverity checks what a flag or an answer means.
func (k *checking) checkSeverity(at rowPosition, s Severity) {
	if s != Sound && s != Attention && s != MustAct {
		k.report(at, "severity %q must be sound, attention or must_act", s)
	}
}

// checkLimits checks that the ends of a point's limits rise.
func (k *checking) checkLimits(at rowPosition, p *Point) {
	k.requireWord(Units, p.Unit, at, "unit")
	l := p.Limits
	if l == nil {
		k.report(at, "must have bounds of what can be a reading")
		return
	}
	last := l.AbsurdMin
	for _, end := range []*decimal.Decimal{
		l.MustLow, l.AcceptMin, l.AcceptMax, l.MustHigh, &l.AbsurdMax,
	} {
		if end == nil {
			continue
		}
		if end.LessThan(last) {
			k.report(at, "limits must rise, and %s comes after %s", end, last)
			return
		}
		last = *end
	}
	if l.MustHigh != nil && l.AcceptMax != nil && !l.MustHigh.GreaterThan(*l.AcceptMax) {
		k.report(at, "what must be acted on from %s must lie above what is accepted, up to %s",
			l.MustHigh, l.AcceptMax)
	}
	if l.MustLow != nil && l.AcceptMin != nil && !l.MustLow.LessThan(*l.AcceptMin) {
		k.report(at, "what must be acted on up to %s must lie below what is accepted, from %s", l.MustLow,
			l.AcceptMin)
	}
}
