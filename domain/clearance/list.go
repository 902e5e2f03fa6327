package clearance

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
)

// List is what stops an instrument.
type List []Stop

// Barred returns the acts that the stop bars as things stand; none once it is lifted. Of a repair
// that is only planned, moving stays barred: the instrument is fetched before it is mended.
func (s Stop) Barred() []catalogue.Act {
	switch {
	case s.Lifted():
		return nil
	case s.Repaired:
		return slices.DeleteFunc(
			slices.Clone(s.Acts), func(a catalogue.Act) bool { return a != catalogue.ToMove },
		)
	}
	return s.Acts
}

// Bars reports whether the stop bars one of the acts as things stand.
func (s Stop) Bars(acts ...catalogue.Act) bool { return anyOf(s.Barred(), acts) }

// anyOf reports whether one of the acts is among those barred.
func anyOf(barred, acts []catalogue.Act) bool {
	return slices.ContainsFunc(barred, func(a catalogue.Act) bool { return slices.Contains(acts, a) })
}

// Lifted reports whether a clearance, a later look or a finished repair has lifted the stop.
func (s Stop) Lifted() bool { return s.Clearance != nil || s.Lifting != nil || s.Mended }

// In returns the stops for a scope of the instrument: those whose repair it plans bar nothing but
// moving.
func (l List) In(s scope.Scope) List {
	list := slices.Clone(l)
	for i := range list {
		list[i].Repaired = RepairPlanned(list[i].Stop, s)
	}
	return list
}

// After returns the stops after some work on the instrument, given whether an operation was done
// since a time: those whose repair was done since they were found are lifted.
func (l List) After(done func(code catalogue.Code, since time.Time) bool) List {
	list := slices.Clone(l)
	for i := range list {
		s := &list[i]
		s.Mended = repairIs(s.Stop, func(code catalogue.Code) bool { return done(code, s.FoundAt) })
	}
	return list
}

// RepairPlanned reports whether a scope plans all the work that mends what stops an instrument.
func RepairPlanned(x catalogue.Stop, s scope.Scope) bool {
	return repairIs(x, func(code catalogue.Code) bool { return planned(s, code) })
}

// repairIs reports whether there is work that mends what stops an instrument, and all of it is so.
func repairIs(x catalogue.Stop, so func(catalogue.Code) bool) bool {
	return len(x.Repair) > 0 &&
		!slices.ContainsFunc(x.Repair, func(code catalogue.Code) bool { return !so(code) })
}

func planned(s scope.Scope, code catalogue.Code) bool {
	return slices.ContainsFunc(
		s.Lines, func(l scope.Line) bool { return l.Operation == code && l.Planned() },
	)
}

// AsDonor returns the stops for buying the instrument to break it up for its parts.
func (l List) AsDonor() List {
	return slices.DeleteFunc(slices.Clone(l), func(s Stop) bool { return s.Donor })
}

// Barring returns the stops that bar one of the acts.
func (l List) Barring(acts ...catalogue.Act) List {
	return slices.DeleteFunc(slices.Clone(l), func(s Stop) bool { return !s.Bars(acts...) })
}

// At returns the stops at some points of the survey that still bar something.
func (l List) At(points []catalogue.PointCode) List {
	return slices.DeleteFunc(slices.Clone(l), func(s Stop) bool {
		return len(s.Barred()) == 0 || !slices.Contains(points, s.Point)
	})
}

// Permit returns a Conflict Fault with every stop that bars one of the acts, or nil. What can't be
// done is said in words: "the work can't be accepted".
func (l List) Permit(refusal string, acts ...catalogue.Act) error {
	barring := l.Barring(acts...)
	if len(barring) == 0 {
		return nil
	}
	f := domain.Refuse(domain.Conflict, "%s before what stops it is cleared", refusal)
	for _, s := range barring {
		f.Chain = append(f.Chain, s.Text())
	}
	return f
}

// deeds are the acts as the text of a stop names them.
var deeds = map[catalogue.Act]string{
	catalogue.ToBuy: "buying it", catalogue.ToOffer: "offering it", catalogue.ToSell: "selling it",
	catalogue.ToMove: "moving it", catalogue.ToWork: "work on it",
}

// Text says what stops the instrument, what that bars and what lifts it.
func (s Stop) Text() string {
	var b strings.Builder
	b.WriteString(s.Says)
	b.WriteString(s.restsOn())
	if l := s.Lapsed; l != nil {
		fmt.Fprintf(&b, "; the clearance of %s lapsed: %s", l.Clearance.On, l.Why)
	}
	switch {
	case s.Lifting != nil:
		fmt.Fprintf(&b, "; %s. That counts as his word", s.Lifting.Text())
	case s.Disputing != nil:
		fmt.Fprintf(&b, "; %s. That lifts nothing: a look of %s would", s.Disputing.Text(),
			strings.Join(s.Looks, " or "))
	}
	b.WriteString(s.bars())
	return b.String()
}

// restsOn says what the stop rests on: what was found, or else what is on record of the instrument.
func (s Stop) restsOn() string {
	if record := s.RestsOnRecord(); record != "" {
		return "; it rests on " + record
	}
	return s.found()
}

// found quotes what was found; empty where nobody looked.
func (s Stop) found() string {
	if s.Finding.Severity == catalogue.Unknown {
		return ""
	}
	return fmt.Sprintf(" (%s %s)", s.Point, s.Finding.Text)
}

// RestsOnRecord says what of the record of the instrument the stop rests on and, where that is what
// lifts it or nothing that was found agrees with it, how it is put right, since no look at the
// piano changes the record. Empty where the stop rests on what was found alone.
func (s Stop) RestsOnRecord() string {
	if s.OnRecord == "" {
		return ""
	}
	record := "the instrument's record, whose covering is " + s.OnRecord
	const amend = "amend the covering in the record if the keys have another by now"
	switch {
	case s.AlsoFound != "" && s.Relief == catalogue.ByChange:
		return fmt.Sprintf("%s, and on what was found (%s %s): %s, and have them looked at by %s", record,
			s.Point, s.AlsoFound, amend, strings.Join(s.Looks, " or "))
	case s.AlsoFound != "":
		return fmt.Sprintf("%s, and on what was found (%s %s)", record, s.Point, s.AlsoFound)
	case s.found() != "":
		return record + ", and not on what was found" + s.found() + ": " + amend
	}
	return record + ": " + amend
}

// Freed returns the stops that bar something and no longer do in another list for the instrument.
func (l List) Freed(after List) List {
	return slices.DeleteFunc(slices.Clone(l), func(s Stop) bool {
		return len(s.Barred()) == 0 || slices.ContainsFunc(after, func(x Stop) bool {
			return x.Point == s.Point && len(x.Barred()) > 0
		})
	})
}

// MayFree returns a Forbidden Fault where a change of what is on record would free what stops the
// instrument, unless the role is one whose own look would.
func (l List) MayFree(after List, role domain.Role) error {
	for _, s := range l.Freed(after) {
		if !slices.Contains(s.Looks, string(role)) {
			return domain.Refuse(domain.Forbidden,
				"%s stops the instrument (%s), and the change would free it: %s may make it, not the role %s",
				s.ID, s.Says, strings.Join(s.Looks, " or "), role)
		}
	}
	return nil
}

// Brief says what stops the instrument, what that bars and what lifts it, without the finding and
// what was cleared before.
func (s Stop) Brief() string { return s.Says + s.bars() }

// bars says what the stop bars and what lifts it; nothing where it bars nothing any more.
func (s Stop) bars() string {
	var words []string
	for _, a := range s.Barred() {
		if a != catalogue.ToBuy || s.Owner != instrument.Stock {
			words = append(words, deeds[a])
		}
	}
	if len(words) == 0 {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "; this bars %s until %s", strings.Join(words, ", "), s.Until)
	if len(s.Repair) > 0 {
		codes := make([]string, len(s.Repair))
		for i, c := range s.Repair {
			codes[i] = string(c)
		}
		b.WriteString(s.orRepair(strings.Join(codes, " and ")))
	}
	if s.Law && s.Country == "" {
		b.WriteString(" (nobody has said in which country it stands)")
	}
	if s.Law {
		b.WriteString(". Ask the authority where you are")
	}
	return b.String()
}

// orRepair says what the repair lifts, planned or done.
func (s Stop) orRepair(repair string) string {
	switch moving := slices.Contains(s.Acts, catalogue.ToMove); {
	case s.Repaired:
		return ", or " + repair + " is done"
	case moving:
		return ", or while the scope holds " + repair + " (moving it: once that is done)"
	}
	return ", or while the scope holds " + repair
}
