package domaintest

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// limits reads "accept min, accept max, must low, must high, absurd min, absurd max"; an empty end
// is open.
func limits(text string) *catalogue.Limits {
	var end [6]*decimal.Decimal
	for i, s := range strings.Split(text, ",") {
		if s = strings.TrimSpace(s); s != "" {
			end[i] = Ptr(Dec(s))
		}
	}
	return &catalogue.Limits{
		AcceptMin: end[0], AcceptMax: end[1], MustLow: end[2], MustHigh: end[3], AbsurdMin: *end[4],
		AbsurdMax: *end[5],
	}
}

var (
	// BothKinds are a grand and an upright.
	BothKinds = []catalogue.Kind{catalogue.Grand, catalogue.Upright}
	grandOnly = []catalogue.Kind{catalogue.Grand}
)

// SurveySheet returns a short survey with a point of every form. Limits of the trade dossier's
// condition survey.
func SurveySheet() *catalogue.Catalogue {
	return &catalogue.Catalogue{Points: []catalogue.Point{
		{
			Code: "SV-02", Kinds: BothKinds, Observe: "Action type", Type: catalogue.Pick,
			Answers: []catalogue.Answer{
				{Name: "roller", Severity: catalogue.Sound},
				{Name: "tied", Severity: catalogue.Attention},
				{Name: "obsolete", Severity: catalogue.MustAct},
				{Name: "not_seen", Severity: catalogue.Unknown},
			},
			AttentionIs: "slower repetition, narrower market", MustActIs: "obsolete and unserviceable",
		},
		{
			Code: "SV-03", Kinds: grandOnly, Observe: "Blow distance", Type: catalogue.Number, Unit: "mm",
			Limits:      limits("44,49,40,52,10,120"),
			AttentionIs: "50-51 mm is the usual sign of worn hammers", MustActIs: "travel out of range",
		},
		{
			Code: "SV-11", Kinds: BothKinds, Observe: "Turning torque of the rest pins",
			Type: catalogue.Number, Unit: "N.m", Limits: limits("5.6,17,3.4,25,0,40"),
			AttentionIs: "holds for now", MustActIs: "will not hold",
		},
		{
			Code: "SV-13", Kinds: BothKinds, Observe: "Diameter of the rest pins", Type: catalogue.Number,
			Unit: "mm", Limits: limits("6.8,7.2,6.5,7.4,5,10"),
			AttentionIs: "probably restrung before without a new plank", MustActIs: "no size left",
		},
		{
			Code: "SV-15", Kinds: BothKinds, Observe: "Rest plank", Type: catalogue.Grade,
			Unit: "grade 0-4", Limits: limits("0,1,,3,0,4"),
			MustActIs: "delaminated or cracked through",
		},
		{
			Code: "SV-17", Kinds: BothKinds, Observe: "Broken strings", Type: catalogue.Count,
			Unit: "strings", Limits: limits("0,2,,8,0,240"),
		},
		{
			Code: "SV-29", Kinds: BothKinds, Observe: "Frame cracks", Type: catalogue.Flag,
			HardStop: true, FlagSeverity: catalogue.MustAct, MustActIs: "stop and get a specialist",
		},
		{Code: "SV-45", Kinds: BothKinds, Observe: "Key leads swelling", Type: catalogue.Flag},
		{Code: "SV-60", Kinds: BothKinds, Observe: "Date evidence", Type: catalogue.Text},
	}}
}

// Number returns a finding with a value in a unit.
func Number(point, value, unit string) survey.Finding {
	return survey.Finding{Point: catalogue.PointCode(point), Value: Ptr(Dec(value)), Unit: unit}
}

// Flag returns a finding that something is so, or that it isn't.
func Flag(point string, raised bool) survey.Finding {
	return survey.Finding{Point: catalogue.PointCode(point), Flag: Ptr(raised)}
}

// Answer returns a finding that picks one of a point's answers.
func Answer(point, name string) survey.Finding {
	return survey.Finding{Point: catalogue.PointCode(point), Answer: name}
}

// plainHours returns hours of one hour a piece for both kinds, at ten units of the driver.
func plainHours() map[catalogue.Kind]catalogue.Hours {
	h := catalogue.Hours{
		Baseline: Dec("10"), Setup: Dec("1"), Rate: Dec("0.1"), Low: Dec("1"), High: Dec("4"),
	}
	return map[catalogue.Kind]catalogue.Hours{catalogue.Grand: h, catalogue.Upright: h}
}

// Operation returns a bare operation, with the marks of the shipped one of its code.
func Operation(code, name string) catalogue.Operation {
	op := catalogue.Operation{
		Code: catalogue.Code(code), Name: name, Skill: "belly", Driver: "job " +
			code, Hours: plainHours(), Crew: 1, Making: catalogue.InHouse,
	}
	if c, err := catalogue.Shipped(); err == nil && c.Operation(op.Code) != nil {
		op.Marks = c.Operation(op.Code).Marks
	}
	return op
}

// Odds are even between sound and not, and then between attention and must act.
var Odds = domain.OddsFromChance(Dec("0.5"))

// Add returns an edit that adds an operation.
func Add(code string) scope.Edit {
	return scope.Edit{Kind: scope.AddOperation, Operation: catalogue.Code(code)}
}

// Choose returns an edit that takes an option of a choice.
func Choose(group, option string) scope.Edit {
	return scope.Edit{Kind: scope.TakeOption, Group: group, Option: option}
}

// Exclusive reports whether two operations stand in one choice and no option of it admits both.
func Exclusive(c *catalogue.Catalogue, a, b catalogue.Code) bool {
	for _, choice := range c.Choices {
		inA, inB, together := false, false, false
		for _, o := range choice.Options {
			x, y := slices.Contains(o.Admits(), a), slices.Contains(o.Admits(), b)
			inA, inB, together = inA || x, inB || y, together || x && y
		}
		if inA && inB && !together {
			return true
		}
	}
	return false
}

// The trade facts in this file are common practice, no source, unless said.

// Shipped returns the catalogue that ships with the program.
func Shipped(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// SoundSurvey returns a finding for each point of the kind, nothing wrong anywhere, with the given
// ones in the place of their points.
func SoundSurvey(
	c *catalogue.Catalogue, kind catalogue.Kind, given ...survey.Finding,
) []survey.Finding {
	var all []survey.Finding
	for i := range c.Points {
		p := &c.Points[i]
		if !slices.Contains(p.Kinds, kind) ||
			slices.ContainsFunc(given, func(f survey.Finding) bool { return f.Point == p.Code }) {
			continue
		}
		all = append(all, SoundFinding(p))
	}
	return append(all, given...)
}

// SoundFinding returns a finding of a point with nothing wrong.
func SoundFinding(p *catalogue.Point) survey.Finding {
	f := survey.Finding{Point: p.Code}
	switch p.Type {
	case catalogue.Flag:
		f.Flag = Ptr(false)
	case catalogue.Pick:
		i := slices.IndexFunc(
			p.Answers, func(a catalogue.Answer) bool { return a.Severity == catalogue.Sound },
		)
		f.Answer = p.Answers[i].Name
	case catalogue.Text:
		f.Note = "recorded"
	default:
		low, high := p.Limits.AbsurdMin, p.Limits.AbsurdMax
		if p.Limits.AcceptMin != nil {
			low = *p.Limits.AcceptMin
		}
		if p.Limits.AcceptMax != nil {
			high = *p.Limits.AcceptMax
		}
		f.Value = Ptr(low.Add(high).Div(Dec("2")).Floor())
		if f.Value.LessThan(low) || p.Code == "SV-01" { // a full compass
			f.Value = &high
		}
	}
	return f
}

// Grand returns a black stock grand of 1.85 m, the baseline instrument.
func Grand() instrument.Instrument {
	return instrument.Instrument{
		Kind: catalogue.Grand, SizeMM: 1850, Notes: 88, Owner: instrument.Stock, Colour: "black",
		Finish: "polyester",
	}
}

// ScopeOf draws the scope of an instrument from the shipped catalogue, all points sound but the
// given findings.
func ScopeOf(
	t testing.TB, in instrument.Instrument, depth catalogue.Depth, findings []survey.Finding,
	edits ...scope.Edit,
) scope.Scope {
	t.Helper()
	c := Shipped(t)
	s, err := scope.Draw(c, in, Judged(t, c, in, findings), depth, edits, Odds)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Judged returns the judgements of findings, which must be in order.
func Judged(
	t testing.TB, c *catalogue.Catalogue, in instrument.Instrument, findings []survey.Finding,
) survey.Judgements {
	t.Helper()
	js, err := survey.Judge(c, in.Kind, SoundSurvey(c, in.Kind, findings...))
	if err != nil {
		t.Fatal(err)
	}
	return js
}

// Consumed returns how much of a material an operation uses up; nothing where it uses none.
func Consumed(
	t testing.TB, in instrument.Instrument, s scope.Scope, findings []survey.Finding, code,
	material string,
) decimal.Decimal {
	t.Helper()
	c := Shipped(t)
	for _, m := range scope.ConsumptionOf(c, in, Judged(t, c, in, findings), s) {
		if m.Operation == catalogue.Code(code) && strings.HasPrefix(m.Name, material) {
			return m.Quantity
		}
	}
	return decimal.Zero
}
