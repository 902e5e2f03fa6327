package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Caution is what to know before some work, or a sale, that can hurt or that
// law bites in. It is orientation and not advice: whoever shows cautions ends
// them with catalogue.Deference.
//
// The keys are the hazards of operations, and beside them solvent_permit for
// what a job adds up to, and protected_timber, tax and description for a sale.
type Caution struct {
	Key        string
	Says       string             // with its figure worked in, where there is one
	Figure     *CautionFigure     // nil: none
	Standing   catalogue.Standing // how far what it says may be trusted
	Stop       bool               // not to be gone on with before it is cleared
	Operations []catalogue.Code   // that it concerns; empty: the sale as a whole
}

// CautionFigure is the figure of a caution.
type CautionFigure struct {
	Value decimal.Decimal
	Unit  string // N, kg, l, percent
	Basis Basis
	Says  string // how it came about
}

// cautioner is what the figures of an instrument's cautions come from.
type cautioner struct {
	c          *catalogue.Catalogue
	in         Instrument
	judgements Judgements
	takeOff    TakeOff
	strings    StringReport
	litres     map[catalogue.Code]decimal.Decimal // of what is consumed, by operation
}

func newCautioner(c *catalogue.Catalogue, in Instrument, js Judgements) *cautioner {
	return &cautioner{
		c: c, in: in, judgements: js, takeOff: TakeOffOf(c, in, js), strings: StringsOf(in, js, UsualStringTerms()),
		litres: map[catalogue.Code]decimal.Decimal{},
	}
}

// inScope notes what the lines of a scope consume by the litre.
func (x *cautioner) inScope(s Scope) *cautioner {
	for _, m := range ConsumptionOf(x.c, x.in, x.judgements, s) {
		switch m.Unit {
		case "l":
			x.litres[m.Operation] = x.litres[m.Operation].Add(m.Quantity)
		case "ml":
			x.litres[m.Operation] = x.litres[m.Operation].Add(m.Quantity.Shift(-3))
		}
	}
	return x
}

// CautionsOf are the cautions of one operation on an instrument, in the order
// of its hazards; none for a code that the catalogue does not hold.
func CautionsOf(c *catalogue.Catalogue, in Instrument, js Judgements, code catalogue.Code) []Caution {
	return newCautioner(c, in, js).operation(c.Operation(code))
}

// CautionsByLine are the cautions of each line of a scope, in its order. Work
// that an outside firm does has none of ours but the law's.
func CautionsByLine(c *catalogue.Catalogue, in Instrument, js Judgements, s Scope) [][]Caution {
	x := newCautioner(c, in, js).inScope(s)
	list := make([][]Caution, len(s.Lines))
	for i, l := range s.Lines {
		list[i] = x.line(l)
	}
	return list
}

// CautionsOfJob are the cautions of all work of a scope or job, each once with
// the operations that it concerns, in the order in which the work meets them;
// last what the whole of it adds up to.
func CautionsOfJob(c *catalogue.Catalogue, in Instrument, js Judgements, s Scope) []Caution {
	x := newCautioner(c, in, js).inScope(s)
	var list []Caution
	for _, l := range s.Lines {
		for _, k := range x.line(l) {
			i := slices.IndexFunc(list, func(y Caution) bool { return y.Key == k.Key && y.Says == k.Says })
			if i < 0 {
				list = append(list, k)
				continue
			}
			list[i].Operations = append(list[i].Operations, k.Operations...)
		}
	}
	if k, ok := x.solventPermit(s); ok {
		list = append(list, k)
	}
	return list
}

func (x *cautioner) line(l Line) []Caution {
	all := x.operation(x.c.Operation(l.Operation))
	if l.Making != catalogue.Outside {
		return all
	}
	return slices.DeleteFunc(all, func(k Caution) bool { return k.Key != "ivory_law" && k.Key != "specialist_only" })
}

// operation gives each hazard of an operation its caution.
func (x *cautioner) operation(op *catalogue.Operation) []Caution {
	if op == nil {
		return nil
	}
	var list []Caution
	for _, hazard := range op.Hazards {
		k := Caution{Key: hazard, Says: catalogue.Caution(hazard), Standing: commonPractice, Operations: []catalogue.Code{op.Code}}
		switch hazard {
		case "string_tension":
			x.stringTension(&k)
		case "lifting", "hoist":
			x.lifting(&k, op)
		case "solvent_fire", "styrene", "stripper", "peroxide":
			x.solvent(&k, op.Code)
		case "ivory_law":
			x.ivory(&k)
		case "lead_paint":
			x.found(&k, "SV-62")
		case "lead_dust":
			x.found(&k, "SV-45")
		}
		if limits, ok := exposure[hazard]; ok {
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

// exposure are figures of air that some places set; each names its place.
var exposure = map[string]struct {
	says     string
	standing catalogue.Standing
}{
	"wood_dust": {
		"In air over a day: UK 3 mg/m³ of hardwood or mixed dust and 5 of softwood, EU 2 of hardwood since 2023.", "source S99",
	},
	"styrene": {
		"In air: US 100 ppm by its safety law and 50 by its institute; UK 100 ppm over 8 h, from memory. The resin flashes at about 32 °C.", "source S97",
	},
}

// pitchPoint is the survey's point of the pitch in cents against 440 Hz.
const pitchPoint catalogue.PointCode = "SV-21"

// stringTension puts the load on the frame into the caution.
func (x *cautioner) stringTension(k *Caution) {
	l := x.strings.Load
	highest := 0.0
	for _, n := range l.Notes {
		highest = max(highest, n.TensionN)
	}
	load := fmt.Sprintf("String load about %s kN over %d strings, up to %s N on a single one (%s).",
		rounded(l.TotalN/1000, 0), l.Strings, rounded(highest, 0), x.strings.Says)
	if j := x.judgements.Of(pitchPoint); j.Median != nil && j.Median.IsNegative() {
		load += fmt.Sprintf(" It stands %s cents flat: %s %% of that now, and raising it brings the rest.",
			j.Median.Neg().Round(0), rounded(loadAtCents(j.Median.InexactFloat64())*100, 0))
	}
	k.Says = load + " " + k.Says
	k.Figure = &CautionFigure{Value: rounded(l.TotalN, 0), Unit: "N", Basis: x.strings.Basis, Says: x.strings.Says}
}

// hands are the least people for a weight in kg (common practice, no source).
var hands = []struct{ kg, people int64 }{{250, 2}, {350, 3}, {1 << 30, 4}}

// lifting puts the weight into the caution: the frame's where the frame is
// lifted, else the instrument's.
func (x *cautioner) lifting(k *Caution, op *catalogue.Operation) {
	if op.Subassembly == "frame" || op.Station == "frame hoist" {
		q, _ := x.takeOff.Of(frameKg)
		k.Says = fmt.Sprintf("The frame weighs about %s kg (%s): hoist and slings rated for twice that and more, a clear zone around it. %s", q.Value, q.Formula, k.Says)
		k.Figure = &CautionFigure{Value: q.Value, Unit: "kg", Basis: q.Basis, Says: q.Formula}
		return
	}
	q, _ := x.takeOff.Of(instrumentKg)
	people := int64(0)
	for _, h := range hands {
		if people = h.people; q.Value.LessThanOrEqual(decimal.NewFromInt(h.kg)) {
			break
		}
	}
	k.Says = fmt.Sprintf("The instrument weighs about %s kg (%s): where it is moved whole, %d people at least with skid board, straps and trolley; stairs are for a haulage firm. %s",
		q.Value, q.Formula, people, k.Says)
	k.Figure = &CautionFigure{Value: q.Value, Unit: "kg", Basis: q.Basis, Says: q.Formula}
}

// solvent puts what the operation consumes by the litre into the caution.
func (x *cautioner) solvent(k *Caution, code catalogue.Code) {
	litres := x.litres[code].Round(1)
	if !litres.IsPositive() {
		return
	}
	k.Says = fmt.Sprintf("About %s l of liquid in this operation. %s", litres, k.Says)
	k.Figure = &CautionFigure{Value: litres, Unit: "l", Basis: Computed, Says: "what the operation consumes, waste included"}
}

// found puts what the survey found at a point before the caution.
func (x *cautioner) found(k *Caution, point catalogue.PointCode) {
	j := x.judgements.Of(point)
	if j.Severity == catalogue.Attention || j.Severity == catalogue.MustAct {
		k.Says = "Found here: " + j.Says + ". " + k.Says
	}
}

// solventHazards are the hazards of work that gives off organic solvent.
var solventHazards = []string{"solvent_fire", "styrene", "stripper"}

// kgPerLitre takes every litre for solvent of this density, which is more than
// there is (from memory).
var kgPerLitre = decimal.New(9, -1)

// solventPermit counts the job towards the solvent of a year; false where it
// uses none.
func (x *cautioner) solventPermit(s Scope) (Caution, bool) {
	litres := decimal.Zero
	k := Caution{Key: "solvent_permit", Standing: "source S103"}
	for _, l := range s.Lines {
		op := x.c.Operation(l.Operation)
		if op == nil || !x.litres[l.Operation].IsPositive() || !slices.ContainsFunc(op.Hazards, func(h string) bool { return slices.Contains(solventHazards, h) }) {
			continue
		}
		litres = litres.Add(x.litres[l.Operation])
		k.Operations = append(k.Operations, l.Operation)
	}
	if !litres.IsPositive() {
		return k, false
	}
	kg := litres.Mul(kgPerLitre).Round(1)
	k.Stop = NeedsSolventPermit(kg.Shift(-3))
	k.Figure = &CautionFigure{Value: kg, Unit: "kg", Basis: Computed, Says: fmt.Sprintf("%s l, all of it taken for solvent of %s kg/l", litres.Round(1), kgPerLitre)}
	k.Says = fmt.Sprintf("At most %s kg of organic solvent. In the UK, wood coating with more than %s t in twelve months needs a local permit; the EU sets other thresholds (from memory). Waste solvent, peroxide and lead are regulated waste.",
		kg, UKSolventLimitTonnes)
	return k, true
}
