package domain_test

import (
	"reflect"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/stringing"

	"github.com/shopspring/decimal"
)

// wholeScale is the example scale as if it had been measured.
func wholeScale() []domain.ScaleNote {
	var list []domain.ScaleNote
	for _, n := range stringing.Example(88) {
		list = append(list, domain.ScaleNote{
			Note: n.Number, Strings: n.Strings, Wound: n.Covered(), LengthMM: decimal.NewFromFloat(n.LengthMM),
			CoreMM: decimal.NewFromFloat(n.CoreMM).Round(4), OverallMM: decimal.NewFromFloat(n.OverallMM),
		})
	}
	return list
}

func TestEveryRowOfAScaleIsCheckedAtOnce(t *testing.T) {
	t.Parallel()
	thick, odd := dec("16"), dec("16.25")
	in := grand()
	in.Scale = domain.FillGauges([]domain.ScaleNote{
		{Note: 1, Strings: 1, Wound: true, LengthMM: dec("1385"), CoreMM: dec("1.2446"), OverallMM: dec("1.1")}, // overall under core
		{Note: 2, Strings: 1, Wound: true, LengthMM: dec("1371"), CoreMM: dec("1.2446")},                        // no overall
		{Note: 30, Strings: 3, LengthMM: dec("1042"), CoreMM: dec("1.0922"), OverallMM: dec("1.3")},             // plain, with one
		{Note: 88, Strings: 3, LengthMM: dec("52"), CoreMM: dec("0.785"), Gauge: &thick},                        // No 16 is 0.94 mm
		{Note: 89, Strings: 3, LengthMM: dec("50"), Gauge: &odd},                                                // beyond the compass, no such number
	})
	want := []string{
		"#/notes/0/overall_mm", "#/notes/1/overall_mm", "#/notes/2/overall_mm", "#/notes/3/gauge", "#/notes/4/note", "#/notes/4/gauge", "#/notes/4/core_mm",
	}
	if got := pointers(t, in.CheckScale()); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v\n%v", got, want, in.CheckScale())
	}
	in.Scale = []domain.ScaleNote{{Note: 1, Strings: 1, LengthMM: decimal.New(1, 900000000), CoreMM: dec("1")}}
	if got := pointers(t, in.CheckScale()); len(got) != 1 {
		t.Errorf("digits without end: got %v", got)
	}
	in.Scale = wholeScale()
	if err := in.CheckScale(); err != nil {
		t.Errorf("the example as measured: %v", err)
	}
}

func TestAGaugeGivesTheDiameterThatWasNotMeasured(t *testing.T) {
	t.Parallel()
	g := dec("16.5")
	got := domain.FillGauges([]domain.ScaleNote{{Note: 53, Gauge: &g}, {Note: 54, Gauge: &g, CoreMM: dec("0.95")}})
	if !got[0].CoreMM.Equal(dec("0.9652")) || !got[1].CoreMM.Equal(dec("0.95")) {
		t.Errorf("got %s and %s mm", got[0].CoreMM, got[1].CoreMM)
	}
}

func TestAScaleThatContradictsTheCountedStringsIsRefused(t *testing.T) {
	t.Parallel()
	in := strung()
	in.Scale = wholeScale()
	if err := in.CheckScale(); err != nil {
		t.Fatal(err)
	}
	in.Stringing = &domain.Stringing{LastSingle: 8, LastPair: 27, Covered: 46}
	if got := pointers(t, in.CheckScale()); !reflect.DeepEqual(got, []string{"#/notes", "#/notes"}) {
		t.Errorf("strings and covered ones differ: got %v", got)
	}
	in.Scale = in.Scale[:80] // a part of the compass counts nothing
	if err := in.CheckScale(); err != nil {
		t.Errorf("a part of the compass: %v", err)
	}
	in = strung(measure("string", "230"))
	in.Scale = wholeScale()
	if in.CheckScale() == nil || in.CheckMeasured() == nil {
		t.Error("230 strings were counted and the scale has 227, and neither is refused")
	}
}

func TestAWholeScaleCountsTheStringsAndWeighsTheWire(t *testing.T) {
	t.Parallel()
	in := grand()
	in.Scale = wholeScale()
	off := takeOff(t, in)
	wantQuantity(t, off, "string", "227", domain.Known)
	wantQuantity(t, off, "covered string", "44", domain.Known)
	wantQuantity(t, off, "plain string", "183", domain.Computed)
	wantQuantity(t, off, "kg of plain wire", "0.902", domain.Computed) // 0.90 in takeoff.md section 7
}

func TestWhereNoScaleWasMeasuredTheReportSaysItIsIllustrative(t *testing.T) {
	t.Parallel()
	r := domain.StringsOf(grand(), nil, domain.UsualStringTerms())
	if r.Basis != domain.Assumed || r.Measured != 0 || !strings.Contains(r.Says, "illustrative, from memory") {
		t.Errorf("got %s, %d measured: %s", r.Basis, r.Measured, r.Says)
	}
	in := grand()
	in.Scale = wholeScale()[40:]
	if r = domain.StringsOf(in, nil, domain.UsualStringTerms()); r.Basis != domain.Assumed || r.Measured != 48 || r.Rows[0].Basis != domain.Assumed || r.Rows[87].Basis != domain.Known {
		t.Errorf("a part: got %s, %d measured: %s", r.Basis, r.Measured, r.Says)
	}
	in.Scale = wholeScale()
	if r = domain.StringsOf(in, nil, domain.UsualStringTerms()); r.Basis != domain.Known || strings.Contains(r.Says, "illustrative") {
		t.Errorf("a whole scale: got %s: %s", r.Basis, r.Says)
	}
	in = grand()
	in.Notes = 97
	if r = domain.StringsOf(in, nil, domain.UsualStringTerms()); len(r.Rows) != 88 || !strings.Contains(r.Says, "9 notes beyond") {
		t.Errorf("97 notes: got %d rows: %s", len(r.Rows), r.Says)
	}
}

// The example is strung in unison as the instrument was counted to be.
func TestTheLoadIsOverTheCountedStrings(t *testing.T) {
	t.Parallel()
	in := grand()
	in.Stringing = &domain.Stringing{LastSingle: 14, LastPair: 32, Covered: 50}
	if r := domain.StringsOf(in, nil, domain.UsualStringTerms()); r.Load.Strings != 218 {
		t.Errorf("got %d strings, want the 218 counted", r.Load.Strings)
	}
}

// Force on the bridges: T sin α; at 1 degree a 57th of the load.
func TestTheBearingComesFromTheSurvey(t *testing.T) {
	t.Parallel()
	js, err := domain.Judge(shipped(t), grand().Kind, []domain.Finding{number("SV-23", "1", ""), number("SV-23", "1.4", ""), number("SV-23", "0.6", "")})
	if err != nil {
		t.Fatal(err)
	}
	r := domain.StringsOf(grand(), js, domain.UsualStringTerms())
	if r.Bearing == nil || r.Bearing.AngleDegrees != 1 || int(r.Load.TotalN/r.Bearing.TotalN+0.5) != 57 {
		t.Errorf("got %+v of %g N", r.Bearing, r.Load.TotalN)
	}
	if domain.StringsOf(grand(), nil, domain.UsualStringTerms()).Bearing != nil {
		t.Error("a bearing that nobody read")
	}
}
