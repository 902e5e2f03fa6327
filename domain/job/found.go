package job

import (
	"maps"
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// joined reports whether the job's work came in with a workshop that joined: no survey called for
// it, so it can't be compared with what one calls for.
func (j Job) joined() bool {
	return slices.ContainsFunc(j.Tasks, func(t Task) bool {
		return t.Line != nil && slices.ContainsFunc(t.Line.Reasons, func(r scope.Reason) bool {
			return r.Rule == joinRule
		})
	})
}

// held returns the job's work as it stands, done or not.
func (j Job) held(c *catalogue.Catalogue) scope.Held {
	h := scope.Held{Depth: j.Depth, Settled: maps.Clone(j.Settled)}
	for _, t := range j.Tasks {
		if !t.Dropped {
			h.Operations = append(h.Operations, t.Operation)
		}
	}
	maps.Copy(h.Settled, scope.OptionsOf(c, h.Operations))
	for _, e := range j.Edits {
		switch e.Kind {
		case scope.AddOperation, scope.TakeOption, scope.TakeSuggestion:
			// the job holds what came of them
		case scope.RemoveOperation:
			if e.By != "" && !slices.Contains(h.Operations, e.Operation) {
				h.Edits = append(h.Edits, e)
			}
		default:
			h.Edits = append(h.Edits, e)
		}
	}
	return h
}

// calledFor returns the job's work with what new findings and edits call for beyond it.
func (j Job) calledFor(
	c *catalogue.Catalogue, in instrument.Instrument, g Grounds, edits []scope.Edit,
	depth catalogue.Depth,
) (scope.Scope, error) {
	news := scope.News{Edits: edits, Depth: depth}
	var err error
	if news.Before, err = survey.Judge(c, in.Kind, g.Before); err != nil {
		return scope.Scope{}, err
	}
	if news.After, err = survey.Judge(c, in.Kind, g.After); err != nil {
		return scope.Scope{}, err
	}
	for _, f := range g.After {
		if f.ID != uuid.Nil && slices.Contains(g.New, f.ID) {
			news.Fresh = append(news.Fresh, f.Point)
		}
	}
	return scope.CalledFor(c, in, j.held(c), news)
}

// addTo sets what the work called for does to a job that holds part of it.
func (ch *Change) addTo(c *catalogue.Catalogue, j Job, called []scope.Line) {
	for i := range c.Operations {
		code := c.Operations[i].Code
		is, t := lineFor(called, code), j.Task(code)
		switch held := t != nil && !t.Dropped; {
		case is != nil && !held:
			ch.Added = append(ch.Added, *is)
		case !held:
		case is == nil && t.FinishedAt != nil:
			ch.Kept = append(ch.Kept, code)
		case is == nil && t.Line != nil:
			ch.Removed = append(ch.Removed, t.remainingLine())
		case t.FinishedAt == nil && t.Line != nil:
			if now := withFigures(*t.Line, *is, ch.Edits); !sameWork(*t.Line, now) {
				ch.Changed = append(ch.Changed, LineChange{Before: *t.Line, After: now})
			}
		}
	}
}

// withFigures returns a job's line with the figures that edits give it, worked out in edited.
func withFigures(l, edited scope.Line, edits []scope.Edit) scope.Line {
	for _, e := range edits {
		if e.Operation != l.Operation {
			continue
		}
		switch e.Kind {
		case scope.SetQuantity:
			l.Quantity, l.Basis, l.Formula = edited.Quantity, edited.Basis, edited.Formula
			l.Hours, l.Sessions, l.Edited = edited.Hours, edited.Sessions, true
		case scope.SetHours:
			l.Hours, l.Edited = edited.Hours, true
		case scope.SetMaking:
			if l.Making != edited.Making {
				l.Making, l.Hours, l.Edited = edited.Making, edited.Hours, true
			}
		default:
		}
	}
	return l
}

// lineFor returns the line of an operation, or nil where there is none.
func lineFor(lines []scope.Line, code catalogue.Code) *scope.Line {
	i := slices.IndexFunc(lines, func(l scope.Line) bool { return l.Operation == code })
	if i < 0 {
		return nil
	}
	return &lines[i]
}
