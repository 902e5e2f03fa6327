package bid_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
)

// A caller who has gone away doesn't keep a bid going until it is done.
func TestABidThatNobodyWaitsForAnyMoreIsGivenUp(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"))
	ctx, leave := context.WithCancel(t.Context())
	leave()
	_, err := bid.Compute(ctx, in, domaintest.Shipped(t), time.UTC)
	if !errors.Is(err, context.Canceled) {
		t.Errorf("worked out to the end, with error %v", err)
	}
}
