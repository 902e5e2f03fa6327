package bid_test

import (
	"strings"
	"testing"

	"bentside/domain/bid"
	"bentside/domain/instrument"
)

func TestABidOnWhatIsNotOnOfferSaysSo(t *testing.T) {
	t.Parallel()
	for owner, want := range map[instrument.Ownership]string{
		instrument.Offered: "", instrument.Stock: "ours already", instrument.Client: "a client's",
	} {
		in := bid.Inputs{Instrument: instrument.Instrument{Owner: owner}}
		if got := in.NotOnOffer(); (got == "") != (want == "") || !strings.Contains(got, want) {
			t.Errorf("%s: got %q, want it to say %q", owner, got, want)
		}
	}
}
