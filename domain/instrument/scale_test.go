package instrument_test

import (
	"reflect"
	"strings"
	"testing"

	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

func TestEveryRowOfAScaleIsCheckedAtOnce(t *testing.T) {
	t.Parallel()
	thick, odd := domaintest.Dec("16"), domaintest.Dec("16.25")
	in := domaintest.Grand()
	in.Scale = instrument.FillGauges([]instrument.ScaleNote{
		// overall under core
		{
			Note: 1, Strings: 1, Wound: true, LengthMM: domaintest.Dec("1385"),
			CoreMM: domaintest.Dec("1.2446"), OverallMM: domaintest.Dec("1.1"),
		},
		// no overall
		{
			Note: 2, Strings: 1, Wound: true, LengthMM: domaintest.Dec("1371"),
			CoreMM: domaintest.Dec("1.2446"),
		},
		// plain, with one
		{
			Note: 30, Strings: 3, LengthMM: domaintest.Dec("1042"),
			CoreMM: domaintest.Dec("1.0922"), OverallMM: domaintest.Dec("1.3"),
		},
		// No 16 is 0.94 mm
		{
			Note: 88, Strings: 3, LengthMM: domaintest.Dec("52"), CoreMM: domaintest.Dec("0.785"),
			Gauge: &thick,
		},
		// beyond the compass, no such number
		{Note: 89, Strings: 3, LengthMM: domaintest.Dec("50"), Gauge: &odd},
	})
	want := []string{
		"#/notes/0/overall_mm", "#/notes/1/overall_mm", "#/notes/2/overall_mm", "#/notes/3/gauge",
		"#/notes/4/note", "#/notes/4/gauge", "#/notes/4/core_mm",
	}
	if got := pointers(t, in.CheckScale()); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v\n%v", got, want, in.CheckScale())
	}
	in.Scale = []instrument.ScaleNote{
		{Note: 1, Strings: 1, LengthMM: decimal.New(1, 900000000), CoreMM: domaintest.Dec("1")},
	}
	if got := pointers(t, in.CheckScale()); len(got) != 1 {
		t.Errorf("digits without end: got %v", got)
	}
	in.Scale = domaintest.WholeScale()
	if err := in.CheckScale(); err != nil {
		t.Errorf("the example as measured: %v", err)
	}
}

func TestAGaugeGivesTheDiameterThatWasNotMeasured(t *testing.T) {
	t.Parallel()
	g := domaintest.Dec("16.5")
	got := instrument.FillGauges(
		[]instrument.ScaleNote{
			{Note: 53, Gauge: &g}, {Note: 54, Gauge: &g, CoreMM: domaintest.Dec("0.95")},
		},
	)
	if !got[0].CoreMM.Equal(domaintest.Dec("0.9652")) ||
		!got[1].CoreMM.Equal(domaintest.Dec("0.95")) {
		t.Errorf("got %s and %s mm", got[0].CoreMM, got[1].CoreMM)
	}
}

func TestAScaleThatContradictsTheCountedStringsIsRefused(t *testing.T) {
	t.Parallel()
	in := strung()
	in.Scale = domaintest.WholeScale()
	if err := in.CheckScale(); err != nil {
		t.Fatal(err)
	}
	in.Stringing = &instrument.Stringing{LastSingle: 8, LastPair: 27, Covered: 46}
	if got := pointers(t, in.CheckScale()); !reflect.DeepEqual(got, []string{"#/notes", "#/notes"}) {
		t.Errorf("strings and covered ones differ: got %v", got)
	}
	in.Scale = in.Scale[:80] // a part of the compass counts nothing
	if err := in.CheckScale(); err != nil {
		t.Errorf("a part of the compass: %v", err)
	}
	in = strung(domaintest.Measure("string", "230"))
	in.Scale = domaintest.WholeScale()
	if in.CheckScale() == nil || in.CheckMeasured() == nil {
		t.Error("230 strings were counted and the scale has 227, and neither is refused")
	}
}

func TestAWholeScaleCountsTheStringsAndWeighsTheWire(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Scale = domaintest.WholeScale()
	off := domaintest.TakeOff(t, in)
	wantQuantity(t, off, "string", "227", instrument.Known)
	wantQuantity(t, off, "covered string", "44", instrument.Known)
	wantQuantity(t, off, "plain string", "183", instrument.Computed)
	// 0.90 in the trade dossier
	wantQuantity(t, off, "kg of plain wire", "0.902", instrument.Computed)
}

func TestWhereNoScaleWasMeasuredTheReportSaysItIsIllustrative(t *testing.T) {
	t.Parallel()
	r := instrument.StringsOf(
		domaintest.Shipped(t), domaintest.Grand(), nil, instrument.UsualStringTerms(),
	)
	if r.Basis != instrument.Assumed || r.Measured != 0 ||
		!strings.Contains(r.Says, "illustrative, from memory") {
		t.Errorf("got %s, %d measured: %s", r.Basis, r.Measured, r.Says)
	}
	in := domaintest.Grand()
	in.Scale = domaintest.WholeScale()[40:]
	if r = instrument.StringsOf(
		domaintest.Shipped(t), in, nil, instrument.UsualStringTerms(),
	); r.Basis != instrument.Assumed || r.Measured != 48 ||
		r.Rows[0].Basis != instrument.Assumed || r.Rows[87].Basis != instrument.Known {
		t.Errorf("a part: got %s, %d measured: %s", r.Basis, r.Measured, r.Says)
	}
	in.Scale = domaintest.WholeScale()
	if r = instrument.StringsOf(
		domaintest.Shipped(t), in, nil, instrument.UsualStringTerms(),
	); r.Basis != instrument.Known || strings.Contains(r.Says, "illustrative") {
		t.Errorf("a whole scale: got %s: %s", r.Basis, r.Says)
	}
	in = domaintest.Grand()
	in.Notes = 97
	if r = instrument.StringsOf(
		domaintest.Shipped(t), in, nil, instrument.UsualStringTerms(),
	); len(r.Rows) != 88 || !strings.Contains(r.Says, "9 notes beyond") {
		t.Errorf("97 notes: got %d rows: %s", len(r.Rows), r.Says)
	}
}

// The example is strung in unison as the instrument was counted to be.
func TestTheLoadIsOverTheCountedStrings(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Stringing = &instrument.Stringing{LastSingle: 14, LastPair: 32, Covered: 50}
	if r := instrument.StringsOf(
		domaintest.Shipped(t), in, nil, instrument.UsualStringTerms(),
	); r.Load.Strings != 218 {
		t.Errorf("got %d strings, want the 218 counted", r.Load.Strings)
	}
}

// Force on the bridges: T sin α; at 1 degree a 57th of the load.
func TestTheBearingComesFromTheSurvey(t *testing.T) {
	t.Parallel()
	js, err := survey.Judge(
		domaintest.Shipped(t), domaintest.Grand().Kind,
		[]survey.Finding{
			domaintest.Number("SV-23", "1", ""), domaintest.Number("SV-23", "1.4", ""),
			domaintest.Number("SV-23", "0.6", ""),
		},
	)
	if err != nil {
		t.Fatal(err)
	}
	r := instrument.StringsOf(
		domaintest.Shipped(t), domaintest.Grand(), js, instrument.UsualStringTerms(),
	)
	if r.Bearing == nil || r.Bearing.AngleDegrees != 1 ||
		int(r.Load.TotalN/r.Bearing.TotalN+0.5) != 57 {
		t.Errorf("got %+v of %g N", r.Bearing, r.Load.TotalN)
	}
	if instrument.StringsOf(
		domaintest.Shipped(t), domaintest.Grand(), nil, instrument.UsualStringTerms(),
	).Bearing != nil {
		t.Error("a bearing that nobody read")
	}
}
