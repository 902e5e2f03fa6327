package survey

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// CheckFindings tests every finding of a survey against the points of the catalogue and returns
// copies with Canonical filled in. All faults are reported at once, as an Invalid Fault that points
// at each field: a point that is not in the catalogue or is of the other kind of piano, a reading
// in the wrong form, in a unit of something else, or outside what can be a reading at all.
func CheckFindings(
	c *catalogue.Catalogue, kind catalogue.Kind, findings []Finding,
) ([]Finding, error) {
	points := make(map[catalogue.PointCode]*catalogue.Point, len(c.Points))
	for i := range c.Points {
		points[c.Points[i].Code] = &c.Points[i]
	}
	var faults domain.Faults
	checked := slices.Clone(findings)
	for i := range checked {
		at := fmt.Sprintf("#/findings/%d", i)
		p := points[checked[i].Point]
		switch {
		case p == nil:
			faults.Add(at+"/point", "%q isn't a point of the survey", checked[i].Point)
		case !slices.Contains(p.Kinds, kind):
			faults.Add(at+"/point", "%s (%s) is not looked at on a %s", p.Code, p.Observe, kind)
		default:
			checkFinding(&faults, at, p, &checked[i])
		}
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return checked, nil
}

// checkFinding tests one finding of a point and fills in its canonical value.
func checkFinding(faults *domain.Faults, at string, p *catalogue.Point, f *Finding) {
	f.Canonical = nil
	switch f.Raise {
	case "", catalogue.Attention, catalogue.MustAct:
	default:
		faults.Add(
			at+"/raise", "a surveyor may raise a finding to attention or must_act, not to %q",
			f.Raise,
		)
	}
	form := formOf(p.Type)
	forms := []struct {
		pointer string
		form    readingForm
		given   bool
	}{
		{"/value", numberForm, f.Value != nil},
		{"/flag", flagForm, f.Flag != nil},
		{"/answer", answerForm, f.Answer != ""},
	}
	misplaced := false
	for _, x := range forms {
		if x.given && x.form != form {
			faults.Add(at+x.pointer, "%s wants %s", p.Code, expected(p))
			misplaced = true
		}
	}
	switch {
	case misplaced:
	case form == numberForm && f.Value != nil:
		checkValue(faults, at, p, f)
	case form == answerForm && f.Answer != "":
		if !slices.ContainsFunc(p.Answers, func(a catalogue.Answer) bool { return a.Name == f.Answer }) {
			faults.Add(at+"/answer", "%s wants %s", p.Code, expected(p))
		}
	case form == flagForm && f.Flag != nil:
	case f.Note == "" || form != noteForm && f.Raise == "":
		faults.Add(at+form.pointer(), "%s wants %s; without one, a note and a raise", p.Code, expected(p))
	case form == numberForm && p.Limits != nil && BadSide(p.Limits) == catalogue.Within:
		faults.Add(
			at+"/value",
			"%s can be wrong on both sides, so a raise alone does not say which; it wants %s",
			p.Code, expected(p),
		)
	}
}

// checkValue tests the number of a finding and converts it.
func checkValue(faults *domain.Faults, at string, p *catalogue.Point, f *Finding) {
	if !domain.WithinDigits(*f.Value) {
		faults.Add(
			at+"/value", "a reading has at most %d digits and %d decimals", domain.IntegerDigits,
			domain.DecimalPlaces,
		)
		return
	}
	v, err := domain.ConvertUnit(*f.Value, f.Unit, p.Unit)
	if err != nil {
		faults.Add(at+"/unit", "%s: %v", p.Code, err)
		return
	}
	whole := p.Type == catalogue.Count || p.Type == catalogue.Grade
	low, high := possibleRange(p)
	outside := low != nil && v.LessThan(*low) || high != nil && v.GreaterThan(*high)
	switch {
	case whole && !v.IsInteger(), outside && p.Type == catalogue.Grade:
		faults.Add(at+"/value", "%s wants %s, not %s", p.Code, expected(p), f.Value)
	case outside:
		faults.Add(
			at+"/value", "%s (%s) can be %s; %s is outside that range", p.Code, p.Observe,
			rangeText(low, high, p.Unit), enteredText(f, v, p.Unit),
		)
	default:
		f.Canonical = &v
	}
}

// possibleRange returns what can be a reading of the point at all. Nil ends are open: both, or the
// high one alone.
func possibleRange(p *catalogue.Point) (low, high *decimal.Decimal) {
	end := func(n int64) *decimal.Decimal { d := decimal.NewFromInt(n); return &d }
	if p.Limits != nil && p.Limits.AbsurdMin.LessThan(p.Limits.AbsurdMax) {
		return &p.Limits.AbsurdMin, &p.Limits.AbsurdMax
	}
	switch p.Type {
	case catalogue.Grade:
		return end(0), end(4)
	case catalogue.Percent:
		return end(0), end(100)
	case catalogue.Count:
		return end(0), nil
	default:
		return nil, nil
	}
}

// rangeText puts a range of readings into words; a nil high end is open.
func rangeText(low, high *decimal.Decimal, unit string) string {
	if high == nil {
		return fmt.Sprintf("%s %s and more", low, unit)
	}
	return fmt.Sprintf("%s to %s %s", low, high, unit)
}

// enteredText returns a value as it was entered, and what it comes to where that differs.
func enteredText(f *Finding, canonical decimal.Decimal, pointUnit string) string {
	if f.Unit == "" || f.Unit == pointUnit {
		return fmt.Sprintf("%s %s", f.Value, pointUnit)
	}
	return fmt.Sprintf("%s %s, that is %s %s,", f.Value, f.Unit, canonical, pointUnit)
}

// readingForm is the field of a Finding that a point's reading stands in.
type readingForm int

const (
	numberForm readingForm = iota
	flagForm
	answerForm
	noteForm
)

func formOf(t catalogue.ValueType) readingForm {
	switch t {
	case catalogue.Flag:
		return flagForm
	case catalogue.Pick:
		return answerForm
	case catalogue.Text:
		return noteForm
	default:
		return numberForm
	}
}

func (f readingForm) pointer() string {
	return [...]string{
		numberForm: "/value", flagForm: "/flag", answerForm: "/answer", noteForm: "/note",
	}[f]
}

// expected says what a reading of the point is.
func expected(p *catalogue.Point) string {
	switch p.Type {
	case catalogue.Count:
		return "a whole number of " + p.Unit
	case catalogue.Grade:
		return "a grade: " + strings.Join(gradeNames, ", ")
	case catalogue.Flag:
		return "yes or no"
	case catalogue.Pick:
		names := make([]string, len(p.Answers))
		for i, a := range p.Answers {
			names[i] = a.Name
		}
		return "one of the answers " + strings.Join(names, ", ")
	case catalogue.Text:
		return "a note"
	default:
		return "a number in " + strings.Join(domain.UnitsFor(p.Unit), " or ")
	}
}

// gradeNames are what the grades of wear mean.
var gradeNames = []string{
	"0 as new", "1 light wear", "2 plain wear", "3 serious", "4 failed or absent",
}
