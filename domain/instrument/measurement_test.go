package instrument_test

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// The trade facts in this file are common practice, no source, unless said.

// strung returns a grand with the two changes of a published example (227 strings).
func strung(measured ...instrument.Measurement) instrument.Instrument {
	in := domaintest.Grand()
	in.Stringing = &instrument.Stringing{LastSingle: 10, LastPair: 27, Covered: 44}
	in.Measured = measured
	return in
}

// pointers returns the faults of a check as their pointers, in order.
func pointers(t *testing.T, err error) []string {
	t.Helper()
	if err == nil {
		return nil
	}
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Invalid {
		t.Fatalf("got %v, want an Invalid Fault", err)
	}
	var list []string
	for _, x := range f.Fields {
		list = append(list, x.Pointer)
	}
	return list
}

// The quantities of the dossier's example: two changes at 10 and 27 of 88 notes, 44 covered. Its 92
// to 100 pieces and about 140 hitch pins hold the tied singles, which are not counted.
func TestTheTakeOffOfThePublishedExample(t *testing.T) {
	t.Parallel()
	off := domaintest.TakeOff(t, strung())
	for driver, want := range map[string]string{
		"string": "227", "hole (rest pin)": "227", "pin bushing": "227", "bridge pin": "454",
		"plain string": "183",
		"wire piece":   "92", "hitch pin": "136", "roller": "88", "key bushing": "176", "natural": "52",
		"sharp":            "36",
		"kg of instrument": "308",
	} {
		basis := instrument.Computed
		if driver == "roller" {
			basis = instrument.Known
		}
		wantQuantity(t, off, driver, want, basis)
	}
	wantQuantity(t, off, "kg of frame", "103", instrument.Assumed)
	wire, _ := off.Of("kg of plain wire")
	if diff := wire.Value.Sub(domaintest.Dec("0.90")).Abs(); diff.GreaterThan(
		domaintest.Dec("0.01"),
	) || wire.Basis != instrument.Assumed || !strings.Contains(wire.Formula, "illustrative") {
		t.Errorf("plain wire: got %+v, want 0.90 kg assumed and said to be illustrative", wire)
	}
	for _, q := range off {
		if want := instrument.UnitOf(q.Driver); q.Unit != want || q.Formula == "" {
			t.Errorf("%s: unit %q, formula %q", q.Driver, q.Unit, q.Formula)
		}
	}
}

func TestAnUprightHasNoRollers(t *testing.T) {
	t.Parallel()
	wantQuantity(
		t,
		domaintest.TakeOff(t, instrument.Instrument{Kind: catalogue.Upright, SizeMM: 1250, Notes: 88}),
		"roller", "0", instrument.Known,
	)
}

func TestWhatWasMeasuredGoesBeforeTheFormulaAndIsBuiltOn(t *testing.T) {
	t.Parallel()
	off := domaintest.TakeOff(
		t,
		strung(
			domaintest.Measure("string", "229"), domaintest.Measure("damper", "67"),
			domaintest.Measure("m2 of case", "8.85"),
		),
	)
	wantQuantity(t, off, "damper", "67", instrument.Known)
	wantQuantity(t, off, "m2 of case", "8.85", instrument.Known)
	wantQuantity(t, off, "string", "229", instrument.Known)
	wantQuantity(t, off, "bridge pin", "458", instrument.Computed)
	wantQuantity(t, off, "plain string", "185", instrument.Computed)
	if q, _ := off.Of("damper"); !strings.Contains(q.Formula, "Ada Fernwood") {
		t.Errorf("the formula %q does not say who measured it", q.Formula)
	}
}

// Lines whose driver was measured count what was measured, and so is what they consume.
func TestTheScopeIsReckonedWithWhatWasMeasured(t *testing.T) {
	t.Parallel()
	in := strung(domaintest.Measure(
		"hammer", "90",
	), domaintest.Measure("roller", "90"), domaintest.Measure("damper",
		"67"), domaintest.Measure("centre", "264"),
		domaintest.Measure("bridge pin", "460"), domaintest.Measure(
			"pin bushing", "230",
		), domaintest.Measure("hole (rest pin)", "230"), domaintest.Measure("kg of plain wire", "0.8"),
		domaintest.Measure("m2 of case", "8"), domaintest.Measure("agraffe note", "40"))
	findings := []survey.Finding{
		domaintest.Number("SV-15", "4", ""), domaintest.Number("SV-28", "12", ""),
		domaintest.Number("SV-38", "2", ""), domaintest.Number("SV-33", "9", ""),
	}
	scopes := []scope.Scope{
		domaintest.ScopeOf(t, in, catalogue.Restore, findings),
		domaintest.ScopeOf(
			t, in, catalogue.Recondition, findings, domaintest.Add("AC-02"),
			domaintest.Add("AC-07"),
		),
	}
	want := map[string]string{}
	for _, m := range in.Measured {
		want[m.Driver] = m.Value.String()
	}
	seen := map[string]bool{}
	for _, s := range scopes {
		for _, l := range s.Lines {
			if v, ok := want[l.Driver]; ok {
				seen[l.Driver] = true
				if !l.Quantity.Equal(domaintest.Dec(v)) || l.Basis != instrument.Known {
					t.Errorf("%s: %s %s (%s), want %s", l.Operation, l.Quantity, l.Driver, l.Basis, v)
				}
			}
		}
	}
	for _, driver := range []string{
		"roller", "damper", "centre", "hole (rest pin)", "m2 of case", "agraffe note",
	} {
		if !seen[driver] {
			t.Errorf("no line scales with %s, so nothing is proved of it", driver)
		}
	}
	for _, c := range []struct{ code, material, want string }{
		{"BD-12", "bridge pins", "474"}, // 460 and 3 %
		{"ST-02", "pin bushings", "235"},
		{"ST-02", "rest pins", "235"},
		{"ST-02", "music wire", "0.92"},
	} {
		if got := domaintest.Consumed(
			t, in, scopes[0], findings, c.code, c.material,
		); !got.Equal(domaintest.Dec(c.want)) {
			t.Errorf("%s %s: got %s, want %s", c.code, c.material, got, c.want)
		}
	}
}

func TestMeasurementsThatCannotBeAreRefused(t *testing.T) {
	t.Parallel()
	upright := instrument.Instrument{
		Kind: catalogue.Upright, SizeMM: 1250, Notes: 88, Owner: instrument.Stock,
	}
	for _, c := range []struct {
		name string
		in   instrument.Instrument
		want []string
	}{
		{
			"fewer pins than strings", strung(domaintest.Measure("hole (rest pin)", "226")),
			[]string{"#/measurements/0/value"},
		},
		{"as many pins as strings", strung(domaintest.Measure("hole (rest pin)", "227")), nil},
		{
			"fewer hammers than notes", strung(domaintest.Measure("hammer", "87")),
			[]string{"#/measurements/0/value"},
		},
		{
			"more covered strings than strings",
			strung(domaintest.Measure("covered string", "228")),
			[]string{"#/measurements/0/value"},
		},
		{"fewer strings than covered ones", func() instrument.Instrument {
			in := strung(domaintest.Measure("string", "100"))
			in.Stringing.Covered = 101
			return in
		}(), []string{"#/measurements/0/value"}},
		{
			"plain and covered do not make up the strings",
			strung(domaintest.Measure("plain string", "180")),
			[]string{"#/measurements/0/value"},
		},
		{
			"naturals and sharps do not make up the compass",
			strung(domaintest.Measure("natural", "50")),
			[]string{"#/measurements/0/value"},
		},
		{
			"fewer hitch pins than the strings hang on",
			strung(domaintest.Measure("hitch pin", "135")),
			[]string{"#/measurements/0/value"},
		},
		{
			"more dampers than notes", strung(domaintest.Measure("damper", "89")),
			[]string{"#/measurements/0/value"},
		},
		{"rollers on an upright", func() instrument.Instrument {
			in := upright
			in.Measured = []instrument.Measurement{domaintest.Measure("roller", "88")}
			return in
		}(), []string{"#/measurements/0/value"}},
		{
			"a frame heavier than the piano",
			strung(
				domaintest.Measure("kg of instrument", "300"),
				domaintest.Measure("kg of frame", "301"),
			),
			[]string{"#/measurements/0/value", "#/measurements/1/value"},
		},
		{
			"a case of the size of a lid prop",
			strung(domaintest.Measure("m2 of case", "0.000001")),
			[]string{"#/measurements/0/value"},
		},
		{"a plain case with bare undersides", strung(domaintest.Measure("m2 of case", "7.9")), nil},
		{
			"board and frame of a toy",
			strung(domaintest.Measure("m2 of board", "0.6"), domaintest.Measure("m2 of frame", "0.7")),
			[]string{"#/measurements/0/value", "#/measurements/1/value"},
		},
		{
			"a grand that one person carries", strung(domaintest.Measure("kg of instrument", "30")),
			[]string{"#/measurements/0/value"},
		},
		{"a light grand", strung(domaintest.Measure("kg of instrument", "250")), nil},
		{
			"half a damper, twice",
			strung(domaintest.Measure("damper", "66.5"), domaintest.Measure("damper", "66")),
			[]string{"#/measurements/0/value", "#/measurements/1/driver"},
		},
		{
			"nothing, less than nothing, far too much",
			strung(
				domaintest.Measure("m2 of case", "0"), domaintest.Measure("rib", "-1"),
				domaintest.Measure("rib", "41"),
			),
			[]string{
				"#/measurements/0/value", "#/measurements/1/value", "#/measurements/2/driver",
				"#/measurements/2/value",
			},
		},
		{
			"a driver that is none, and nobody's",
			strung(
				domaintest.Measure("visit", "2"),
				instrument.Measurement{Driver: "rib", Value: domaintest.Dec("4")},
			),
			[]string{"#/measurements/0/driver", "#/measurements/1/by"},
		},
		{
			"digits without end",
			strung(instrument.Measurement{Driver: "rib", Value: decimal.New(1, 900000000), By: "x"}),
			[]string{"#/measurements/0/value"},
		},
		{
			"against what is only assumed",
			instrument.Instrument{
				Kind: catalogue.Grand, SizeMM: 1850, Notes: 88,
				Measured: []instrument.Measurement{
					domaintest.Measure("covered string", "60"),
					domaintest.Measure("hole (rest pin)", "210"),
				},
			},
			nil,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := pointers(t, c.in.CheckMeasured()); !reflect.DeepEqual(got, c.want) {
				t.Errorf("got %v (%v), want %v", got, c.in.CheckMeasured(), c.want)
			}
		})
	}
}

// Whatever passes the check, the take-off does not contradict itself.
func TestATakeOffDoesNotContradictItself(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(rt *rapid.T) {
		in := strung()
		in.Notes = rapid.IntRange(49, 108).Draw(rt, "notes")
		single := rapid.IntRange(0, 20).Draw(rt, "single")
		in.Stringing = &instrument.Stringing{
			LastSingle: single, LastPair: rapid.IntRange(single, 40).Draw(rt, "pair"),
		}
		in.Stringing.Covered = rapid.IntRange(0, in.Stringing.Strings(in.Notes)).Draw(rt, "covered")
		for _, driver := range rapid.SliceOfNDistinct(
			rapid.SampledFrom(instrument.Measurable()), 0, 6, rapid.ID[string],
		).Draw(rt, "drivers") {
			in.Measured = append(
				in.Measured,
				instrument.Measurement{
					Driver: driver,
					Value: domaintest.Dec(
						rapid.SampledFrom(
							[]string{"1", "40", "88", "136", "183", "227", "240", "460"},
						).Draw(rt, driver),
					),
					By: "x",
				},
			)
		}
		if in.CheckMeasured() != nil {
			in.Measured = nil
		}
		off := instrument.TakeOffOf(c, in, nil)
		get := func(driver string) instrument.Quantity { q, _ := off.Of(driver); return q }
		all := get("string")
		for _, x := range []struct {
			less, more instrument.Quantity
			what       string
		}{
			{all, get("hole (rest pin)"), "pins to strings"},
			{get("covered string"), all, "covered among strings"},
			{get("kg of frame"), get("kg of instrument"), "frame in instrument"},
			{get("note"), get("hammer"), "hammers to notes"},
		} {
			if x.less.Value.GreaterThan(x.more.Value) {
				rt.Errorf("%s: %+v, %+v", x.what, x.less, x.more)
			}
		}
		for _, q := range off {
			if q.Value.IsNegative() {
				rt.Errorf("%s is %s", q.Driver, q.Value)
			}
		}
	})
}

func TestARecordThatContradictsTheMeasurementsIsAConflict(t *testing.T) {
	t.Parallel()
	in := strung(domaintest.Measure("hammer", "88"))
	if err := in.CheckAgainstMeasured(); err != nil {
		t.Fatal(err)
	}
	in.Notes = 90
	in.Scale = []instrument.ScaleNote{
		{Note: 91, Strings: 3, LengthMM: domaintest.Dec("52"), CoreMM: domaintest.Dec("0.8")},
	}
	var f *domain.Fault
	if err := in.CheckAgainstMeasured(); !errors.As(err, &f) || f.Kind != domain.Conflict ||
		len(f.Chain) != 2 {
		t.Errorf("got %v, want a Conflict with both reasons", err)
	}
}

func TestEveryMeasurableDriverIsInTheTakeOff(t *testing.T) {
	t.Parallel()
	in := strung()
	off := domaintest.TakeOff(t, in)
	for _, driver := range instrument.Measurable() {
		if _, ok := off.Of(driver); !ok &&
			!slices.Contains([]string{"piece replaced", "piece"}, driver) {
			t.Errorf("%s can be measured and is not in the take-off", driver)
		}
	}
}
