package domain

import (
	"fmt"
	"math"

	"bentside/domain/catalogue"
)

// timberPoint is the survey's point of protected timber.
const timberPoint catalogue.PointCode = "SV-61"

// loadAtCents is the share of the load at pitch that strings bear so many cents
// from it: tension goes with the square of the frequency.
func loadAtCents(cents float64) float64 { return math.Exp2(2 * cents / 1200) }

// CautionsOfSale are what to know before the instrument is offered, bought or
// sold: ivory, protected timber, tax, how it is described, and its weight.
func CautionsOfSale(c *catalogue.Catalogue, in Instrument, js Judgements, regime TaxRegime) []Caution {
	x := newCautioner(c, in, js)
	var list []Caution
	for _, k := range []*Caution{x.ivoryAtSale(), x.timber(), x.frame()} {
		if k != nil {
			list = append(list, *k)
		}
	}
	move := Caution{Key: "lifting", Says: catalogue.Caution("lifting"), Standing: commonPractice}
	x.lifting(&move, &catalogue.Operation{})
	return append(list, tax(in, regime), described(), move)
}

// covering is what the naturals are covered with: as surveyed, else as on
// record; empty where neither says.
func (x *cautioner) covering() string {
	d := drawer{c: x.c}
	if answer := x.judgements.Of(d.ivoryPoint()).Answer; answer != "" {
		return answer
	}
	return x.in.Covering
}

// The law on ivory in other places, as practitioners and authorities sum it up
// (the dossier's S94 and S95).
const ivoryElsewhere = "EU: only with ivory acquired before 1975/76 and with a certificate, whatever the age; states differ. " +
	"US: near-total ban between states but for antiques of 100 years and objects with less than %s g that meet every condition, and states add bans. Elsewhere: ask the authority."

// ivory says how the law on ivory stands to this instrument.
func (x *cautioner) ivory(k *Caution) {
	switch covering := x.covering(); covering {
	case "":
		k.Says = "It is not recorded what the naturals are covered with: look with a lens first. " + k.Says
	case ivory, "bone":
		k.Stop = true
		k.Standing = "source S90 S91 S92 S93 S94 S95"
		k.Says = fmt.Sprintf("Covered with %s. UK: %s. %s Loose pieces fall under no exemption (from memory). %s",
			covering, x.ivoryInUK(covering), fmt.Sprintf(ivoryElsewhere, USIvoryLimitGrams), k.Says)
	default:
		k.Says = fmt.Sprintf("The naturals are recorded as %s: make sure. %s", covering, k.Says)
	}
}

func (x *cautioner) ivoryInUK(covering string) string {
	says := ""
	switch standing := IvoryInUK(x.in.Year); standing {
	case IvoryUndated:
		says = fmt.Sprintf("no year of making is on record; only what was made before %d, with less than a fifth of ivory and registered, may be dealt in, so date evidence comes first", ivoryBefore)
	case IvoryBarred:
		says = fmt.Sprintf("made in %d, that is %d or later: it may not be dealt in, whatever the papers, until the keys are recovered", x.in.Year, ivoryBefore)
	case IvoryCertificate, IvoryRegister:
		says = fmt.Sprintf("made in %d, before %d: may be dealt in once it is registered, with date evidence on file", x.in.Year, ivoryBefore)
		if standing == IvoryCertificate {
			says += fmt.Sprintf(", and with an Article 10 certificate since it is of %d or later", ivoryWorkedBefore)
		}
	}
	if covering != ivory {
		says += "; since January 2025 the same holds for several whales, narwhal and hippopotamus, so bone-like covers are suspect until they are named"
	}
	return says
}

// ivoryAtSale is the caution on ivory; nil where the naturals are of something
// else.
func (x *cautioner) ivoryAtSale() *Caution {
	switch x.covering() {
	case "", ivory, "bone":
		k := Caution{Key: "ivory_law", Says: catalogue.Caution("ivory_law"), Standing: commonPractice}
		x.ivory(&k)
		return &k
	}
	return nil
}

// timber is the caution on protected timber (CITES annotation 15; the dossier's
// S96 and S119); nil where the survey found none.
func (x *cautioner) timber() *Caution {
	k := Caution{Key: "protected_timber", Standing: "source S96 S119"}
	const papers = " Advertising it for sale counts as trade in the EU and the UK. New veneer or legs are no finished instrument: check."
	switch answer := x.judgements.Of(timberPoint).Answer; answer {
	case "none":
		return nil
	case "exempt_rosewood":
		k.Says = "A rosewood that is exempt as a finished instrument: make sure of the species before it crosses a border." + papers
	case "siam_rosewood", "brazilian_rosewood":
		k.Stop = true
		k.Says = "A rosewood that needs a certificate to be traded or to cross a border." + papers
	default:
		k.Standing = commonPractice
		k.Says = "It is not known whether case or parts are of a protected timber (rosewoods above all; some ebony of sharps, from memory): look before it is offered." + papers
	}
	return &k
}

// framePoint is the survey's point of a cracked frame.
const framePoint catalogue.PointCode = "SV-29"

// frame warns of a frame that the survey found cracked: it stands under the
// whole load, wherever it goes.
func (x *cautioner) frame() *Caution {
	if x.judgements.Of(framePoint).Severity != catalogue.MustAct {
		return nil
	}
	k := Caution{Key: "string_tension", Standing: commonPractice, Stop: true}
	x.stringTension(&k)
	k.Says = "The frame is cracked and under load: no pitch raise, no move before a specialist's report is on file. " + k.Says
	return &k
}

// tax says which regime the workshop is set to, and that it settles nothing.
func tax(in Instrument, regime TaxRegime) Caution {
	k := Caution{Key: "tax", Standing: fromMemory}
	switch regime {
	case MarginTax:
		k.Says = "Set to a margin scheme for second-hand goods: the purchase invoice must allow it, and the stock book must show it from the day of purchase."
	case StandardTax:
		k.Says = "Set to tax on the whole price."
	default:
		k.Says = "Set to no tax on sales."
	}
	if in.Owner == Client {
		k.Says += " This one is a client's: only the work on it is charged."
	}
	k.Says += " Sales to the trade and abroad differ, and limits on cash apply: ask your adviser."
	return k
}

// described is the caution on the words that a piano is sold with.
func described() Caution {
	return Caution{
		Key: "description", Standing: fromMemory,
		Says: "\"Restored\" and \"rebuilt\" have no fixed meaning in law: say what was done and what was left, and what the survey did not look at. Consumers and sales at a distance have rights of their own.",
	}
}
