package instrument

import (
	"fmt"
	"slices"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/stringing"

	"github.com/shopspring/decimal"
)

// ScaleNote is the strings of one note as they were measured. Lengths and diameters are in
// millimetres.
type ScaleNote struct {
	Note      int              `json:"note"` // 1: A0
	Strings   int              `json:"strings"`
	Wound     bool             `json:"wound,omitempty"`      // covered with copper
	LengthMM  decimal.Decimal  `json:"length_mm"`            // speaking length
	CoreMM    decimal.Decimal  `json:"core_mm"`              // of the plain wire, or of the core
	Gauge     *decimal.Decimal `json:"gauge,omitempty"`      // as it was told, a label; nil: only measured
	OverallMM decimal.Decimal  `json:"overall_mm,omitempty"` // of a covered string; 0: plain
	Section   string           `json:"section,omitempty"`    // the part of the frame
}

// physical returns the note for package stringing.
func (n ScaleNote) physical() stringing.Note {
	return stringing.Note{
		Number: n.Note, Strings: n.Strings, LengthMM: n.LengthMM.InexactFloat64(),
		CoreMM:    n.CoreMM.InexactFloat64(),
		OverallMM: n.OverallMM.InexactFloat64(), Section: n.Section,
	}
}

// gaugeTolerance is how far a measured diameter may lie from the number that it is told under: a
// whole number, since makers numbered differently and old wire is under nominal (common practice,
// no source).
const gaugeTolerance = 1

// FillGauges gives each row of a scale that names only a gauge the diameter of the inch series.
// Rows with neither keep none, which CheckScale tells.
func FillGauges(scale []ScaleNote) []ScaleNote {
	filled := append([]ScaleNote(nil), scale...)
	for i := range filled {
		n := &filled[i]
		if n.Gauge == nil || !n.CoreMM.IsZero() || !domain.WithinDigits(*n.Gauge) {
			continue
		}
		if g := stringing.Gauge(n.Gauge.InexactFloat64()); g.Valid() {
			n.CoreMM = decimal.NewFromFloat(g.MM()).Round(domain.DecimalPlaces)
		}
	}
	return filled
}

// scaleFields are the fields of a row in the words of package stringing.
var scaleFields = map[string]string{
	"number": "note", "strings": "strings", "length": "length_mm", "core": "core_mm",
	"overall": "overall_mm",
}

// CheckScale returns an Invalid Fault with everything that cannot be true of the instrument's
// scale, all rows at once; pointers lie under #/notes. Nil where it can stand.
func (i Instrument) CheckScale() error {
	rows := make([]domain.Faults, len(i.Scale))
	physical, stored := make(stringing.Scale, len(i.Scale)), true
	for n, row := range i.Scale {
		if !domain.WithinDigits(row.LengthMM) || !domain.WithinDigits(row.CoreMM) ||
			!domain.WithinDigits(row.OverallMM) {
			rows[n].Add(
				rowPointer(n, ""), "a measurement has at most %d digits and %d decimals",
				domain.IntegerDigits, domain.DecimalPlaces,
			)
			stored = false
			continue
		}
		physical[n] = row.physical()
		i.checkScaleRow(&rows[n], n, row)
	}
	if stored {
		for _, x := range physical.Faults(stringing.ConcertPitch) {
			rows[x.Row].Add(rowPointer(x.Row, scaleFields[x.Field]), "%s", x.Says)
		}
	}
	f := slices.Concat(rows...)
	i.checkScaleCounts(&f)
	return f.Err()
}

func rowPointer(row int, field string) string {
	if field == "" {
		return fmt.Sprintf("#/notes/%d", row)
	}
	return fmt.Sprintf("#/notes/%d/%s", row, field)
}

// checkScaleRow tests what package stringing does not know of: the compass, the label of the wire,
// and whether the string is said to be covered.
func (i Instrument) checkScaleRow(f *domain.Faults, n int, row ScaleNote) {
	if row.Note > i.Notes {
		f.Add(rowPointer(n, "note"), "note %d of an instrument of %d notes", row.Note, i.Notes)
	}
	if utf8.RuneCountInString(row.Section) > domain.MaxName {
		f.Add(rowPointer(n, "section"), "has at most %d characters", domain.MaxName)
	}
	switch {
	case row.Wound && row.OverallMM.IsZero():
		f.Add(rowPointer(n, "overall_mm"), "a covered string needs its overall diameter")
	case !row.Wound && !row.OverallMM.IsZero():
		f.Add(
			rowPointer(n, "overall_mm"),
			"a plain string has no overall diameter beside that of its wire",
		)
	}
	row.checkGauge(f, rowPointer(n, "gauge"))
}

func (n ScaleNote) checkGauge(f *domain.Faults, at string) {
	if n.Gauge == nil {
		return
	}
	g := stringing.Gauge(n.Gauge.InexactFloat64())
	if !g.Valid() {
		f.Add(
			at, "isn't a number of the inch series: whole and half ones from %g to %g",
			stringing.ThinnestGauge, stringing.ThickestGauge,
		)
		return
	}
	nearest, _ := stringing.GaugeOf(n.CoreMM.InexactFloat64())
	if n.CoreMM.IsPositive() && (nearest-g > gaugeTolerance || g-nearest > gaugeTolerance) {
		f.Add(
			at, "%s is %.3f mm and %s mm was measured, which is nearer to %s", g, g.MM(), n.CoreMM,
			nearest,
		)
	}
}

// checkScaleCounts compares a scale of the whole compass with the strings that were counted
// otherwise.
func (i Instrument) checkScaleCounts(f *domain.Faults) {
	all, covered, whole := i.scaleStrings()
	if !whole {
		return
	}
	bare := i
	bare.Scale = nil
	m := unsurveyed(bare)
	for _, x := range []struct {
		driver string
		count  int
	}{{stringDriver, all}, {coveredDriver, covered}} {
		q, ok := m.quantity(x.driver)
		if ok && q.Basis != Assumed && !q.Value.Equal(decimal.NewFromInt(int64(x.count))) {
			f.Add(
				"#/notes", "the scale has %d of the driver %q, and there are %s of it: %s", x.count,
				x.driver, q.Value, q.Formula,
			)
		}
	}
}

// scaleStrings counts the strings of the scale, and the covered ones; whole is false where the
// scale leaves notes of the compass out.
func (i Instrument) scaleStrings() (all, covered int, whole bool) {
	for _, n := range i.Scale {
		all += n.Strings
		if n.OverallMM.IsPositive() {
			covered += n.Strings
		}
	}
	return all, covered, len(i.Scale) > 0 && len(i.Scale) == i.Notes
}

// ScaleRow is a note of a scale with how it is known.
type ScaleRow struct {
	stringing.Note
	Basis Basis // Known, or Assumed from the example scale
}

// WorkingScale returns the scale that is assumed of the instrument: what was measured of it, and
// the example scale for every note that was not, strung in unison as the instrument is where that
// was counted. Notes beyond the example that were not measured are left out.
func (i Instrument) WorkingScale() []ScaleRow {
	own := make(map[int]ScaleNote, len(i.Scale))
	for _, n := range i.Scale {
		own[n.Note] = n
	}
	notes := i.Notes
	if notes <= 0 {
		notes = fullCompass
	}
	example := stringing.Example(notes)
	rows := make([]ScaleRow, 0, notes)
	for note := 1; note <= notes; note++ {
		if n, ok := own[note]; ok {
			rows = append(rows, ScaleRow{Note: n.physical(), Basis: Known})
			continue
		}
		if note > len(example) {
			continue
		}
		n := example[note-1]
		if s := i.Stringing; s != nil && s.LastSingle <= s.LastPair {
			n.Strings = s.unison(note)
		}
		rows = append(rows, ScaleRow{Note: n, Basis: Assumed})
	}
	return rows
}

// unison returns how many strings a note has.
func (s Stringing) unison(note int) int {
	switch {
	case note <= s.LastSingle:
		return 1
	case note <= s.LastPair:
		return 2
	default:
		return 3
	}
}
