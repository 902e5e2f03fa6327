package bid_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
)

// freshBid returns a question for a grand whose hammers nobody has looked at, put to a workshop
// that hasn't entered a figure of its own.
func freshBid(t *testing.T) bid.Inputs {
	t.Helper()
	in := bidFor(t, bid.Way{
		Depth: catalogue.Recondition, SalePrice: domaintest.Dec("19800"),
	})
	rates := in.Workshop.Terms.LabourRates
	for skill := range rates {
		rates[skill] = domain.DefaultLabourRate
	}
	in.Workshop.Terms = domain.DefaultTerms(in.Workshop.Terms.Currency)
	in.Workshop.Terms.LabourRates = rates
	in.Findings = in.Findings[:len(in.Findings)/2]
	in.AsShipped = catalogue.AsShipped{Operations: 80, Materials: 60}
	return in
}

func assumed(in bid.Inputs, r bid.Result) []string {
	var keys []string
	for _, a := range in.Assumptions(r) {
		keys = append(keys, string(a.Key))
	}
	return keys
}

func TestABidListsEveryFigureThatNobodyEntered(t *testing.T) {
	t.Parallel()
	in := freshBid(t)
	r := workOut(t, in)
	want := strings.Fields("tax_regime labour_rates overhead_rate catalogue target_share selling " +
		"finance_rate work_financed storage_per_day days_on_floor bidding_step loss_limit " +
		"confidence unknown_odds hours_together wear sale_spread unfit_brings room_to_move opening_hours holidays people " +
		"stations")
	if got := assumed(in, r); !slices.Equal(got, want) {
		t.Fatalf("listed\n %v, want\n %v", got, want)
	}
	for _, a := range in.Assumptions(r) {
		if a.Text == "" || a.Brief == "" || len(a.Brief) > 48 || !strings.HasPrefix(a.Setting(), "/v1/") {
			t.Errorf("%s says %q of %q", a.Key, a.Text, a.Setting())
		}
	}
	in.Workshop.Confirmed = []domain.AssumptionKey{domain.AssumedPeople, domain.AssumedWear}
	want = slices.DeleteFunc(want, func(k string) bool { return k == "people" || k == "wear" })
	if got := assumed(in, r); !slices.Equal(got, want) {
		t.Errorf("with two of them confirmed listed\n %v, want\n %v", got, want)
	}
}

// What somebody entered isn't assumed, and neither is what the question says itself.
func TestAFigureThatWasEnteredIsNotAssumed(t *testing.T) {
	t.Parallel()
	fresh := freshBid(t)
	r := workOut(t, fresh)
	listed := assumed(fresh, r)
	for key, enter := range map[string]func(*bid.Inputs){
		"tax_regime":      func(in *bid.Inputs) { in.Workshop.Terms.TaxRegime = domain.StandardTax },
		"catalogue":       func(in *bid.Inputs) { in.AsShipped = catalogue.AsShipped{} },
		"unfit_brings":    func(in *bid.Inputs) { in.Asked.UnfitBrings = domaintest.Dec("200") },
		"overhead_rate":   func(in *bid.Inputs) { in.Workshop.Terms.OverheadRate = domaintest.Dec("12.50") },
		"target_share":    func(in *bid.Inputs) { in.Workshop.Terms.TargetShare = domaintest.Dec("0.2") },
		"selling":         func(in *bid.Inputs) { in.Workshop.Terms.SellingFixed = domaintest.Dec("450") },
		"finance_rate":    func(in *bid.Inputs) { in.Workshop.Terms.FinanceRate = domaintest.Dec("0.08") },
		"work_financed":   func(in *bid.Inputs) { in.Workshop.Terms.WorkFinanced = domaintest.Dec("0.6") },
		"storage_per_day": func(in *bid.Inputs) { in.Workshop.Terms.StoragePerDay = domaintest.Dec("0") },
		"days_on_floor":   func(in *bid.Inputs) { in.Asked.Ways[0].DaysOnFloor = domaintest.Ptr(120) },
		"bidding_step": func(in *bid.Inputs) {
			in.Asked.Steps = []bid.StepBand{{Step: domaintest.Dec("50")}}
		},
		"loss_limit": func(in *bid.Inputs) { in.Workshop.Terms.LossLimit = domaintest.Dec("0.1") },
		"confidence": func(in *bid.Inputs) {
			in.Workshop.Terms.Uncertainty.Confidence = domaintest.Dec("0.3")
		},
		"unknown_odds": func(in *bid.Inputs) {
			in.Workshop.Terms.UnknownOdds = domain.OddsFromChance(domaintest.Dec("0.3"))
		},
		"hours_together": func(in *bid.Inputs) {
			in.Workshop.Terms.Uncertainty.GroupSD = domaintest.Dec("0.2")
		},
		"wear": func(in *bid.Inputs) {
			in.Workshop.Terms.Uncertainty.SaleWithWear.AsFound = domaintest.Dec("0.5")
		},
		"sale_spread": func(in *bid.Inputs) {
			in.Asked.Ways[0].SaleLow = domaintest.Ptr(domaintest.Dec("18000"))
		},
		"room_to_move": func(in *bid.Inputs) {
			in.Workshop.Terms.Uncertainty.RoomToMove = domaintest.Dec("0.05")
		},
		"labour_rates": func(in *bid.Inputs) {
			for skill := range in.Workshop.Terms.LabourRates {
				in.Workshop.Terms.LabourRates[skill] = domaintest.Dec("31")
			}
		},
		"opening_hours": func(in *bid.Inputs) { in.Workshop.Open.Week[6] = in.Workshop.Open.Week[5] },
		"holidays": func(in *bid.Inputs) {
			in.Workshop.Open.Holidays = []domain.Date{domain.DateOf(in.At)}
		},
		"people": func(in *bid.Inputs) { in.People = []domain.Person{{Name: "Bruno Vale"}} },
		"stations": func(in *bid.Inputs) {
			in.Stations = []domain.Station{{Name: "booth", Count: 1, Room: "shed"}}
		},
	} {
		t.Run(key, func(t *testing.T) {
			t.Parallel()
			in := freshBid(t)
			enter(&in)
			want := slices.DeleteFunc(slices.Clone(listed), func(k string) bool { return k == key })
			if got := assumed(in, r); !slices.Equal(got, want) {
				t.Errorf("listed\n %v, want\n %v", got, want)
			}
		})
	}
}

// Nothing is sold under the margin scheme by the choice of the seller alone.
func TestABidUnderTheMarginSchemeSaysWhatThatRestsOn(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Recondition, "9000", "9800", "10600"))
	if got := assumed(in, workOut(t, in)); !slices.Contains(got, "margin_scheme") {
		t.Errorf("listed %v, want the margin scheme", got)
	}
}

// A donor is broken up: it is neither taxed nor sold as an instrument, and no date depends on the
// crew.
func TestABidForADonorAssumesNothingOfASale(t *testing.T) {
	t.Parallel()
	in := freshBid(t)
	part := domaintest.Dec("900")
	in.Asked = bid.Question{Form: bid.DonorOfParts, Donor: &bid.Donor{
		Parts: []bid.DonorPart{{
			Name: "soundboard", Usable: domain.One,
			Worth: catalogue.ThreePoint{Low: part, Likely: part, High: part},
		}},
		Hours: catalogue.ThreePoint{Low: domain.One, Likely: domain.One, High: domain.One},
		Skill: "action", Days: 30,
	}}
	want := strings.Fields("labour_rates overhead_rate target_share finance_rate work_financed " +
		"storage_per_day bidding_step loss_limit confidence hours_together room_to_move")
	if got := assumed(in, workOut(t, in)); !slices.Equal(got, want) {
		t.Errorf("listed\n %v, want\n %v", got, want)
	}
}
