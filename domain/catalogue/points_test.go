package catalogue_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// What single readings mean by the shipped limits. Standing beside each row: "source" is the
// dossier's id, the rest common practice, no source.
func TestReadingsMeanWhatTheTradeSays(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	rows := []struct {
		point   catalogue.PointCode
		reading string
		want    catalogue.Severity
		why     string
	}{
		{"SV-03", "47", catalogue.Sound, "book value of a grand's blow (source S38 S43)"},
		{"SV-03", "44", catalogue.Sound, "44 to 49 mm seen at a fixed 10 mm dip (source S42)"},
		{"SV-03", "50", catalogue.Attention, "worn hammers, packed cushions"},
		{"SV-03", "51", catalogue.Attention, "worn hammers, packed cushions"},
		{"SV-03", "52", catalogue.MustAct, "out of range"},
		{"SV-04", "46", catalogue.Sound, "uprights 45 to 48 mm (source S39 S40)"},
		{"SV-05", "3", catalogue.Sound, "bass set-off (source S39 S41)"},
		{"SV-05", "1.5", catalogue.Sound, "treble set-off (source S39 S41)"},
		{"SV-05", "10", catalogue.MustAct, "far out"},
		{"SV-11", "9.04", catalogue.Sound, "80 in-lb, a new plank (source S14)"},
		{"SV-11", "5", catalogue.Attention, "marginal, 30 to 50 in-lb (source S14)"},
		{
			"SV-11", "3.39", catalogue.MustAct,
			"30 in-lb will not hold (source S14, check value CV-29)",
		},
		{"SV-13", "7.16", catalogue.Sound, "second size (source S16)"},
		{"SV-13", "7.26", catalogue.Attention, "probably restrung on its old plank"},
		{"SV-13", "7.4", catalogue.MustAct, "no size left"},
		{"SV-21", "-50", catalogue.MustAct, "breakage risk"},
		{"SV-24", "16", catalogue.Sound, "lively (source S54)"},
		{"SV-24", "11.9", catalogue.Attention, "under 12 s (source S54, check value CV-44)"},
		{"SV-33", "13", catalogue.MustAct, "half an inch in contact (source S88)"},
		{"SV-36", "6", catalogue.Sound, "bass swings (source S45)"},
		{"SV-40", "12", catalogue.Sound, "normal friction (source S78, check value CV-22)"},
	}
	for _, row := range rows {
		l, v := c.Point(row.point).Limits, dec(row.reading)
		got := catalogue.Sound
		switch {
		case l.MustLow != nil && v.LessThanOrEqual(*l.MustLow), l.MustHigh != nil &&
			v.GreaterThanOrEqual(*l.MustHigh):
			got = catalogue.MustAct
		case l.Side(v) != catalogue.Within:
			got = catalogue.Attention
		}
		if got != row.want {
			t.Errorf("%s of %s: got %s, want %s (%s)", row.point, row.reading, got, row.want, row.why)
		}
	}
}

func TestSideTellsSlackPinsFromTightOnes(t *testing.T) {
	t.Parallel()
	l := shipped(t).Point("SV-11").Limits
	for reading, want := range map[string]catalogue.Side{
		"3": catalogue.Low, "5.6": catalogue.Within, "17": catalogue.Within, "26": catalogue.High,
	} {
		if got := l.Side(dec(reading)); got != want {
			t.Errorf("torque of %s N.m lies %q, want %q", reading, got, want)
		}
	}
	if got := (*catalogue.Limits)(nil).Side(dec("1")); got != catalogue.Within {
		t.Errorf("without limits a reading lies %q", got)
	}
}

// An 85-note piano takes 85 hammers, shanks, whippens and rollers, 50 natural covers and 35 sharps,
// not a set of 88 (common practice, no source).
func TestPartsGoByTheNoteAndNotByTheSet(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	drivers := map[string]string{}
	for _, m := range c.Materials {
		if m.Unit == "each" && m.PerDriver.Equal(decimal.NewFromInt(1)) {
			drivers[string(m.Operation)+" "+m.Name] = m.Driver
		}
	}
	for name, want := range map[string]string{
		"AC-06 hammers to sample, bored and tailed": "note",
		"AC-06 shanks with flanges and rollers":     "note",
		"AC-06 hammer shanks":                       "note",
		"AC-04 whippens":                            "note",
		"AC-07 rollers":                             "roller",
		"KY-03 natural covers with fronts":          "natural",
		"KY-05 sharps":                              "sharp",
	} {
		if got := drivers[name]; got != want {
			t.Errorf("%s: one for each %q, want %q", name, got, want)
		}
	}
	for _, code := range []catalogue.Code{"AC-06", "AC-04", "KY-01", "RG-01"} {
		if o := c.Operation(code); o.Driver != "note" ||
			!o.Hours[catalogue.Grand].Baseline.Equal(dec("88")) {
			t.Errorf(
				"%s scales with %s, %s at the baseline", code, o.Driver,
				o.Hours[catalogue.Grand].Baseline,
			)
		}
	}
	hammers := c.Operation("AC-06").Hours[catalogue.Grand]
	if got, want := hammers.Likely(dec("85")), dec("18.45"); !got.Equal(want) { // 4 + 0.17 × 85
		t.Errorf("85 hammers take %s h, want %s", got, want)
	}
}

// New strings never go without pins: of the first size in a new plank, one size up in any other.
func TestRestPinsFollowThePlank(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for option, want := range map[string]string{
		"PLANK=replace": "first size", "PLANK=keep_oversize": "one size up", "PLANK=": "one size up",
	} {
		var pins []string
		for _, m := range c.MaterialsOf("ST-02") {
			if strings.HasPrefix(m.Name, "rest pins") &&
				c.Expr(m.When).Holds(scene{in: []string{option}}.held()) {
				pins = append(pins, m.Name)
			}
		}
		if len(pins) != 1 || !strings.Contains(pins[0], want) {
			t.Errorf("with %s the pins are %q, want those of %s", option, pins, want)
		}
	}
}

func TestEveryFigureCarriesItsStanding(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	check := func(where string, s catalogue.Standing) {
		if !slices.ContainsFunc(
			catalogue.Standings, func(w string) bool { return strings.HasPrefix(string(s), w) },
		) {
			t.Errorf("%s has the standing %q", where, s)
		}
	}
	for _, o := range c.Operations {
		check(string(o.Code), o.Standing)
		if o.Lead != nil {
			check("lead of "+string(o.Code), o.Lead.Standing)
		}
		if o.Buying != nil {
			check("price of "+string(o.Code), o.Buying.StandingOf)
		}
	}
	for _, choice := range c.Choices {
		for _, o := range choice.Options {
			check(choice.Group+"="+o.Name, o.Standing)
		}
	}
	for _, m := range c.Materials {
		check(m.Name, m.Standing)
	}
	for _, p := range c.Points {
		check(string(p.Code), p.Standing)
	}
	for _, r := range c.Rules {
		check(r.ID, r.Standing)
	}
}

// What an outside firm may do has a price and a turn-round; waiting for the firm never delays work
// in house, so no part on order is called a service.
func TestServicesAreBoughtAndPartsAreOrdered(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for _, code := range []catalogue.Code{
		"KY-02", "KY-03", "CS-05", "CS-05L", "CS-07", "CS-07L", "FR-03", "CS-11", "IN-02", "DL-01",
		"FR-01",
	} {
		o := c.Operation(code)
		if o.Buying == nil || o.Lead != nil || !o.Buying.TurnRound.Likely.IsPositive() {
			t.Errorf("%s: buying %+v, lead %+v", code, o.Buying, o.Lead)
		}
	}
	for code, making := range map[catalogue.Code]catalogue.Making{
		"FR-01": catalogue.Outside, "CS-11": catalogue.Outside, "KY-02": catalogue.Either,
		"ST-02": catalogue.InHouse,
	} {
		if got := c.Operation(code).Making; got != making {
			t.Errorf("%s is made %s, want %s", code, got, making)
		}
	}
	// Ordered at acceptance where the dossier orders after IN-01 or IN-03.
	for _, code := range []catalogue.Code{"BD-02", "ST-04", "CS-02", "CS-02L"} {
		if l := c.Operation(code).Lead; l == nil || l.After != "" {
			t.Errorf("%s is ordered %+v, want at acceptance", code, l)
		}
	}
}

func TestSittingsAreSpaced(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for code, want := range map[catalogue.Code]catalogue.Sessions{
		"TU-02":  {PerUnit: true, GapHours: dec("168")},
		"ST-05":  {Count: 3, GapHours: dec("24")},
		"CS-07":  {Count: 7, GapHours: dec("2")},
		"CS-07L": {Count: 7, GapHours: dec("2")},
		"CS-08":  {Count: 6, GapHours: dec("12")},
		"CS-08L": {Count: 6, GapHours: dec("12")},
	} {
		s := c.Operation(code).Sessions
		if s == nil || s.Count != want.Count || s.PerUnit != want.PerUnit ||
			!s.GapHours.Equal(want.GapHours) {
			t.Errorf("%s: got %+v, want %+v", code, s, want)
		}
	}
	if s := c.Operation("TU-02A").Sessions; s != nil {
		t.Errorf("one settling pass is one sitting, got %+v", s)
	}
	// A settling series comes with new wire only; kept strings get a pass at most.
	if refs := c.OptionsWith("TU-02"); len(refs) != 1 || refs[0].Option != "series" {
		t.Errorf("TU-02 stands in %v", refs)
	}
	for _, r := range c.Rules {
		for _, k := range r.Calls {
			if k.Option == "series" || k.Operation == "TU-02" {
				t.Errorf("rule %s calls for the series; only new wire does", r.ID)
			}
		}
	}
	if k := c.CompanionsOf("ST-02"); !slices.ContainsFunc(k, func(x catalogue.Companion) bool {
		return slices.Contains(x.Calls, catalogue.Call{Group: "SETTLING", Option: "series"})
	}) {
		t.Error("new wire calls for no settling series")
	}
}

func TestHardStopsAndDelivery(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	var stops []catalogue.PointCode
	for _, p := range c.Points {
		if p.HardStop {
			stops = append(stops, p.Code)
		}
	}
	// The dossier's six, and protected timber, which its section on gates names.
	if want := []catalogue.PointCode{
		"SV-29", "SV-42", "SV-53", "SV-54", "SV-55", "SV-61", "SV-63",
	}; !slices.Equal(stops, want) {
		t.Errorf("hard stops: got %v, want %v", stops, want)
	}
	for _, o := range c.Operations {
		if want := o.Code == "DL-01" || o.Code == "DL-02"; o.ForSale != want {
			t.Errorf("%s belongs to the sale: %v", o.Code, o.ForSale)
		}
		crew := 1
		if o.Skill == "haulage" {
			crew = 2
		}
		if o.Crew != crew {
			t.Errorf("%s has a crew of %d, want %d", o.Code, o.Crew, crew)
		}
		for _, h := range o.Hazards {
			if catalogue.Caution(h) == "" {
				t.Errorf("%s: no caution for %s", o.Code, h)
			}
		}
	}
	if catalogue.Caution("no such thing") != "" {
		t.Error("a caution for nothing")
	}
}
