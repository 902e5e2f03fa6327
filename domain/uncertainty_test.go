package domain_test

import (
	"encoding/json"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"

	"github.com/shopspring/decimal"
)

func TestARebuiltPianoSellsAsRebuiltHoweverWornItWas(t *testing.T) {
	t.Parallel()
	s := domain.DefaultUncertainty().SaleWithWear
	for i, depth := range catalogue.Depths {
		if !s.Of(depth).IsPositive() {
			t.Errorf("%s: the sale price doesn't depend on wear", depth)
		}
		if i > 0 && !s.Of(depth).LessThan(s.Of(catalogue.Depths[i-1])) {
			t.Errorf("%s: got %s, want less than at %s", depth, s.Of(depth), catalogue.Depths[i-1])
		}
	}
	if got := s.Of("polish"); !got.IsZero() {
		t.Errorf("a depth that there isn't: got %s, want 0", got)
	}
}

func TestEachFigureOfUncertaintyKeepsToItsLimits(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		pointer string
		of      func(*domain.Uncertainty) *decimal.Decimal
		most    string
		over    string
		says    string
	}{
		{"job_sd", func(u *domain.Uncertainty) *decimal.Decimal { return &u.JobSD }, "1", "1.01", "from 0 to 1, not 1.01"},
		{"group_sd", func(u *domain.Uncertainty) *decimal.Decimal { return &u.GroupSD }, "1", "1.01", "from 0 to 1, not 1.01"},
		{"points_with_wear", func(u *domain.Uncertainty) *decimal.Decimal { return &u.PointsWithWear }, "0.95", "0.96", "from 0 to 0.95, not 0.96"},
		{"sale_with_wear/as_found", func(u *domain.Uncertainty) *decimal.Decimal { return &u.SaleWithWear.AsFound }, "0.95", "0.96", "from 0 to 0.95, not 0.96"},
		{"sale_with_wear/recondition", func(u *domain.Uncertainty) *decimal.Decimal { return &u.SaleWithWear.Recondition }, "0.95", "0.96", "from 0 to 0.95, not 0.96"},
		{"sale_with_wear/restore", func(u *domain.Uncertainty) *decimal.Decimal { return &u.SaleWithWear.Restore }, "0.95", "0.96", "from 0 to 0.95, not 0.96"},
		{"sale_spread", func(u *domain.Uncertainty) *decimal.Decimal { return &u.SaleSpread }, "0.9", "0.91", "from 0 to 0.9, not 0.91"},
		{"confidence", func(u *domain.Uncertainty) *decimal.Decimal { return &u.Confidence }, "0.999999", "1", "below 1"},
		{"room_to_move", func(u *domain.Uncertainty) *decimal.Decimal { return &u.RoomToMove }, "0.9", "0.91", "from 0 to 0.9, not 0.91"},
	} {
		t.Run(x.pointer, func(t *testing.T) {
			t.Parallel()
			w := goodWorkshop(t)
			for _, fits := range []string{"0", "0.000001", x.most} {
				*x.of(&w.Terms.Uncertainty) = domaintest.Dec(fits)
				if err := w.Check(); err != nil {
					t.Errorf("%s: %v", fits, err)
				}
			}
			for _, wrong := range []struct{ value, says string }{
				{x.over, x.says}, {"-0.1", "not -0.1"}, {"0.1234567", "more than 6 decimals"},
			} {
				*x.of(&w.Terms.Uncertainty) = domaintest.Dec(wrong.value)
				wantFaults(t, w.Check(), []string{"#/terms/uncertainty/" + x.pointer}, wrong.says)
			}
		})
	}
}

// Stored bids are recomputed from their inputs, which must be written as they were read.
func TestTermsFromBeforeUncertaintyAreWrittenAgainWithoutIt(t *testing.T) {
	t.Parallel()
	var members map[string]json.RawMessage
	terms := domaintest.Terms(domaintest.Shipped(t))
	terms.Uncertainty = domain.Uncertainty{}
	old := domain.CanonicalJSON(terms)
	if err := json.Unmarshal(old, &members); err != nil || members["uncertainty"] != nil {
		t.Fatalf("terms without figures of uncertainty have some: %s, %v", members["uncertainty"], err)
	}
	var read domain.Terms
	if err := json.Unmarshal(old, &read); err != nil {
		t.Fatal(err)
	}
	if again := domain.CanonicalJSON(read); string(again) != string(old) {
		t.Errorf("read and written again:\n got %s\nwant %s", again, old)
	}
}

// Certain of everything is a setting too, and not the same as none.
func TestUncertaintySetToNothingIsKept(t *testing.T) {
	t.Parallel()
	var terms domain.Terms
	none := `{"job_sd":"0","group_sd":"0","points_with_wear":"0","sale_with_wear":{"as_found":"0",` +
		`"recondition":"0","restore":"0"},"sale_spread":"0","confidence":"0","room_to_move":"0"}`
	if err := json.Unmarshal([]byte(`{"uncertainty":`+none+`}`), &terms); err != nil {
		t.Fatal(err)
	}
	var members map[string]json.RawMessage
	if err := json.Unmarshal(domain.CanonicalJSON(terms), &members); err != nil ||
		string(members["uncertainty"]) != none {
		t.Errorf("got %s, %v; want %s", members["uncertainty"], err, none)
	}
}
