package caution

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// Caution is one note on a hazard of some work or on the law of a sale. It is orientation, not
// advice: whoever shows cautions ends them with catalogue.Deference.
//
// Key is a hazard of an operation or of what was found, found where that has no hazard of its own,
// solvent_permit for the total of a job, or protected_timber, tax or description for a sale.
type Caution struct {
	Key        string
	Says       string             // includes the figure, if there is one
	Figure     *Figure            // nil: none
	Standing   catalogue.Standing // how far the text may be trusted
	Stop       bool               // what stops it must be cleared before going on
	Operations []catalogue.Code   // the work concerned; empty: the instrument as a whole
}

// Figure is the quantity that a caution quotes.
type Figure struct {
	Value decimal.Decimal
	Unit  string // N, kg, l, percent
	Basis instrument.Basis
	Says  string // how it was obtained
}

// builder words the cautions of one instrument from its survey and quantities.
type builder struct {
	c          *catalogue.Catalogue
	in         instrument.Instrument
	judgements survey.Judgements
	stops      clearance.List // that bar what the cautions are for
	cleared    clearance.List
	takeOff    instrument.TakeOff
	strings    instrument.StringReport
	litres     map[catalogue.Code]decimal.Decimal // liquids consumed, by operation
}

func newBuilder(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements,
) *builder {
	return &builder{
		c: c, in: in, judgements: js, takeOff: instrument.TakeOffOf(c, in, js),
		strings: instrument.StringsOf(c, in, js, instrument.UsualStringTerms()),
		litres:  map[catalogue.Code]decimal.Decimal{},
	}
}

// before records what stops the acts that the cautions are for, and what has been cleared.
func (b *builder) before(stops clearance.List, acts ...catalogue.Act) *builder {
	b.stops = stops.Barring(acts...)
	b.cleared = slices.DeleteFunc(
		slices.Clone(stops), func(s clearance.Stop) bool { return s.Clearance == nil },
	)
	return b
}

// stop sets whether a finding at the point with a mark stops the acts. If it was cleared, the
// clearance is put in front of k.
func (b *builder) stop(k *Caution, m catalogue.Mark) {
	point := b.c.PointMarked(m)
	here := func(s clearance.Stop) bool { return s.Point == point }
	k.Stop = slices.ContainsFunc(b.stops, here)
	if i := slices.IndexFunc(b.cleared, here); i >= 0 {
		k.Says = b.cleared[i].Clearance.Text() + " " + k.Says
	}
}

// stopped reports whether a stop bars one of the acts that the cautions are for.
func (b *builder) stopped(id string) bool {
	return slices.ContainsFunc(b.stops, func(s clearance.Stop) bool { return s.ID == id })
}

func (b *builder) marked(m catalogue.Mark) survey.Judgement { return b.judgements.Marked(b.c, m) }

// withConsumption records the liquids that the lines of a scope consume.
func (b *builder) withConsumption(s scope.Scope) *builder {
	for _, m := range scope.ConsumptionOf(b.c, b.in, b.judgements, s) {
		switch m.Unit {
		case "l":
			b.litres[m.Operation] = b.litres[m.Operation].Add(m.Quantity)
		case "ml":
			b.litres[m.Operation] = b.litres[m.Operation].Add(m.Quantity.Shift(-3))
		}
	}
	return b
}

// CautionsByLine returns the cautions of each line of a scope, in the order of its lines. For work
// sent to an outside firm only the legal ones are kept.
func CautionsByLine(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s scope.Scope,
	stops clearance.List,
) [][]Caution {
	b := newBuilder(c, in, js).withConsumption(s).
		before(stops.In(s), catalogue.ToWork, catalogue.ToMove)
	list := make([][]Caution, len(s.Lines))
	for i, l := range s.Lines {
		list[i] = b.line(l)
	}
	return list
}

// CautionsOfJob returns the cautions of all the work in a scope or job: first what was found, then
// in working order. Each appears once and lists the operations it concerns. Then come what the law
// says of material that the work leaves alone, and the solvent total of the job.
func CautionsOfJob(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s scope.Scope,
	stops clearance.List,
) []Caution {
	b := newBuilder(c, in, js).withConsumption(s).
		before(stops.In(s), catalogue.ToWork, catalogue.ToMove)
	list := b.found(stops.In(s))
	for _, l := range s.Lines {
		for _, k := range b.line(l) {
			i := slices.IndexFunc(list, func(y Caution) bool { return y.Key == k.Key && y.Says == k.Says })
			if i < 0 {
				list = append(list, k)
				continue
			}
			list[i].Operations = append(list[i].Operations, k.Operations...)
		}
	}
	list = append(list, b.leftInPlace(stops, list)...)
	if k, ok := b.solventPermit(s); ok {
		list = append(list, k)
	}
	return list
}

func (b *builder) line(l scope.Line) []Caution {
	all := b.operation(b.c.Operation(l.Operation))
	if l.Making != catalogue.Outside {
		return all
	}
	return slices.DeleteFunc(
		all, func(k Caution) bool { return k.Key != "ivory_law" && k.Key != "specialist_only" },
	)
}

// operation returns one caution for each hazard of op.
func (b *builder) operation(op *catalogue.Operation) []Caution {
	if op == nil {
		return nil
	}
	var list []Caution
	for _, hazard := range op.Hazards {
		k := Caution{
			Key: hazard, Says: catalogue.Caution(hazard), Standing: commonPractice,
			Operations: []catalogue.Code{op.Code},
		}
		switch hazard {
		case "string_tension":
			b.stringTension(&k)
		case "lifting", "hoist":
			b.lifting(&k, op)
		case "solvent_fire", "styrene", "stripper", "peroxide":
			b.solvent(&k, op.Code)
		case "ivory_law":
			b.ivory(&k)
		case "lead_paint":
			b.addFinding(&k, catalogue.CoatingsMark)
		case "lead_dust":
			b.addFinding(&k, catalogue.KeyLeadsMark)
		}
		if limits, ok := exposureLimits[hazard]; ok {
			k.Says += " " + limits.says
			k.Standing = limits.standing
		}
		list = append(list, k)
	}
	return list
}

const (
	commonPractice catalogue.Standing = "common practice, no source"
	fromMemory     catalogue.Standing = "from memory"
)

// exposureLimits are workplace limits for what is in the air, each with the place that sets it.
var exposureLimits = map[string]struct {
	says     string
	standing catalogue.Standing
}{
	"wood_dust": {
		"Limits in air over a working day: UK 3 mg/m³ for hardwood or mixed dust and 5 for softwood; EU 2 for hardwood since 2023.", "source S99",
	},
	"styrene": {
		"Limits in air: US 100 ppm by law and 50 recommended by its safety institute; UK 100 ppm over 8 h (from memory). The resin flashes at about 32 °C.", "source S97",
	},
}

// stringTension adds the load on the frame to k.
func (b *builder) stringTension(k *Caution) {
	l := b.strings.Load
	highest := 0.0
	for _, n := range l.Notes {
		highest = max(highest, n.TensionN)
	}
	load := fmt.Sprintf("The frame carries about %s kN over %d strings, up to %s N on a single one (%s).",
		instrument.Rounded(l.TotalN/1000, 0), l.Strings, instrument.Rounded(highest, 0), b.strings.Says)
	if j := b.marked(catalogue.PitchMark); j.Median != nil && j.Median.IsNegative() {
		load += fmt.Sprintf(" The piano is %s cents flat and carries %s %% of that now; raising the pitch brings the rest.",
			j.Median.Neg().Round(0), instrument.Rounded(loadAtCents(j.Median.InexactFloat64())*100, 0))
	}
	k.Says = load + " " + k.Says
	k.Figure = &Figure{
		Value: instrument.Rounded(l.TotalN, 0), Unit: "N", Basis: b.strings.Basis,
		Says: b.strings.Says,
	}
}

// liftingCrews gives the fewest people who move an instrument up to each weight on wheels and skid
// (common practice, no source; the limits from memory). Two will do for a small upright alone,
// whose estimate may be 15 % too low. How much a person may lift is for an assessment of the risk
// where you work.
var liftingCrews = []struct{ kg, people int64 }{{200, 2}, {350, 3}, {1 << 30, 4}}

// lifting adds the weight to k: of the frame where the frame is lifted, otherwise of the whole
// instrument with the people that takes.
func (b *builder) lifting(k *Caution, op *catalogue.Operation) {
	if op.Subassembly == "frame" || op.Station == "frame hoist" {
		q, _ := b.takeOff.Of(instrument.FrameKg)
		k.Says = fmt.Sprintf(
			"The frame weighs about %s kg (%s): use a hoist and slings rated for at least twice that and keep the area around it clear. %s",
			q.Value, q.Formula, k.Says,
		)
		k.Figure = &Figure{Value: q.Value, Unit: "kg", Basis: q.Basis, Says: q.Formula}
		return
	}
	q, _ := b.takeOff.Of(instrument.InstrumentKg)
	people := int64(0)
	for _, h := range liftingCrews {
		if people = h.people; q.Value.LessThanOrEqual(decimal.NewFromInt(h.kg)) {
			break
		}
	}
	k.Says = fmt.Sprintf("The instrument weighs about %s kg (%s): to roll it whole on the level takes at least %d people with skid board, straps and trolley; leave stairs to a haulage firm. %s",
		q.Value, q.Formula, people, k.Says)
	if op.Crew > 1 && int64(op.Crew) < people {
		k.Says += fmt.Sprintf(" The plan counts %d of the crew, since the catalogue's figure is for a "+
			"light piano: get %d more to lift, or have a firm do it.", op.Crew, people-int64(op.Crew))
	}
	k.Figure = &Figure{Value: q.Value, Unit: "kg", Basis: q.Basis, Says: q.Formula}
	if c := instrument.Caveat(instrument.InstrumentKg, q.Basis); c != "" {
		k.Standing += catalogue.Standing("; weight by " + c)
	}
}

// solvent adds the litres that the operation consumes to k.
func (b *builder) solvent(k *Caution, code catalogue.Code) {
	litres := b.litres[code].Round(1)
	if !litres.IsPositive() {
		return
	}
	k.Says = fmt.Sprintf("This operation uses about %s l of liquid. %s", litres, k.Says)
	k.Figure = &Figure{
		Value: litres, Unit: "l", Basis: instrument.Computed,
		Says: "consumption of the operation, waste included",
	}
}

// addFinding puts a fault that the survey found at point in front of k.
func (b *builder) addFinding(k *Caution, point catalogue.Mark) {
	j := b.marked(point)
	if j.Severity == catalogue.Attention || j.Severity == catalogue.MustAct {
		k.Says = "Found here: " + j.Text + ". " + k.Says
	}
}

// solventHazards are the hazards of work that gives off organic solvent.
var solventHazards = []string{"solvent_fire", "styrene", "stripper"}

// kgPerLitre is the density at which every litre is counted as solvent, which overstates it (from
// memory).
var kgPerLitre = decimal.New(9, -1)

// solventPermit compares the job's solvent with the yearly permit limit. It reports false for a job
// that uses none.
func (b *builder) solventPermit(s scope.Scope) (Caution, bool) {
	litres := decimal.Zero
	k := Caution{Key: "solvent_permit", Standing: "source S103"}
	for _, l := range s.Lines {
		op := b.c.Operation(l.Operation)
		if op == nil || !b.litres[l.Operation].IsPositive() ||
			!slices.ContainsFunc(
				op.Hazards, func(h string) bool { return slices.Contains(solventHazards, h) },
			) {
			continue
		}
		litres = litres.Add(b.litres[l.Operation])
		k.Operations = append(k.Operations, l.Operation)
	}
	if !litres.IsPositive() {
		return k, false
	}
	kg := litres.Mul(kgPerLitre).Round(1)
	k.Stop = domain.NeedsSolventPermit(kg.Shift(-3))
	k.Figure = &Figure{
		Value: kg, Unit: "kg", Basis: instrument.Computed,
		Says: fmt.Sprintf("%s l, all counted as solvent at %s kg/l", litres.Round(1), kgPerLitre),
	}
	k.Says = fmt.Sprintf("This job uses at most %s kg of organic solvent. In the UK, wood coating that uses more than %s t in twelve months needs a local permit; the EU sets other thresholds (from memory). Waste solvent, peroxide and lead are regulated waste.",
		kg, domain.UKSolventLimitTonnes)
	return k, true
}
