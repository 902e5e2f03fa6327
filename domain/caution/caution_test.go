package caution_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"pgregory.net/rapid"
)

// The trade facts in this file are common practice, no source, unless said.

// ofOperation returns the cautions of one operation that is done in house.
func ofOperation(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, code catalogue.Code,
) []caution.Caution {
	return caution.CautionsByLine(c, in, js, scope.Scope{Lines: []scope.Line{
		{Operation: code, Making: catalogue.InHouse, Chance: domaintest.Dec("1")},
	}}, nil)[0]
}

// cautionOf returns the caution with a key from a list.
func cautionOf(t *testing.T, list []caution.Caution, key string) caution.Caution {
	t.Helper()
	i := slices.IndexFunc(list, func(k caution.Caution) bool { return k.Key == key })
	if i < 0 {
		t.Fatalf("no caution %s among %+v", key, list)
	}
	return list[i]
}

func wantSays(t *testing.T, k caution.Caution, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(k.Says, w) {
			t.Errorf("%s: %q does not say %q", k.Key, k.Says, w)
		}
	}
}

// The dossier's example scale carries 174.8 kN over 227 strings.
func TestTheStringLoadIsAFigure(t *testing.T) {
	t.Parallel()
	k := cautionOf(
		t, ofOperation(domaintest.Shipped(t), domaintest.Grand(), nil, "DS-02"),
		"string_tension",
	)
	wantSays(
		t, k, "175 kN over 227 strings", "1149 N", "illustrative",
		"never turn a frame bolt under load",
	)
	if k.Figure == nil || k.Figure.Unit != "N" || k.Figure.Value.Round(-2).String() != "174800" ||
		k.Figure.Basis != instrument.Assumed {
		t.Errorf("got the figure %+v", k.Figure)
	}
	in := domaintest.Grand()
	in.Scale = domaintest.WholeScale()
	if k = cautionOf(
		t, ofOperation(domaintest.Shipped(t), in, nil, "DS-02"), "string_tension",
	); k.Figure.Basis != instrument.Known || strings.Contains(k.Says, "illustrative") {
		t.Errorf("with a measured scale: %+v", k)
	}
}

// 100 cents flat: 2^(−2/12) of the load, 89 %.
func TestAFlatPianoSaysWhatAPitchRaiseBrings(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js := domaintest.Judged(
		t, c, domaintest.Grand(), []survey.Finding{domaintest.Number("SV-21", "-100", "cents")},
	)
	wantSays(
		t, cautionOf(t, ofOperation(c, domaintest.Grand(), js, "TU-01"), "string_tension"),
		"100 cents flat", "89 % of that now",
	)
}

func TestLiftingSaysTheWeightAndTheHands(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	wantSays(
		t, cautionOf(t, ofOperation(c, domaintest.Grand(), nil, "IN-02"), "lifting"),
		"308 kg", "give or take 15 %", "at least 3 people", "leave stairs to a haulage firm",
		"The plan counts 2 of the crew", "get 1 more to lift",
	)
	wantSays(
		t, cautionOf(t, ofOperation(c, domaintest.Grand(), nil, "DS-03"), "hoist"),
		"frame weighs about 103 kg", "rated for at least twice that",
	)
	small := instrument.Instrument{Kind: catalogue.Upright, SizeMM: 1220, Notes: 88}
	wantSays(
		t, cautionOf(t, ofOperation(c, small, nil, "IN-02"), "lifting"), "227 kg",
		"roll it whole on the level takes at least 3 people",
	)
	small.Measured = []instrument.Measurement{domaintest.Measure("kg of instrument", "180")}
	wantSays(
		t, cautionOf(t, ofOperation(c, small, nil, "IN-02"), "lifting"), "180 kg (measured",
		"at least 2 people",
	)
	big := instrument.Instrument{
		Kind: catalogue.Grand, SizeMM: 2740, Notes: 88,
		Measured: []instrument.Measurement{
			domaintest.Measure("kg of instrument", "480"), domaintest.Measure("kg of frame", "180"),
		},
	}
	wantSays(
		t, cautionOf(t, ofOperation(c, big, nil, "DL-01"), "lifting"),
		"480 kg (measured by Ada Fernwood)", "at least 4 people",
	)
	wantSays(
		t, cautionOf(t, ofOperation(c, big, nil, "FR-06"), "lifting"),
		"frame weighs about 180 kg",
	)
}

// Limits for wood dust (the dossier's S99) and styrene (S97), and the UK's permit (S103).
func TestDustSolventAndSprayingHaveTheirFigures(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js := domaintest.Judged(
		t, c, domaintest.Grand(), []survey.Finding{domaintest.Number("SV-50", "4", "")},
	)
	s := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore,
		[]survey.Finding{domaintest.Number("SV-50", "4", "")},
		domaintest.Choose("FINISH", "polyester"),
	)
	list := caution.CautionsOfJob(c, domaintest.Grand(), js, s, nil)
	wantSays(t, cautionOf(t, list, "wood_dust"), "UK 3 mg/m³", "5 for softwood", "EU 2")
	wantSays(
		t, cautionOf(t, list, "styrene"), "US 100 ppm", "32 °C", "l of liquid",
		"respirator",
	)
	wantSays(t, cautionOf(t, list, "lead_paint"), "Test old coloured paint")
	permit := cautionOf(t, list, "solvent_permit")
	wantSays(t, permit, "more than 5 t in twelve months")
	if permit.Stop || permit.Figure == nil || permit.Figure.Unit != "kg" ||
		!permit.Figure.Value.IsPositive() || len(permit.Operations) < 4 {
		t.Errorf("got %+v", permit)
	}
	found := domaintest.Judged(
		t, c, domaintest.Grand(), []survey.Finding{domaintest.Flag("SV-62", true)},
	)
	wantSays(
		t, cautionOf(t, ofOperation(c, domaintest.Grand(), found, "CS-01"), "lead_paint"),
		"Found here",
	)
}

func TestWhatAFirmDoesHasOnlyTheCautionsOfLaw(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	for i := range c.Operations {
		op := &c.Operations[i]
		s := scope.Scope{
			Lines: []scope.Line{
				{Operation: op.Code, Making: catalogue.Outside, Chance: domaintest.Dec("1")},
			},
		}
		for _, k := range caution.CautionsByLine(c, domaintest.Grand(), nil, s, nil)[0] {
			if k.Key != "ivory_law" && k.Key != "specialist_only" {
				t.Errorf("%s done outside has the caution %s", op.Code, k.Key)
			}
		}
	}
}

// Every hazard of every operation gets its caution on each kind of piano, whatever is known of it;
// in a job each caution appears once, with the operations it concerns.
func TestEveryHazardOfAnOperationIsWarnedOf(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(rt *rapid.T) {
		in := instrument.Instrument{
			Kind: rapid.SampledFrom(
				[]catalogue.Kind{catalogue.Grand, catalogue.Upright},
			).Draw(rt, "kind"), Notes: rapid.IntRange(49, 108).Draw(rt, "notes"),
			SizeMM: rapid.SampledFrom(
				[]int{0, 1100, 1300, 2000, 2740},
			).Draw(rt, "size"), Year: rapid.SampledFrom([]int{0, 1900, 1960, 1990}).Draw(rt, "year"),
			Covering: rapid.SampledFrom(
				[]string{"", "ivory", "bone", "plastic", "celluloid"},
			).Draw(rt, "covering"),
		}
		s := scope.Scope{Depth: catalogue.Restore}
		for i := range c.Operations {
			op := &c.Operations[i]
			if h, ok := op.Hours[in.Kind]; ok {
				s.Lines = append(
					s.Lines,
					scope.Line{
						Operation: op.Code, Driver: op.Driver, Quantity: h.Baseline,
						Making: catalogue.InHouse, Chance: domaintest.Dec("1"),
					},
				)
			}
		}
		job := caution.CautionsOfJob(c, in, nil, s, nil)
		for i, list := range caution.CautionsByLine(c, in, nil, s, nil) {
			op := c.Operation(s.Lines[i].Operation)
			for n, hazard := range op.Hazards {
				k := list[n]
				base := catalogue.Caution(hazard)
				if k.Key != hazard || !strings.Contains(k.Says, base) || k.Standing == "" {
					rt.Errorf("%s %s: got %+v", op.Code, hazard, k)
				}
				if !slices.ContainsFunc(
					job,
					func(x caution.Caution) bool {
						return x.Says == k.Says && slices.Contains(x.Operations, op.Code)
					},
				) {
					rt.Errorf("%s %s is missing from the cautions of the job", op.Code, hazard)
				}
			}
		}
		for i, k := range job {
			if slices.ContainsFunc(
				job[i+1:],
				func(x caution.Caution) bool { return x.Key == k.Key && x.Says == k.Says },
			) {
				rt.Errorf("the job has the caution %s twice", k.Key)
			}
		}
	})
}

// Ivory Act 2018 as the dossier sums it up (S90 to S92); EU S94, US S95.
func TestIvoryStopsASaleByItsDate(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	for year, words := range map[int][]string{
		0: {"no year of making", "date evidence"}, 1979: {
			"made in 1979", "may not be dealt in",
		}, 1975: {"1975 or later"},
		1974: {"registered", "Article 10"}, 1947: {"Article 10"}, 1946: {"registered"},
	} {
		in := domaintest.Grand()
		in.Covering, in.Year = "ivory", year
		stops := domaintest.Stops(t, "GB", in, nil)
		k := cautionOf(t, caution.CautionsOfSale(c, in, nil, domain.MarginTax, stops), "ivory_law")
		wantSays(t, k, append(words, "EU: only", "less than 200 g", "Elsewhere: ask")...)
		if !k.Stop {
			t.Errorf("made in %d: the caution does not stop the sale", year)
		}
		if year == 1946 && strings.Contains(k.Says, "Article 10") {
			t.Errorf("made in 1946 it needs no Article 10 certificate: %s", k.Says)
		}
	}
	in := domaintest.Grand()
	wantSays(
		t, cautionOf(t, caution.CautionsOfSale(c, in, nil, domain.NoTax, nil), "ivory_law"),
		"not recorded",
	)
	in.Covering = "plastic"
	if slices.ContainsFunc(
		caution.CautionsOfSale(c, in, nil, domain.NoTax, nil),
		func(k caution.Caution) bool { return k.Key == "ivory_law" },
	) {
		t.Error("plastic covers still bring an ivory caution at the sale")
	}
	js := domaintest.Judged(t, c, in, []survey.Finding{{Point: "SV-42", Answer: "bone"}})
	// the survey wins over the record
	wantSays(
		t, cautionOf(t, caution.CautionsOfSale(c, in, js, domain.NoTax, nil), "ivory_law"), "bone",
		"hippopotamus",
	)
}

// A client's keys are of ivory, and he keeps his piano: the caution notes it and stops no work.
// What was cleared is told with who answers for it.
func TestIvoryIsNotedAtTheWorkAndAClearanceIsToldAtTheSale(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Year, in.Owner = "ivory", 1904, instrument.Client
	stops := domaintest.Stops(t, "GB", in, nil)
	s := scope.Scope{Lines: []scope.Line{{Operation: "KY-03", Chance: domaintest.Dec("1")}}}
	k := cautionOf(t, caution.CautionsOfJob(c, in, nil, s, stops), "ivory_law")
	wantSays(t, k, "Covered with ivory")
	if k.Stop {
		t.Errorf("a client who keeps his piano is stopped: %s", k.Says)
	}
	paper, err := stops.Clear(clearance.Clearance{
		Stop: "ivory-register", By: "Ada Fernwood", Says: "registered", Reference: "REG-1",
		Dated: domaintest.JobDay,
	}, domain.Owner, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	stops = domaintest.Stops(t, "GB", in, nil, paper)
	k = cautionOf(t, caution.CautionsOfSale(c, in, nil, domain.NoTax, stops), "ivory_law")
	wantSays(t, k, "Cleared by Ada Fernwood on 2026-03-02: registered (REG-1 of 2026-03-02)")
	if k.Stop {
		t.Errorf("registered, it stops: %s", k.Says)
	}
}

// Ivory of 1979 can't be dealt in (S90, S91). A client keeps his, the work on it is done, and the
// caution goes with the work.
func TestTheCautionStaysWithTheIvoryThatAClientKeeps(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Year, in.Owner = "ivory", 1979, instrument.Client
	findings := []survey.Finding{
		domaintest.Answer("SV-42", "ivory"), domaintest.Number("SV-43", "2", ""),
	}
	stops := domaintest.Stops(t, "GB", in, findings)
	s := domaintest.ScopeOf(t, in, catalogue.Recondition, findings)
	k := cautionOf(t, caution.CautionsOfJob(c, in, nil, s, stops), "ivory_law")
	if !slices.Contains(k.Operations, "KY-04") || k.Stop {
		t.Errorf("the caution goes with %v and stops the work: %v", k.Operations, k.Stop)
	}
	wantSays(t, k, "Covered with ivory", "1975 or later")
}

func TestTimberTaxAndWordsGoWithTheSale(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	sale := func(regime domain.TaxRegime, findings ...survey.Finding) []caution.Caution {
		return caution.CautionsOfSale(
			c, domaintest.Grand(), domaintest.Judged(t, c, domaintest.Grand(), findings), regime,
			domaintest.Stops(t, "GB", domaintest.Grand(), findings),
		)
	}
	timber := func(answer string) survey.Finding {
		return survey.Finding{Point: "SV-61", Answer: answer}
	}
	if k := cautionOf(
		t, sale(domain.NoTax, timber("brazilian_rosewood")), "protected_timber",
	); !k.Stop {
		t.Errorf("got %+v, want a stop", k)
	}
	if k := cautionOf(t, sale(domain.NoTax, timber("exempt_rosewood")), "protected_timber"); k.Stop {
		t.Errorf("got %+v, want no stop", k)
	}
	wantSays(
		t,
		cautionOf(
			t, caution.CautionsOfSale(c, domaintest.Grand(), nil, domain.NoTax, nil), "protected_timber",
		),
		"isn't known",
	)
	if slices.ContainsFunc(
		sale(domain.NoTax, timber("none")),
		func(k caution.Caution) bool { return k.Key == "protected_timber" },
	) {
		t.Error("a piano without protected timber still has a timber caution")
	}
	for regime, words := range map[domain.TaxRegime]string{
		domain.NoTax: "no tax", domain.StandardTax: "whole price", domain.MarginTax: "stock book",
	} {
		wantSays(t, cautionOf(t, sale(regime), "tax"), words, "ask your adviser")
	}
	wantSays(t, cautionOf(t, sale(domain.NoTax), "description"), "no fixed meaning")
	wantSays(t, cautionOf(t, sale(domain.NoTax), "lifting"), "308 kg")
	if k := cautionOf(
		t, sale(domain.NoTax, domaintest.Flag("SV-29", true)), "string_tension",
	); !k.Stop {
		t.Errorf("a cracked frame: %+v", k)
	}
	// A newer survey, of somebody who may not answer for it, found the frame sound.
	crack := domaintest.Stops(
		t, "GB", domaintest.Grand(), []survey.Finding{domaintest.Flag("SV-29", true)},
	)
	sound := domaintest.Judged(
		t, c, domaintest.Grand(), []survey.Finding{domaintest.Flag("SV-29", false)},
	)
	if k := cautionOf(
		t, caution.CautionsOfSale(c, domaintest.Grand(), sound, domain.NoTax, crack), "string_tension",
	); !k.Stop {
		t.Errorf("a crack that still stops the piano: %+v", k)
	}
}
