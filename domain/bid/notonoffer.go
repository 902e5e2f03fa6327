package bid

import "bentside/domain/instrument"

// NotOnOffer says why nothing can be bought by the bid, whatever its ways say; empty for an
// instrument that was on offer when it was worked out.
func (in Inputs) NotOnOffer() string {
	switch in.Instrument.Owner {
	case instrument.Stock:
		return "the instrument is ours already: the prices are what it would be worth to us, and " +
			"no purchase can be recorded"
	case instrument.Client:
		return "the instrument is a client's and not on offer: the prices are what it would be " +
			"worth to us, and no purchase can be recorded before its record says that it is offered"
	case instrument.Offered:
	}
	return ""
}
