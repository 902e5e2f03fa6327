package instrument

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// counted are the drivers that a point of the survey counts, by the point's mark.
var counted = map[string]catalogue.Mark{
	"string replaced":             catalogue.BrokenStringsMark,
	"metre of crack":              catalogue.BoardCracksMark,
	"rib":                         catalogue.LooseRibsMark,
	"piece replaced":              catalogue.UnsoundCoveringsMark,
	"m2 of veneer laid or relaid": catalogue.UnsoundVeneerMark,
}

// formulaOf returns how a driver follows from the instrument's compass, stringing and size; nil
// where it does not.
func formulaOf(driver string) func(*measured) Quantity {
	switch driver {
	case "instrument":
		return (*measured).instrument
	case "note", "key", "hammer", "centre":
		return (*measured).notes
	case "roller":
		return (*measured).rollers
	case "natural":
		return (*measured).naturals
	case "sharp":
		return (*measured).sharps
	case keyBushings:
		return (*measured).bushings
	case stringDriver:
		return (*measured).strings
	case plainDriver:
		return (*measured).plainStrings
	case coveredDriver:
		return (*measured).coveredStrings
	case restPinDriver, "pin treated", bushingDriver:
		return (*measured).pins
	case bridgePinDriver:
		return (*measured).bridgePins
	case hitchPins:
		return (*measured).hitches
	case wirePieces:
		return (*measured).pieces
	case wireKgDriver:
		return (*measured).wireKg
	case "m2 of case":
		return (*measured).caseArea
	case "m2 of board":
		return (*measured).boardArea
	case "m2 of frame":
		return (*measured).frameArea
	case InstrumentKg:
		return (*measured).weight
	case FrameKg:
		return (*measured).frameWeight
	}
	return nil
}

// furtherDrivers are what a take-off tells in addition to what operations and materials scale with.
var furtherDrivers = []string{
	bridgePinDriver, bushingDriver, hitchPins, wirePieces, wireKgDriver, "roller", keyBushings,
	InstrumentKg, FrameKg,
}

func (m *measured) instrument() Quantity {
	return Quantity{Value: domain.One, Basis: Known, Formula: "one instrument"}
}

// fullCompass is the compass of the baseline instruments, A0 to C8.
const fullCompass = 88

// compass returns the number of notes and how it is known: what was counted goes before what is on
// record.
func (m *measured) compass() (int, Basis, string) {
	if j := m.judgements.Marked(m.c, catalogue.KeysMark); j.Worst != nil && j.Worst.IsPositive() {
		n := int(j.Worst.IntPart())
		return n, Known, fmt.Sprintf("%d keys counted at %s", n, j.Point)
	}
	if m.in.Notes > 0 {
		return m.in.Notes, Known, fmt.Sprintf("%d notes on record", m.in.Notes)
	}
	return fullCompass, Assumed, fmt.Sprintf("notes not counted; %d assumed", fullCompass)
}

// notes: one hammer, shank, flange, whippen and key to a note.
func (m *measured) notes() Quantity {
	n, basis, says := m.compass()
	return Quantity{Value: decimal.NewFromInt(int64(n)), Basis: basis, Formula: says}
}

// naturals counts the white keys from A0 up: 52 of 88, 50 of 85.
func (m *measured) naturals() Quantity { return m.keysWhere(true, "naturals") }

// sharps counts the black keys from A0 up: 36 of 88, 35 of 85.
func (m *measured) sharps() Quantity { return m.keysWhere(false, "sharps") }

func (m *measured) keysWhere(natural bool, name string) Quantity {
	n, basis, says := m.compass()
	count := int64(0)
	for key := range n {
		if naturalFromA[key%12] == natural {
			count++
		}
	}
	if basis == Known {
		basis = Computed
	}
	return Quantity{
		Value: decimal.NewFromInt(count), Basis: basis,
		Formula: fmt.Sprintf("%s of %s, from A0 up", name, says),
	}
}

// naturalFromA tells the naturals of an octave that starts at A.
var naturalFromA = [12]bool{0: true, 2: true, 3: true, 5: true, 7: true, 8: true, 10: true}

// stringing returns the instrument's stringing where it was counted and makes sense.
func (m *measured) stringing() (s Stringing, notes int, ok bool) {
	notes, _, _ = m.compass()
	if m.in.Stringing == nil {
		return Stringing{}, notes, false
	}
	s = *m.in.Stringing
	return s, notes, s.LastSingle >= 0 && s.LastSingle <= s.LastPair && s.LastPair <= notes
}

// strings counts the strings from the two changes, singles to pairs and pairs to threes: s + 2 (p −
// s) + 3 (N − p). One rest pin, one hole and one tuning operation to a string.
func (m *measured) strings() Quantity {
	s, notes, ok := m.stringing()
	if all, _, whole := m.in.scaleStrings(); whole && !ok {
		return Quantity{
			Value: decimal.NewFromInt(int64(all)), Basis: Known,
			Formula: fmt.Sprintf("%d strings of the scale", all),
		}
	}
	if !ok {
		return m.withoutTopNotes("string", 3)
	}
	return Quantity{
		Value: decimal.NewFromInt(int64(s.Strings(notes))), Basis: Computed,
		Formula: fmt.Sprintf(
			"%d singles + 2 × %d pairs + 3 × %d threes", s.LastSingle, s.LastPair-s.LastSingle,
			notes-s.LastPair,
		),
	}
}

// coveredStrings returns the overspun strings as counted.
func (m *measured) coveredStrings() Quantity {
	if s, _, ok := m.stringing(); ok && s.Covered > 0 {
		return Quantity{
			Value: decimal.NewFromInt(int64(s.Covered)), Basis: Known,
			Formula: fmt.Sprintf("%d covered strings", s.Covered),
		}
	}
	if _, covered, whole := m.in.scaleStrings(); whole {
		return Quantity{
			Value: decimal.NewFromInt(int64(covered)), Basis: Known,
			Formula: fmt.Sprintf("%d covered strings of the scale", covered),
		}
	}
	return m.withoutTopNotes("covered string", 0)
}

// plainStrings returns the strings that are not covered; nothing where one of the two isn't known.
func (m *measured) plainStrings() Quantity {
	all, covered := m.of(stringDriver), m.of(coveredDriver)
	if all.Basis == "" || covered.Basis == "" {
		return Quantity{}
	}
	plain := all.Value.Sub(covered.Value)
	basis := Computed
	if all.Basis == Assumed || covered.Basis == Assumed || plain.IsNegative() {
		basis = Assumed
	}
	return Quantity{
		Value: decimal.Max(plain, decimal.Zero), Basis: basis,
		Formula: fmt.Sprintf("%s strings less %s covered", all.Value, covered.Value),
	}
}

// withoutTopNotes returns the baseline quantity less so many for each note that the instrument
// lacks at the top.
func (m *measured) withoutTopNotes(driver string, perNote int64) Quantity {
	notes, _, _ := m.compass()
	q, ok := m.assumed(driver)
	missing := int64(fullCompass - notes)
	if !ok || missing <= 0 || perNote == 0 {
		return q
	}
	q.Value = decimal.Max(q.Value.Sub(decimal.NewFromInt(perNote*missing)), decimal.Zero)
	q.Formula += fmt.Sprintf(
		", less %d for each of the %d notes of the full compass that this one lacks", perNote,
		missing,
	)
	return q
}

// The areas follow a geometric model that is good to 15 % (from memory): a case of width 1.48 m,
// plan area 0.73 L W, a board of 0.60 × 0.82 W L, frame paint of 0.58 W L.
var (
	caseWidth  = decimal.RequireFromString("1.48")
	boardShare = decimal.RequireFromString("0.492")
	frameShare = decimal.RequireFromString("0.58")
	grandCase  = [2]decimal.Decimal{
		decimal.RequireFromString("3.6"), decimal.RequireFromString("3.28"),
	}
	uprightCase = [2]decimal.Decimal{
		decimal.RequireFromString("2.3"), decimal.RequireFromString("3.0"),
	}
	metrePerMilli = decimal.New(1, -3)
)

// caseArea returns the finished area of the case in m²: 3.6 + 3.28 L for a grand, 2.3 + 3.0 H for
// an upright.
func (m *measured) caseArea() Quantity {
	if m.in.SizeMM <= 0 {
		q, _ := m.assumed("m2 of case")
		return q
	}
	model, letter := grandCase, "L"
	if m.in.Kind == catalogue.Upright {
		model, letter = uprightCase, "H"
	}
	size := m.size()
	return Quantity{
		Value: model[0].Add(model[1].Mul(size)).Round(2), Basis: Computed,
		Formula: fmt.Sprintf("%s + %s %s m², %s = %s m", model[0], model[1], letter, letter, size),
	}
}

func (m *measured) boardArea() Quantity { return m.areaOfGrand("m2 of board", boardShare) }

func (m *measured) frameArea() Quantity { return m.areaOfGrand("m2 of frame", frameShare) }

// areaOfGrand returns share × W × L; of an upright only the baseline is known.
func (m *measured) areaOfGrand(driver string, share decimal.Decimal) Quantity {
	if m.in.SizeMM <= 0 || m.in.Kind != catalogue.Grand {
		q, _ := m.assumed(driver)
		return q
	}
	size := m.size()
	return Quantity{
		Value: share.Mul(caseWidth).Mul(size).Round(2), Basis: Computed,
		Formula: fmt.Sprintf("%s × %s m × L m², L = %s m", share, caseWidth, size),
	}
}

// size returns the length or height in metres.
func (m *measured) size() decimal.Decimal {
	return decimal.NewFromInt(int64(m.in.SizeMM)).Mul(metrePerMilli)
}

// withWhy adds to a formula in words why it holds, where there is something to say.
func withWhy(says, why string) string {
	if why == "" {
		return says
	}
	return says + ": " + why
}
