package bid

import (
	"slices"

	"bentside/domain"
)

// OpenRegimes returns the tax regimes that a purchase leaves open to the later sale, in a workshop
// of a regime. Tax shown on the seller's invoice closes a margin scheme, and a workshop that isn't
// registered charges none (HMRC VATMARG02300; articles 311 to 315 of Directive 2006/112/EC).
// Neither a consigned instrument nor a donor of parts is sold as ours, so nothing is decided by
// what is paid for it.
func (q Question) OpenRegimes(workshop domain.TaxRegime, taxShown bool) []domain.TaxRegime {
	switch form := q.AcquiredBy(); {
	case form == Consigned || form == DonorOfParts:
		return nil
	case workshop == domain.NoTax:
		return []domain.TaxRegime{domain.NoTax}
	case taxShown:
		return []domain.TaxRegime{domain.StandardTax}
	}
	return []domain.TaxRegime{domain.MarginTax, domain.StandardTax}
}

// AssumedRegime returns the regime that the bid assumes for the sale: the workshop's, unless the
// purchase closes it.
func (in Inputs) AssumedRegime() domain.TaxRegime {
	regime := in.Workshop.Terms.TaxRegime
	open := in.Asked.OpenRegimes(regime, in.Asked.TaxShown)
	if len(open) > 0 && !slices.Contains(open, regime) {
		return open[0]
	}
	return regime
}
