package domain

import (
	"github.com/shopspring/decimal"
)

// The figures of law in this file are for orientation and change with time. Each names where it was
// read; none was read in the law itself. Whatever shows them ends by deferring to local rules and
// to licensed people.

// IvoryStatus says whether UK law lets an instrument with ivory in it be dealt in, and on what
// terms.
type IvoryStatus string

// The statuses, by the Ivory Act 2018 as practitioners and a trade body sum it up: a musical
// instrument made before 1975 with less than a fifth of ivory by volume may be dealt in once it is
// registered; one made in 1947 or later needs a certificate under Article 10 as well; one made in
// 1975 or later may not be dealt in.
const (
	IvoryUndated  IvoryStatus = "undated"  // nothing, until its date is shown
	IvoryRegister IvoryStatus = "register" // once it is registered
	// once it is registered and has an Article 10 certificate
	IvoryCertificate IvoryStatus = "register_and_certify"
	// not until the keys are recovered, whatever its papers
	IvoryBarred IvoryStatus = "barred"
)

const (
	// IvoryBefore is the year before which a musical instrument must have been made for its ivory
	// to be exempt.
	IvoryBefore = 1975
	// IvoryWorkedBefore is the year before which no Article 10 certificate is asked for.
	IvoryWorkedBefore = 1947
)

// IvoryInUK returns the status in the UK of an instrument with ivory that was made in a year; 0
// where the year isn't known. Other countries have other rules.
func IvoryInUK(year int) IvoryStatus {
	switch {
	case year <= 0:
		return IvoryUndated
	case year >= IvoryBefore:
		return IvoryBarred
	case year >= IvoryWorkedBefore:
		return IvoryCertificate
	default:
		return IvoryRegister
	}
}

// UKSolventLimitTonnes is the organic solvent used in twelve months above which wood coating needs
// a local permit in the UK (a trade paper on note PG6/33).
var UKSolventLimitTonnes = decimal.New(5, 0)

// NeedsSolventPermit reports whether so many tonnes of organic solvent in twelve months need a
// permit in the UK.
func NeedsSolventPermit(tonnes decimal.Decimal) bool {
	return tonnes.GreaterThan(UKSolventLimitTonnes)
}

// USIvoryLimitGrams is the weight of African elephant ivory below which the US federal ban of 2016
// lets an object pass between states, if it meets all the other conditions; it was set to cover a
// set of key tops (the text of the Fish and Wildlife Service, quoted). States have bans of their
// own.
var USIvoryLimitGrams = decimal.New(200, 0)
