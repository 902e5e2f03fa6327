package caution

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// loadAtCents returns the fraction of the string load at pitch that remains when the pitch is off
// by cents: tension goes with the square of the frequency.
func loadAtCents(cents float64) float64 { return math.Exp2(2 * cents / 1200) }

// CautionsOfSale returns the cautions to read before the instrument is offered, bought or sold:
// ivory, protected timber, a cracked frame, tax, how to describe it, and its weight.
func CautionsOfSale(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, regime domain.TaxRegime,
	stops clearance.List,
) []Caution {
	b := newBuilder(c, in, js).before(
		stops, catalogue.ToBuy, catalogue.ToOffer, catalogue.ToSell, catalogue.ToMove,
	)
	var list []Caution
	for _, k := range []*Caution{b.ivoryAtSale(), b.timber(), b.frame()} {
		if k != nil {
			list = append(list, *k)
		}
	}
	move := Caution{Key: "lifting", Says: catalogue.Caution("lifting"), Standing: commonPractice}
	b.lifting(&move, &catalogue.Operation{})
	return append(list, tax(in, regime), description(), move)
}

// covering returns what the naturals are covered with, from the survey or else from the
// instrument's record; empty if neither says.
func (b *builder) covering() string {
	if answer := b.marked(catalogue.CoveringMark).Answer; answer != "" {
		return answer
	}
	return b.in.Covering
}

// ivoryElsewhere sums up the law on ivory outside the UK as practitioners and authorities describe
// it (sources S94 and S95 of the catalogue).
const ivoryElsewhere = "EU: only with ivory acquired before 1975/76 and with a certificate, whatever the age; member states differ. " +
	"US: trade between states is almost wholly banned, except for antiques of 100 years and objects with less than %s g that meet every condition; states add bans of their own. Elsewhere: ask the authority."

// ivory adds to k how the law on ivory applies to this instrument.
func (b *builder) ivory(k *Caution) {
	switch covering := b.covering(); covering {
	case "":
		k.Says = "What the naturals are covered with is not recorded: look with a lens first. " +
			k.Says
	case catalogue.IvoryAnswer, "bone":
		k.Standing = "source S90 S91 S92 S93 S94 S95"
		k.Says = fmt.Sprintf("Covered with %s. UK: %s. %s No exemption covers loose pieces (from memory). %s",
			covering, b.ivoryInUK(covering), fmt.Sprintf(ivoryElsewhere, domain.USIvoryLimitGrams), k.Says)
		b.stop(k, catalogue.CoveringMark)
	default:
		k.Says = fmt.Sprintf("The naturals are recorded as %s: make sure first. %s", covering, k.Says)
	}
}

func (b *builder) ivoryInUK(covering string) string {
	says := ""
	switch status := domain.IvoryInUK(b.in.Year); status {
	case domain.IvoryUndated:
		says = fmt.Sprintf(
			"no year of making is on record; only a registered instrument made before %d with less than a fifth of ivory may be dealt in, so find evidence of its date first",
			domain.IvoryBefore,
		)
	case domain.IvoryBarred:
		says = fmt.Sprintf(
			"made in %d; an instrument made in %d or later may not be dealt in, whatever its papers, until the keys have new covers",
			b.in.Year, domain.IvoryBefore,
		)
	case domain.IvoryCertificate, domain.IvoryRegister:
		says = fmt.Sprintf(
			"made in %d, before %d: may be dealt in once it is registered, with evidence of its date on file",
			b.in.Year, domain.IvoryBefore,
		)
		if status == domain.IvoryCertificate {
			says += fmt.Sprintf(
				", and has an Article 10 certificate, since it was made in %d or later",
				domain.IvoryWorkedBefore,
			)
		}
	}
	if covering != catalogue.IvoryAnswer {
		says += "; since January 2025 the same holds for several whales, narwhal and hippopotamus, so covers that look like bone are suspect until identified"
	}
	return says
}

// ivoryAtSale returns the caution on ivory, or nil if the naturals are known to be covered with
// something else.
func (b *builder) ivoryAtSale() *Caution {
	switch b.covering() {
	case "", catalogue.IvoryAnswer, "bone":
		k := Caution{
			Key: "ivory_law", Says: catalogue.Caution("ivory_law"), Standing: commonPractice,
		}
		b.ivory(&k)
		return &k
	}
	return nil
}

// timber returns the caution on protected timber (CITES annotation 15; sources S96 and S119 of the
// catalogue), or nil if the survey found none.
func (b *builder) timber() *Caution {
	k := Caution{Key: "protected_timber", Standing: "source S96 S119"}
	const papers = " Advertising it for sale counts as trade in the EU and the UK. New veneer or legs don't count as a finished instrument: check."
	switch answer := b.marked(catalogue.TimberMark).Answer; answer {
	case "none":
		return nil
	case "exempt_rosewood":
		k.Says = "The rosewood is of a kind that is exempt in a finished instrument: make sure of the species before it crosses a border." + papers
	case "siam_rosewood", "brazilian_rosewood":
		k.Says = "The rosewood is of a kind that needs a certificate to be traded or to cross a border." + papers
		b.stop(&k, catalogue.TimberMark)
	default:
		k.Standing = commonPractice
		k.Says = "It isn't known whether the case or any part is of a protected timber (rosewoods above all; some ebony sharps, from memory): look before it is offered." + papers
	}
	return &k
}

// frame returns the caution on a frame that the survey found cracked, or an earlier one that still
// stops the piano, or nil. It belongs to the sale because the frame stays under load wherever the
// piano goes.
func (b *builder) frame() *Caution {
	point := b.c.PointMarked(catalogue.FrameCrackMark)
	stops := slices.ContainsFunc(b.stops, func(s clearance.Stop) bool { return s.Point == point })
	if b.judgements.Of(point).Severity != catalogue.MustAct && !stops {
		return nil
	}
	k := Caution{Key: "string_tension", Standing: commonPractice}
	b.stringTension(&k)
	k.Says = "The frame is cracked and under load: don't raise the pitch or move the piano until a specialist's report is on file. " + k.Says
	b.stop(&k, catalogue.FrameCrackMark)
	return &k
}

// tax returns the caution on tax, worded for the workshop's regime; which regime applies is only
// settled by the sale itself.
func tax(in instrument.Instrument, regime domain.TaxRegime) Caution {
	k := Caution{Key: "tax", Standing: fromMemory}
	switch regime {
	case domain.MarginTax:
		k.Says = "The workshop uses a margin scheme for second-hand goods: the purchase invoice must allow it, and the stock book must show the piano from the day of purchase."
	case domain.StandardTax:
		k.Says = "The workshop charges tax on the whole price."
	default:
		k.Says = "The workshop charges no tax on sales."
	}
	if in.Owner == instrument.Client {
		k.Says += " This piano is a client's: only the work on it is charged."
	}
	k.Says += " Sales to the trade or abroad differ, and cash limits apply: ask your adviser."
	return k
}

// description returns the caution on how to describe a piano to a buyer.
func description() Caution {
	return Caution{
		Key: "description", Standing: fromMemory,
		Says: "\"Restored\" and \"rebuilt\" have no fixed meaning in law: say what was done, what was left, and what the survey did not look at. Consumers and distance selling have rules of their own.",
	}
}

// LeftOut returns the caution to mention in an instrument's description what was left out on
// somebody's word, or none if nothing was.
func LeftOut(waivers []scope.Waiver) []Caution {
	if len(waivers) == 0 {
		return nil
	}
	k := Caution{Key: "description", Standing: commonPractice}
	texts := make([]string, len(waivers))
	for i, w := range waivers {
		texts[i] = w.String()
		k.Operations = append(k.Operations, w.Operation)
	}
	k.Says = "Say in the description what was not done here, and on whose word. " +
		strings.Join(texts, ". ") + "."
	return []Caution{k}
}
