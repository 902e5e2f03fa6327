package scope_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// oddShops are plank shops whose rules get in each other's way: options that are refused from above
// or below, or all at once, and rules that no order of settling satisfies.
var oddShops = []struct {
	name   string
	change func(*catalogue.Catalogue)
}{
	{"as it is", func(*catalogue.Catalogue) {}},
	{"no new strings on a cracked frame", func(c *catalogue.Catalogue) {
		c.Choices[0].Options[1].Refused = "SV-29:must_act"
		c.Choices[0].Options[1].RefusedWhy = "the frame would not hold them"
	}},
	{"nothing to do for the strings of a cracked frame", func(c *catalogue.Catalogue) {
		for i := range c.Choices[0].Options {
			c.Choices[0].Options[i].Refused = "SV-29:must_act"
		}
	}},
	{"no new plank beside leaded keys", func(c *catalogue.Catalogue) {
		c.Choices[1].Options[2].Refused = "SV-45:attention"
		c.Choices[1].Options[2].RefusedWhy = "the case is not opened up"
	}},
	{"reaming restrings, and new strings want the glue gone", func(c *catalogue.Catalogue) {
		c.Rules = append(c.Rules,
			rule("reamed", "op:BD-04;!op:DS-03", "STRING=restring"),
			rule("unreamed", "!op:BD-04;SV-13:attention", "PLANK=keep_oversize"))
	}},
	{"a rule that undoes what it rests on", func(c *catalogue.Catalogue) {
		c.Rules = append(c.Rules,
			rule("round", "option:STRING=in_place;SV-11:attention", "STRING=restring"),
			rule("and round", "!option:STRING=in_place;SV-11:attention", "PLANK=stopgap"))
	}},
	{"usual beside needed", func(c *catalogue.Catalogue) {
		c.Companions = append(c.Companions, catalogue.Companion{
			ID: "wire-plank", When: "ST-02", Calls: calls("PLANK=replace"), Necessity: catalogue.Usual,
			Reason: "new wire deserves a new plank",
		}, catalogue.Companion{
			ID: "tune-rollers", When: "AC-07", If: "SV-03:must_act|op:DS-01", Calls: calls("DS-01"),
			Reason: "rollers are renewed on the bench",
		})
	}},
}

func oddShop(change func(*catalogue.Catalogue)) *catalogue.Catalogue {
	c := plankShop()
	change(c)
	return c
}

// Whatever gets in each other's way, 64 worlds at once are those that are drawn one by one.
func TestSixtyFourWorldsOfOddShopsAreThoseDrawnOneByOne(t *testing.T) {
	t.Parallel()
	in := instrument.Instrument{Kind: catalogue.Grand}
	bad := []survey.Finding{
		domaintest.Number("SV-11", "5", ""), domaintest.Number("SV-11", "3", ""),
		domaintest.Number("SV-13", "7.3", ""), domaintest.Number("SV-13", "7.4", ""),
		domaintest.Number("SV-15", "4", ""), domaintest.Number("SV-17", "9", ""),
		domaintest.Number("SV-03", "53", ""), domaintest.Flag("SV-29", true),
		domaintest.Flag("SV-45", true),
	}
	cases := uint64(60)
	if testing.Short() {
		cases /= 3
	}
	for _, shop := range oddShops {
		c := oddShop(shop.change)
		for seed := range cases {
			r := rand.New(rand.NewPCG(seed, 7)) //nolint:gosec // a test's dice
			var given []survey.Finding
			for range r.IntN(3) {
				given = append(given, oneOf(r, bad))
			}
			findings := slices.DeleteFunc(sound(given...), func(survey.Finding) bool {
				return r.IntN(2) == 0 // nobody looked
			})
			findings = slices.CompactFunc(findings, func(a, b survey.Finding) bool {
				return a.Point == b.Point
			})
			js, err := survey.Judge(c, in.Kind, findings)
			if err != nil {
				t.Fatal(err)
			}
			var edits []scope.Edit
			for range r.IntN(4) {
				op := string(oneOf(r, c.Operations).Code)
				group := oneOf(r, c.Choices)
				edits = append(edits, oneOf(r, []scope.Edit{
					domaintest.Add(op), remove(op), removeWhy(op, "tired of it"),
					onTheWordOf("A. Marsh", op, scope.Done, "seen"), chance(catalogue.Code(op), "0.4"),
					domaintest.Choose(group.Group, oneOf(r, group.Options).Name),
				}))
			}
			what := scope.CompareBatch(c, in, js, oneOf(r, catalogue.Depths), edits,
				domaintest.SameOdds("0.5", "0.3", "0.2"), r)
			if what != "" {
				t.Errorf("%s, seed %d, edits %v: %s", shop.name, seed, edits, what)
			}
		}
	}
}

// An option that is refused gives way to the next more thorough one, else to the next less
// thorough; where all are refused, the scope says so.
func TestARefusedOptionGivesWay(t *testing.T) {
	t.Parallel()
	manyBroken, cracked := domaintest.Number("SV-17", "9", ""), domaintest.Flag("SV-29", true)
	for _, row := range []struct {
		shop  int
		given []survey.Finding
		want  string
		stop  string
	}{
		{0, []survey.Finding{manyBroken, cracked}, "restring keep_oversize", ""},
		{1, []survey.Finding{manyBroken}, "restring keep_oversize", ""},
		{1, []survey.Finding{manyBroken, cracked}, "in_place ", ""},
		{2, []survey.Finding{manyBroken}, "restring keep_oversize", ""},
		{2, []survey.Finding{manyBroken, cracked}, " ", "STRING is called for"},
	} {
		in := plankInputs(t, sound(row.given...))
		in.Catalogue = oddShop(oddShops[row.shop].change)
		s, err := in.DrawAdding()
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Settled["STRING"] + " " + s.Settled["PLANK"]; got != row.want {
			t.Errorf("%s: settled %q, want %q", oddShops[row.shop].name, got, row.want)
		}
		if row.stop == "" != (len(s.Stops) == 0) || !strings.Contains(fmt.Sprint(s.Stops), row.stop) {
			t.Errorf("%s: stops %v, want %q", oddShops[row.shop].name, s.Stops, row.stop)
		}
	}
}

// A buyer who adds a new plank and keeps the old one, or adds what takes the frame out and keeps
// the strings, is told what needs what.
func TestAnAdditionThatAChoiceKeepsOutIsRefusedWithItsNeed(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		edits  []scope.Edit
		detail string
		chain  []string
	}{
		{
			[]scope.Edit{domaintest.Add("BD-02"), domaintest.Choose("PLANK", "stopgap")},
			"PLANK",
			[]string{"PLANK"},
		},
		{
			[]scope.Edit{domaintest.Add("DS-03"), domaintest.Choose("STRING", "in_place")},
			"STRING",
			[]string{"DS-03"},
		},
	} {
		_, err := tryDraw(t, catalogue.Restore, sound(), row.edits...)
		if domaintest.KindOf(err) != domain.Conflict {
			t.Errorf("%v: %v", row.edits, err)
			continue
		}
		wantRefusal(t, err, row.detail, row.chain...)
	}
}

// What a line costs where it is needed doesn't depend on how likely that is, and is its share of
// the estimate where it is certain.
func TestALineCostsTheSameWhereItIsNeededHoweverLikelyThatIs(t *testing.T) {
	t.Parallel()
	in := domaintest.Inputs(t, catalogue.Restore)
	s, err := in.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	e, err := scope.Estimate(in.Catalogue, in.Instrument, in.Judgements, s, in.Terms)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, l := range s.Lines {
		if l.CountedIn != "" {
			continue
		}
		certain, err := scope.CostIfNeeded(
			in.Catalogue, in.Instrument, in.Judgements, s, l, in.Terms,
		)
		if err != nil {
			t.Fatal(err)
		}
		likely := l
		likely.Chance = domaintest.Dec("0.1")
		unlikely, err := scope.CostIfNeeded(
			in.Catalogue, in.Instrument, in.Judgements, s, likely, in.Terms,
		)
		if err != nil || !unlikely.Hours.Expected.Equal(certain.Hours.Expected) ||
			unlikely.Costs.Total.Likely != certain.Costs.Total.Likely {
			t.Errorf("%s costs %v, and %v at 0.1; %v", l.Operation, certain.Costs.Total,
				unlikely.Costs.Total, err)
		}
		for _, x := range e.Lines {
			if x.Ref == string(l.Operation) && l.Chance.Equal(domain.One) &&
				certain.Costs.Total.Likely != x.Costs.Total.Likely {
				t.Errorf("%s costs %v alone, %v in the estimate", l.Operation, certain.Costs.Total,
					x.Costs.Total)
			}
		}
		compared++
	}
	if compared == 0 {
		t.Error("nothing compared")
	}
}
