package bid_test

import (
	"os"
	"regexp"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/plan"
)

// indifferent are the kinds of event that change nothing of what a bid is worked out from: what is
// said about work or money and changes neither, and what is found or drawn elsewhere.
var indifferent = []domain.EventKind{
	domain.BidWorkedOut, domain.PlanMade,
	domain.InstrumentAdded, domain.SurveyTaken, domain.ScopeDrawn,
	domain.JobChangeProposed, domain.JobLimitAgreed,
	// what parts cost is the catalogue's: only when they are there counts
	domain.CounterSaleMade, domain.CounterSaleReturned, domain.KitAdded, domain.KitChanged,
	domain.PartAdjusted, domain.PartRecosted, domain.PartClassAdded, domain.PartClassChanged,
	domain.BooksClosed, domain.BooksReopened, // on which day something counts, not what it is
	// bids count with the settings
	domain.CostRecorded, domain.CostReversed, domain.InstrumentCosted, domain.RatesCorrected,
	domain.OverheadDisposed, domain.OverheadRestored, domain.OverheadSpent,
	domain.RatesSet,
	domain.SupplierBillCredited, domain.SupplierBillEntered, domain.SupplierBillPaid,
	// the owner that a hand-over and a return change is noted as a change of the instrument
	domain.DepositForfeited, domain.DepositRefunded, domain.DepositReversed, domain.DepositTaken,
	domain.InstrumentConsigned, domain.InstrumentUnconsigned,
	domain.InstrumentHandedOver, domain.InstrumentPriced, domain.InstrumentReturned,
	domain.InstrumentLost, domain.InstrumentPartedOut, domain.InstrumentSold, domain.InstrumentValued,
	domain.InvoiceCredited, domain.InvoiceRaised, domain.JobSettled,
	domain.PartyAdded, domain.PartyChanged,
	domain.PersonHoursApproved, domain.PersonOnDuty,
	domain.PromiseMade, domain.PromiseEnded, // which plans rest on
	domain.QuotationMade, domain.QuotationReplaced,
	domain.QuotationAnswered, // the job of a yes is an event of its own
	domain.TokenIssued, domain.TokenRevoked,
	domain.OpeningMade, domain.OpeningReversed, // as are their records
	domain.WorkshopConfirmed, domain.WorkshopFounded, domain.WorkshopJoined, // as are its jobs
}

func TestOfEveryKindOfEventItIsDecidedWhetherABidRestsOnIt(t *testing.T) {
	t.Parallel()
	source, err := os.ReadFile("../event.go")
	if err != nil {
		t.Fatal(err)
	}
	kinds := regexp.MustCompile(`EventKind = "([a-z_.]+)"`).FindAllStringSubmatch(string(source), -1)
	if len(kinds) < 40 {
		t.Fatalf("only %d kinds found", len(kinds))
	}
	for _, k := range kinds {
		kind, n := domain.EventKind(k[1]), 0
		for _, list := range [][]domain.EventKind{
			bid.RestsOn, bid.RestsOnInstrument, plan.DatesRestOnParts, indifferent,
		} {
			if slices.Contains(list, kind) {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%s is in %d of the four lists, want 1", kind, n)
		}
	}
}
