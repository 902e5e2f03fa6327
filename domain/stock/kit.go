package stock

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Kit is a set of parts that are issued together, such as the screws, felts and glue of an action.
// It may be changed at any time: what was issued by it are moves of its parts, which stay.
type Kit struct {
	ID    uuid.UUID
	Name  string // the workshop's own, unique
	Lines []KitLine
	Note  string
}

// KitLine is how much of a part a kit holds.
type KitLine struct {
	Part     uuid.UUID       `json:"part"`
	Quantity decimal.Decimal `json:"quantity"` // in Unit, which is one of the part's two
	Unit     string          `json:"unit"`
}

// Limits of a kit.
const (
	maxKitLines = 100
	maxTimes    = 1_000
)

// Checked returns a kit with the units that it left out, or an Invalid Fault with everything wrong
// in it. Parts are those of its parts that there are.
func (k Kit) Checked(parts map[uuid.UUID]Part) (Kit, error) {
	var f domain.Faults
	checkText(&f, "#/name", k.Name, domain.MaxName)
	f.CheckLength("#/note", k.Note, domain.MaxText)
	if n := len(k.Lines); n == 0 || n > maxKitLines {
		f.Add("#/lines", "must be 1 to %d parts", maxKitLines)
	}
	lines := make([]KitLine, len(k.Lines))
	first := map[uuid.UUID]int{}
	for i, l := range k.Lines {
		at := fmt.Sprintf("#/lines/%d", i)
		part, there := parts[l.Part]
		if earlier, twice := first[l.Part]; twice {
			f.Add(at+"/part", "must be in the kit once; it is line %d too", earlier+1)
		} else if !there {
			f.Add(at+"/part", "no part found with this id")
		} else if _, err := part.Units(l.Quantity, l.Unit); err != nil {
			f = append(f, faultsAt(at, err)...)
		}
		first[l.Part] = i
		if l.Unit == "" {
			l.Unit = part.Unit
		}
		lines[i] = l
	}
	k.Lines = lines
	return k, f.Err()
}

// KitIssue is that a kit goes to a job, some times over.
type KitIssue struct {
	Kit       uuid.UUID
	Times     int
	On        domain.Date // zero: today
	Job       uuid.UUID
	Operation catalogue.Code
	Note      string
}

// Drafts returns the issues that a kit is issued by, one for each line, without ids. Each names the
// kit as its reference.
func (x KitIssue) Drafts(k Kit) ([]Draft, error) {
	var f domain.Faults
	if x.Times < 1 || x.Times > maxTimes {
		f.Add("#/times", "must be 1 to %d, not %d", maxTimes, x.Times)
	}
	if x.Job == uuid.Nil {
		f.Add("#/job", "must name the job that the kit is for")
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	drafts := make([]Draft, len(k.Lines))
	for i, l := range k.Lines {
		quantity := l.Quantity.Mul(decimal.NewFromInt(int64(x.Times)))
		drafts[i] = Draft{
			Part: l.Part, Kind: Issue, Quantity: &quantity, Unit: l.Unit, On: x.On, Job: x.Job,
			Operation: x.Operation, Reference: k.Name, Note: x.Note,
		}
	}
	return drafts, nil
}

// lacks returns what an issue wants beyond what is there, on its day and since, in units of stock,
// and what is there.
func (b Before) lacks(d Draft) (lacking, there decimal.Decimal) {
	wanted, err := b.Part.Units(*d.Quantity, d.Unit)
	if err != nil {
		return decimal.Zero, decimal.Zero // which is for Decide to say
	}
	there = decimal.Max(decimal.Min(b.Stock.Quantity(), b.LeastHeld), decimal.Zero)
	return wanted.Sub(there), there
}

// DecideAll returns the moves that some issues ask for, each of another part, or refuses all of
// them. Where parts are short, it is a Conflict Fault that names each with what is lacking.
func DecideAll(befores []Before, drafts []Draft) ([]Move, error) {
	moves := make([]Move, len(drafts))
	var short []string
	for i, d := range drafts {
		b := befores[i]
		m, _, err := Decide(b, d)
		lacking, there := b.lacks(d)
		var f *domain.Fault
		switch {
		case err == nil:
			moves[i] = m
		case !errors.As(err, &f) || !isOfLine(f):
			return nil, err
		case f.Kind == domain.Conflict && lacking.IsPositive():
			short = append(short, fmt.Sprintf("%s lacks %s %s, of which %s are there",
				b.Part.Code, lacking, b.Part.Unit, there))
		default:
			return nil, domain.Refuse(domain.Conflict,
				"line %d of the kit, of %s, can't be issued; change the kit: %s", i+1, b.Part.Code, f.Text())
		}
	}
	if len(short) == 0 {
		return moves, nil
	}
	fault := domain.Refuse(domain.Conflict, "nothing was issued: %s", strings.Join(short, "; "))
	for _, s := range short {
		fault.Fields = append(fault.Fields, domain.FieldFault{Pointer: "#/times", Detail: s})
	}
	return nil, fault
}

// isOfLine reports whether a refusal is about the line of a kit and not about where it goes.
func isOfLine(f *domain.Fault) bool {
	return len(f.Fields) > 0 && !slices.ContainsFunc(f.Fields, func(x domain.FieldFault) bool {
		return x.Pointer != "#/quantity" && x.Pointer != "#/unit"
	})
}

// faultsAt returns the field faults of a check of a part of the request, which begins at a pointer.
func faultsAt(at string, err error) domain.Faults {
	var f *domain.Fault
	if !errors.As(domain.PrefixPointers(err, at), &f) {
		return nil
	}
	return f.Fields
}
