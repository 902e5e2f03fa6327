package domain_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"

	"pgregory.net/rapid"
)

// The trade facts in this file are common practice, no source, unless said.

// cautionOf is the caution of a key among a list.
func cautionOf(t *testing.T, list []domain.Caution, key string) domain.Caution {
	t.Helper()
	i := slices.IndexFunc(list, func(k domain.Caution) bool { return k.Key == key })
	if i < 0 {
		t.Fatalf("no caution %s among %+v", key, list)
	}
	return list[i]
}

func wantSays(t *testing.T, k domain.Caution, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(k.Says, w) {
			t.Errorf("%s: %q does not say %q", k.Key, k.Says, w)
		}
	}
}

// The load of the dossier's example scale, 174.8 kN over 227 strings
// (takeoff.md section 6).
func TestTheStringLoadIsAFigure(t *testing.T) {
	t.Parallel()
	k := cautionOf(t, domain.CautionsOf(shipped(t), grand(), nil, "DS-02"), "string_tension")
	wantSays(t, k, "175 kN over 227 strings", "1149 N", "illustrative", "never turn a frame bolt under load")
	if k.Figure == nil || k.Figure.Unit != "N" || k.Figure.Value.Round(-2).String() != "174800" || k.Figure.Basis != domain.Assumed {
		t.Errorf("got the figure %+v", k.Figure)
	}
	in := grand()
	in.Scale = wholeScale()
	if k = cautionOf(t, domain.CautionsOf(shipped(t), in, nil, "DS-02"), "string_tension"); k.Figure.Basis != domain.Known || strings.Contains(k.Says, "illustrative") {
		t.Errorf("of a measured scale: %+v", k)
	}
}

// 100 cents flat: 2^(−2/12) of the load, 89 %.
func TestAFlatPianoSaysWhatAPitchRaiseBrings(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	js := judged(t, c, grand(), []domain.Finding{number("SV-21", "-100", "cents")})
	wantSays(t, cautionOf(t, domain.CautionsOf(c, grand(), js, "TU-01"), "string_tension"), "100 cents flat", "89 % of that now")
}

func TestLiftingSaysTheWeightAndTheHands(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	wantSays(t, cautionOf(t, domain.CautionsOf(c, grand(), nil, "IN-02"), "lifting"), "308 kg", "give or take 15 %", "3 people at least", "stairs are for a haulage firm")
	wantSays(t, cautionOf(t, domain.CautionsOf(c, grand(), nil, "DS-03"), "hoist"), "frame weighs about 103 kg", "rated for twice that")
	small := domain.Instrument{Kind: catalogue.Upright, SizeMM: 1220, Notes: 88}
	wantSays(t, cautionOf(t, domain.CautionsOf(c, small, nil, "IN-02"), "lifting"), "227 kg", "2 people at least")
	big := domain.Instrument{Kind: catalogue.Grand, SizeMM: 2740, Notes: 88, Measured: []domain.Measurement{measure("kg of instrument", "480"), measure("kg of frame", "180")}}
	wantSays(t, cautionOf(t, domain.CautionsOf(c, big, nil, "DL-01"), "lifting"), "480 kg (measured by Ada Fernwood)", "4 people at least")
	wantSays(t, cautionOf(t, domain.CautionsOf(c, big, nil, "FR-06"), "lifting"), "frame weighs about 180 kg")
}

// UK and EU limits of wood dust (the dossier's S99), styrene's (S97), the UK's
// permit (S103).
func TestDustSolventAndSprayingHaveTheirFigures(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	js := judged(t, c, grand(), []domain.Finding{number("SV-50", "4", "")})
	s := scopeOf(t, grand(), catalogue.Restore, []domain.Finding{number("SV-50", "4", "")}, choose("FINISH", "polyester"))
	list := domain.CautionsOfJob(c, grand(), js, s)
	wantSays(t, cautionOf(t, list, "wood_dust"), "UK 3 mg/m³", "5 of softwood", "EU 2")
	wantSays(t, cautionOf(t, list, "styrene"), "US 100 ppm", "32 °C", "of liquid in this operation", "respirator")
	wantSays(t, cautionOf(t, list, "lead_paint"), "Test old coloured paint")
	permit := cautionOf(t, list, "solvent_permit")
	wantSays(t, permit, "more than 5 t in twelve months")
	if permit.Stop || permit.Figure == nil || permit.Figure.Unit != "kg" || !permit.Figure.Value.IsPositive() || len(permit.Operations) < 4 {
		t.Errorf("got %+v", permit)
	}
	found := judged(t, c, grand(), []domain.Finding{flag("SV-62", true)})
	wantSays(t, cautionOf(t, domain.CautionsOf(c, grand(), found, "CS-01"), "lead_paint"), "Found here")
}

func TestWhatAFirmDoesHasOnlyTheCautionsOfLaw(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for i := range c.Operations {
		op := &c.Operations[i]
		s := domain.Scope{Lines: []domain.Line{{Operation: op.Code, Making: catalogue.Outside, Chance: dec("1")}}}
		for _, k := range domain.CautionsByLine(c, grand(), nil, s)[0] {
			if k.Key != "ivory_law" && k.Key != "specialist_only" {
				t.Errorf("%s done outside has the caution %s", op.Code, k.Key)
			}
		}
	}
}

// Every hazard of every operation is warned of on each kind of piano, whatever
// is known of it, and each once in a job with the operations that it concerns.
func TestEveryHazardOfAnOperationIsWarnedOf(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	rapid.Check(t, func(rt *rapid.T) {
		in := domain.Instrument{
			Kind: rapid.SampledFrom([]catalogue.Kind{catalogue.Grand, catalogue.Upright}).Draw(rt, "kind"), Notes: rapid.IntRange(49, 108).Draw(rt, "notes"),
			SizeMM: rapid.SampledFrom([]int{0, 1100, 1300, 2000, 2740}).Draw(rt, "size"), Year: rapid.SampledFrom([]int{0, 1900, 1960, 1990}).Draw(rt, "year"),
			Covering: rapid.SampledFrom([]string{"", "ivory", "bone", "plastic", "celluloid"}).Draw(rt, "covering"),
		}
		s := domain.Scope{Depth: catalogue.Restore}
		for i := range c.Operations {
			op := &c.Operations[i]
			if h, ok := op.Hours[in.Kind]; ok {
				s.Lines = append(s.Lines, domain.Line{Operation: op.Code, Driver: op.Driver, Quantity: h.Baseline, Making: catalogue.InHouse, Chance: dec("1")})
			}
		}
		job := domain.CautionsOfJob(c, in, nil, s)
		for i, list := range domain.CautionsByLine(c, in, nil, s) {
			op := c.Operation(s.Lines[i].Operation)
			for n, hazard := range op.Hazards {
				k := list[n]
				base := catalogue.Caution(hazard)
				if k.Key != hazard || !strings.Contains(k.Says, base) || k.Standing == "" {
					rt.Errorf("%s %s: got %+v", op.Code, hazard, k)
				}
				if !slices.ContainsFunc(job, func(x domain.Caution) bool { return x.Says == k.Says && slices.Contains(x.Operations, op.Code) }) {
					rt.Errorf("%s %s is not in the job's", op.Code, hazard)
				}
			}
		}
		for i, k := range job {
			if slices.ContainsFunc(job[i+1:], func(x domain.Caution) bool { return x.Key == k.Key && x.Says == k.Says }) {
				rt.Errorf("%s is told twice", k.Key)
			}
		}
	})
}

// Ivory Act 2018 as the dossier sums it up (S90 to S92, safety_law.md section
// D); EU S94, US S95.
func TestIvoryStopsASaleByItsDate(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for year, words := range map[int][]string{
		0: {"no year of making", "date evidence"}, 1979: {"made in 1979", "may not be dealt in"}, 1975: {"1975 or later"},
		1974: {"registered", "Article 10"}, 1947: {"Article 10"}, 1946: {"registered"},
	} {
		in := grand()
		in.Covering, in.Year = "ivory", year
		k := cautionOf(t, domain.CautionsOfSale(c, in, nil, domain.MarginTax), "ivory_law")
		wantSays(t, k, append(words, "EU: only", "less than 200 g", "Elsewhere: ask")...)
		if !k.Stop {
			t.Errorf("made in %d: it does not stop", year)
		}
		if year == 1946 && strings.Contains(k.Says, "Article 10") {
			t.Errorf("of 1946: %s", k.Says)
		}
	}
	in := grand()
	wantSays(t, cautionOf(t, domain.CautionsOfSale(c, in, nil, domain.NoTax), "ivory_law"), "not recorded")
	in.Covering = "plastic"
	if slices.ContainsFunc(domain.CautionsOfSale(c, in, nil, domain.NoTax), func(k domain.Caution) bool { return k.Key == "ivory_law" }) {
		t.Error("plastic covers warn of ivory at the sale")
	}
	js := judged(t, c, in, []domain.Finding{{Point: "SV-42", Answer: "bone"}})
	wantSays(t, cautionOf(t, domain.CautionsOfSale(c, in, js, domain.NoTax), "ivory_law"), "bone", "hippopotamus") // surveyed, whatever the record says
}

func TestTimberTaxAndWordsGoWithTheSale(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	sale := func(regime domain.TaxRegime, findings ...domain.Finding) []domain.Caution {
		return domain.CautionsOfSale(c, grand(), judged(t, c, grand(), findings), regime)
	}
	timber := func(answer string) domain.Finding { return domain.Finding{Point: "SV-61", Answer: answer} }
	if k := cautionOf(t, sale(domain.NoTax, timber("brazilian_rosewood")), "protected_timber"); !k.Stop {
		t.Errorf("got %+v, want a stop", k)
	}
	if k := cautionOf(t, sale(domain.NoTax, timber("exempt_rosewood")), "protected_timber"); k.Stop {
		t.Errorf("got %+v, want no stop", k)
	}
	wantSays(t, cautionOf(t, domain.CautionsOfSale(c, grand(), nil, domain.NoTax), "protected_timber"), "not known")
	if slices.ContainsFunc(sale(domain.NoTax, timber("none")), func(k domain.Caution) bool { return k.Key == "protected_timber" }) {
		t.Error("no protected timber is warned of")
	}
	for regime, words := range map[domain.TaxRegime]string{domain.NoTax: "no tax", domain.StandardTax: "whole price", domain.MarginTax: "stock book"} {
		wantSays(t, cautionOf(t, sale(regime), "tax"), words, "ask your adviser")
	}
	wantSays(t, cautionOf(t, sale(domain.NoTax), "description"), "no fixed meaning")
	wantSays(t, cautionOf(t, sale(domain.NoTax), "lifting"), "308 kg")
	if k := cautionOf(t, sale(domain.NoTax, flag("SV-29", true)), "string_tension"); !k.Stop {
		t.Errorf("a cracked frame: %+v", k)
	}
}
