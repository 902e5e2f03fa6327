package catalogue

import (
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

func operationCells(o Operation) []string {
	cells := []string{
		string(o.Code), o.Name, o.Phase, o.Skill, o.Station, o.Subassembly, string(o.Group), o.Driver,
	}
	for _, kind := range []Kind{Grand, Upright} {
		h, can := o.Hours[kind]
		if !can {
			cells = append(cells, "", "", "", "", "")
			continue
		}
		for _, d := range []decimal.Decimal{h.Baseline, h.Setup, h.Rate, h.Low, h.High} {
			cells = append(cells, d.String())
		}
	}
	sittings, gap := "", ""
	if s := o.Sessions; s != nil {
		sittings, gap = strconv.Itoa(s.Count), s.GapHours.String()
		if s.PerUnit {
			sittings = perUnit
		}
	}
	return append(cells, strconv.Itoa(o.Crew), o.Tail.cell(), o.TailNote, sittings, gap,
		string(o.Making), o.Emits, o.Needs, strings.Join(o.Hazards, ";"),
		yesCell(o.ForSale), join(o.Marks), string(o.Standing), o.Note)
}

func leadCells(o Operation) []string {
	if o.Lead == nil {
		return nil
	}
	return []string{
		string(o.Code), o.Lead.Item, o.Lead.Weeks.cell(), string(o.Lead.After),
		string(o.Lead.Standing),
	}
}

func buyingCells(o Operation) []string {
	b := o.Buying
	if b == nil {
		return nil
	}
	price := func(kind Kind) string {
		if p, there := b.Price[kind]; there {
			return p.figures() // even if it is zero
		}
		return ""
	}
	return []string{
		string(o.Code), price(Grand), price(Upright), b.Carriage.cell(), b.TurnRound.cell(),
		string(b.StandingOf),
	}
}

func linkCells(l Link) []string {
	lag, binding := "", softBinding
	if l.LagHours != nil {
		lag = l.LagHours.String()
	}
	switch {
	case l.Hard && l.Lapses:
		binding = lapsingBinding
	case l.Hard:
		binding = hardBinding
	}
	return []string{
		string(l.From), string(l.To), string(l.Type), lag, binding, l.Reason, string(l.Standing),
	}
}

func materialCells(m Material) []string {
	return []string{
		string(m.Operation), m.Name, m.Unit, m.Driver, m.PerDriver.String(), m.Fixed.String(),
		m.Waste.String(), m.UnitPrice.cell(), string(m.When), string(m.Standing),
	}
}

func companionCells(k Companion) []string {
	return []string{
		k.ID, string(k.When), string(k.If), callsCell(k.Calls), string(k.Necessity), k.Reason,
		string(k.Standing),
	}
}

func pointCells(p Point) []string {
	accept, must, absurd := "", "", ""
	if l := p.Limits; l != nil {
		accept, must = spanCell(l.AcceptMin, l.AcceptMax), spanCell(l.MustLow, l.MustHigh)
		absurd = spanCell(&l.AbsurdMin, &l.AbsurdMax)
	}
	answers := make([]string, len(p.Answers))
	for i, a := range p.Answers {
		answers[i] = a.Name + "=" + string(a.Severity)
	}
	return []string{
		string(p.Code), p.Component, join(p.Kinds), p.Observe, p.How, p.Sample, p.Unit,
		string(p.Type), accept, must, absurd, strings.Join(answers, ";"), string(p.FlagSeverity),
		p.AttentionIs, p.MustActIs, yesCell(p.HardStop), yesCell(p.Photo),
		join(p.Marks), string(p.Standing), p.Source,
	}
}

func ruleCells(r Rule) []string {
	return []string{
		r.ID, join(r.Depths), string(r.When), callsCell(r.Calls), yesCell(r.Suggest),
		string(r.RevealedBy), r.Reason, string(r.Standing),
	}
}

// perUnit is written for sittings that are one per unit of the driver.
const perUnit = "per unit"

func yesCell(yes bool) string {
	if yes {
		return "yes"
	}
	return ""
}

// cell returns low/likely/high; an empty text if all are zero.
func (p ThreePoint) cell() string {
	if p.Low.IsZero() && p.Likely.IsZero() && p.High.IsZero() {
		return ""
	}
	return p.figures()
}

func (p ThreePoint) figures() string {
	return p.Low.String() + "/" + p.Likely.String() + "/" + p.High.String()
}

// spanCell returns low..high, either end of which may be open.
func spanCell(low, high *decimal.Decimal) string {
	if low == nil && high == nil {
		return ""
	}
	end := func(d *decimal.Decimal) string {
		if d == nil {
			return ""
		}
		return d.String()
	}
	return end(low) + ".." + end(high)
}

// join joins words by semicolons.
func join[T ~string](words []T) string {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = string(w)
	}
	return strings.Join(list, ";")
}

func callsCell(calls []Call) string {
	list := make([]string, len(calls))
	for i, k := range calls {
		list[i] = string(k.Operation)
		if k.Group != "" {
			list[i] = k.Group + "=" + k.Option
		}
	}
	return strings.Join(list, ";")
}
