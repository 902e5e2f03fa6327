package app_test

import (
	"fmt"
	"slices"
	"sync"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/instrument"

	"github.com/shopspring/decimal"
)

// Two buyers close on one instrument at once, each with a bid of their own: exactly one purchase is
// recorded.
func TestOfTwoPurchasesAtOnceOneIsKept(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, s := told(t)
	again, err := a.WorkOutBid(
		ctx, s.Owner,
		app.BidRequest{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: s.Bid.Inputs.Asked},
	)
	if err != nil {
		t.Fatal(err)
	}
	errs := make([]error, 6)
	var all sync.WaitGroup
	for n := range errs {
		b := s.Bid.ID
		if n%2 == 1 {
			b = again.ID
		}
		amount := decimal.NewFromInt(int64(100 + n))
		all.Go(func() {
			_, errs[n] = a.RecordOffer(ctx, s.Owner, bid.Offer{
				Bid: b, Kind: bid.Bought, Depth: s.Bid.Result.Ways[1].Depth, Amount: &amount,
				StockNumber: fmt.Sprintf("K-9%d", n), Reason: "at once",
			})
		})
	}
	all.Wait()
	kept := slices.DeleteFunc(slices.Clone(errs), func(err error) bool { return err != nil })
	for _, err := range errs {
		if err != nil && faultKind(err) != domain.Conflict {
			t.Errorf("refused with %v, want a conflict", err)
		}
	}
	r := a.Read(ctx, s.Owner)
	var bought []postgres.StoredOffer
	for _, bid := range []app.WorkedBid{s.Bid, again} {
		list, err := r.Offers(ctx, bid.ID, postgres.Page{Limit: 100})
		if err != nil {
			t.Fatal(err)
		}
		bought = append(bought, list...)
	}
	i, err := r.Instrument(ctx, s.Candidate.ID)
	if err != nil {
		t.Fatal(err)
	}
	if len(kept) != 1 || len(bought) != 1 || i.Value.StockNumber != bought[0].StockNumber ||
		i.Value.Owner != instrument.Stock {
		t.Errorf(
			"%d purchases answered well, %d kept, the instrument is %s %s", len(kept), len(bought),
			i.Value.Owner, i.Value.StockNumber,
		)
	}
}
