package clearance

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// Look is a later look at a point that found nothing of what stops the instrument.
type Look struct {
	By   string      `json:"by,omitempty"` // who took the survey, as it says
	As   domain.Role `json:"as,omitempty"` // in which role it was entered; empty: not kept
	User uuid.UUID   `json:"user,omitzero"`
	On   domain.Date `json:"on"`
	Says string      `json:"says"`
}

// Text says who looked again, when, and what came of it.
func (l Look) Text() string {
	return fmt.Sprintf("looked at again by %s (%s) on %s: %s",
		cmp.Or(l.By, "somebody"), cmp.Or(string(l.As), "role not kept"), l.On, l.Says)
}

// look is what one survey found at a point.
type look struct {
	survey    survey.Survey
	findings  []survey.Finding
	judgement survey.Judgement
}

// looksAt returns the looks at a point in the order in which they were taken. One that the
// catalogue of today can't judge any more is left out: only who may answer for a stop changes the
// catalogue.
func (r Record) looksAt(inOrder []survey.Survey, code catalogue.PointCode) []look {
	var list []look
	for _, s := range inOrder {
		found := slices.DeleteFunc(
			slices.Clone(s.Findings), func(f survey.Finding) bool { return f.Point != code },
		)
		if len(found) == 0 {
			continue
		}
		if js, err := r.judge(found); err == nil {
			list = append(list, look{s, found, js.Of(code)})
		}
	}
	return list
}

func (r Record) judge(found []survey.Finding) (survey.Judgements, error) {
	return survey.Judge(r.Catalogue, r.Instrument.Kind, found)
}

// lifts reports whether the look was taken by somebody of a role whose own look lifts the stop.
func (l look) lifts(row catalogue.Stop) bool {
	return !slices.ContainsFunc(l.findings, func(f survey.Finding) bool {
		return !slices.Contains(row.Looks, string(f.Entered.As))
	})
}

func (l look) told() *Look {
	last := l.findings[len(l.findings)-1].Entered
	return &Look{
		By: l.survey.TakenBy, As: last.As, User: last.By, On: l.survey.TakenOn, Says: l.judgement.Text,
	}
}

// history is what the looks at a point come to for a stop.
type history struct {
	found              []look // those that found it and count, in order
	lifting, disputing *Look
}

// historyOf returns what looks at a point come to for a stop, given whether a judgement is what
// stops the instrument. What somebody found counts until somebody whose look lifts the stop has
// looked again; a look of anybody else that finds nothing disputes it. A look that is dated in the
// future, which earlier programs took, lifts nothing.
func (r Record) historyOf(
	row catalogue.Stop, looks []look, stops func(survey.Judgement) bool,
) history {
	var h history
	for _, l := range slices.Backward(looks) {
		known := l.judgement.Severity != catalogue.Unknown
		switch {
		case stops(l.judgement):
			h.found = append(h.found, l)
			if h.lifting != nil || l.lifts(row) {
				return h.inOrder()
			}
		case h.lifting != nil || !known || after(l.survey.TakenOn, r.Today):
		case !l.lifts(row):
			if h.disputing == nil && len(h.found) == 0 {
				h.disputing = l.told()
			}
		case len(h.found) > 0:
			return h.inOrder()
		default:
			h.lifting = l.told()
			h.disputing = nil
		}
	}
	if len(h.found) == 0 {
		return history{}
	}
	return h.inOrder()
}

func (h history) inOrder() history {
	slices.Reverse(h.found)
	return h
}

// stands reports whether a look that counts found what stops the instrument.
func (h history) stands() bool { return len(h.found) > 0 }

// says returns the newest finding that counts; empty where none does, or a look has lifted it.
func (h history) says() string {
	if !h.stands() || h.lifting != nil {
		return ""
	}
	return h.found[len(h.found)-1].judgement.Text
}

// findings returns what was found by the looks that count.
func (h history) findings() []survey.Finding {
	var list []survey.Finding
	for _, l := range h.found {
		list = append(list, l.findings...)
	}
	return list
}

// foundAt returns when it was entered last.
func (h history) foundAt() time.Time {
	var last time.Time
	for _, f := range h.findings() {
		if f.Entered.At.After(last) {
			last = f.Entered.At
		}
	}
	return last
}
