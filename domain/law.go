package domain

import "github.com/shopspring/decimal"

// The figures of law in this file are orientation and move: each names where
// it was read, none of them at the law itself. What is shown of them always
// ends with the deference to local rules and licensed people.

// IvoryStanding is how the UK's law on dealing in ivory stands to an instrument
// with ivory in it.
type IvoryStanding string

// The standings, by the Ivory Act 2018 as practitioners and a trade body sum it
// up: a musical instrument made before 1975 with less than a fifth of ivory by
// volume may be dealt in once it is registered; one of 1947 or later needs a
// certificate under Article 10 beside; a later one may not be dealt in.
const (
	IvoryUndated     IvoryStanding = "undated"              // nothing before the date is shown
	IvoryRegister    IvoryStanding = "register"             // registered first
	IvoryCertificate IvoryStanding = "register_and_certify" // registered, and an Article 10 certificate
	IvoryBarred      IvoryStanding = "barred"               // whatever the papers, until the keys are recovered
)

const (
	// ivoryBefore is the year before which a musical instrument must have been
	// made for its ivory to be exempt.
	ivoryBefore = 1975
	// ivoryWorkedBefore is the year before which no Article 10 certificate is
	// asked for.
	ivoryWorkedBefore = 1947
)

// IvoryInUK is how UK law stands to an instrument with ivory made in a year;
// 0 is a year that is not known. Other countries have other rules.
func IvoryInUK(year int) IvoryStanding {
	switch {
	case year <= 0:
		return IvoryUndated
	case year >= ivoryBefore:
		return IvoryBarred
	case year >= ivoryWorkedBefore:
		return IvoryCertificate
	default:
		return IvoryRegister
	}
}

// MayTrade reports whether the instrument may be dealt in once its papers are
// in order.
func (s IvoryStanding) MayTrade() bool { return s == IvoryRegister || s == IvoryCertificate }

// UKSolventLimitTonnes is the organic solvent in twelve months above which wood
// coating needs a local permit in the UK (a trade paper on note PG6/33).
var UKSolventLimitTonnes = decimal.New(5, 0)

// NeedsSolventPermit reports whether so many tonnes of organic solvent in
// twelve months need a permit in the UK.
func NeedsSolventPermit(tonnes decimal.Decimal) bool { return tonnes.GreaterThan(UKSolventLimitTonnes) }

// USIvoryLimitGrams is the weight of African elephant ivory in an object below
// which, with all the other conditions met, the federal ban of 2016 lets it
// pass between states; it was set to cover a set of key tops (the text of the
// Fish and Wildlife Service, quoted). States add bans of their own.
var USIvoryLimitGrams = decimal.New(200, 0)

// UnderUSIvoryLimit reports whether so many grams of ivory lie below it.
func UnderUSIvoryLimit(grams decimal.Decimal) bool { return grams.LessThan(USIvoryLimitGrams) }
