package survey

import (
	"fmt"
	"strings"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// describe puts a judgement into trade words: what was looked at, the value with its unit, where,
// and what it means. worst is the position of the deciding finding, -1 where there is none.
func describe(p *catalogue.Point, j Judgement, findings []Finding, worst int) string {
	if worst < 0 {
		return p.Observe + ": not looked at, so counted as a risk and not as sound"
	}
	w := findings[worst]
	var b strings.Builder
	b.WriteString(p.Observe + ": " + reading(p, w))
	if w.Where != "" {
		b.WriteString(" at " + w.Where)
	}
	if j.Readings > 1 && j.Median != nil {
		fmt.Fprintf(&b, " (worst of %d, median %s)", j.Readings, amount(*j.Median, p.Unit))
	}
	b.WriteString(": " + meaning(p, j.Severity))
	if w.Raise.Rank() > severityWithoutRaise(p, w).Rank() {
		b.WriteString("; raised by the surveyor")
		if w.Note != "" {
			b.WriteString(": " + w.Note)
		}
	}
	return b.String()
}

// reading returns the value of a finding in words.
func reading(p *catalogue.Point, f Finding) string {
	switch {
	case f.Canonical != nil && p.Type == catalogue.Grade:
		return gradeText(*f.Canonical)
	case f.Canonical != nil:
		return amount(*f.Canonical, p.Unit)
	case f.Flag != nil && *f.Flag:
		return "yes"
	case f.Flag != nil:
		return "no"
	case f.Answer != "":
		return strings.ReplaceAll(f.Answer, "_", " ")
	case p.Type == catalogue.Text:
		return "recorded"
	default:
		return "seen, not measured"
	}
}

// textPlaces is the number of decimals that a text gives a value with.
const textPlaces = 2

// amount returns a value with its unit. A unit may come with its subject, as in "mm lost motion".
func amount(v decimal.Decimal, unit string) string {
	v = v.Round(textPlaces)
	if unit == "" {
		return v.String()
	}
	return v.String() + " " + unit
}

func gradeText(v decimal.Decimal) string {
	if n := v.IntPart(); v.IsInteger() && n >= 0 && n < int64(len(gradeNames)) {
		return "grade " + gradeNames[n]
	}
	return "grade " + v.String()
}

// meaning returns what a severity of the point means in trade words.
func meaning(p *catalogue.Point, s catalogue.Severity) string {
	switch {
	case s == catalogue.Attention && p.AttentionIs != "":
		return p.AttentionIs
	case s == catalogue.MustAct && p.MustActIs != "":
		return p.MustActIs
	case s == catalogue.Attention:
		return "wants attention"
	case s == catalogue.MustAct:
		return "must be acted on"
	case s == catalogue.Unknown:
		return "tells nothing yet, so counted as a risk and not as sound"
	default:
		return "sound"
	}
}
