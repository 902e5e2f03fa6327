package plan_test

import (
	"context"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
	"bentside/domain/scope"
)

// What can't be worked out is refused by whoever is asked, and never answered in part.
func TestWhatCannotBeWorkedOutIsRefusedByAll(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*scope.Inputs, *plan.Situation){
		"a shop that never opens": func(_ *scope.Inputs, s *plan.Situation) {
			s.Shop.Open.Week = [7][]domain.Interval{}
		},
		"hours off the quarter": func(_ *scope.Inputs, s *plan.Situation) {
			s.Shop.Open.Week[time.Monday] = []domain.Interval{{From: 8 * 60, To: 9*60 + 1}}
		},
		"work that isn't in the catalogue": func(in *scope.Inputs, _ *plan.Situation) {
			in.Edits = []scope.Edit{domaintest.Add("ZZ-99")}
		},
		"no such currency": func(in *scope.Inputs, _ *plan.Situation) { in.Terms.Currency = "XX" },
		"nobody's wage": func(in *scope.Inputs, _ *plan.Situation) {
			in.Terms.LabourRates = nil
		},
	} {
		in, sit := domaintest.Inputs(t, catalogue.Recondition), calendar(t)
		change(&in, &sit)
		if list, err := plan.MakeOrBuyLines(t.Context(), in, sit); err == nil {
			t.Errorf("%s: make or buy answers with %d lines", name, len(list))
		}
		if list, err := plan.Choices(t.Context(), in, sit); err == nil {
			t.Errorf("%s: the choices are answered with %d", name, len(list))
		}
	}
}

func TestAPlanThatCannotBeMadeIsRefused(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*plan.Inputs){
		"a shop that never opens": func(in *plan.Inputs) {
			in.Workshop.Open.Week = [7][]domain.Interval{}
		},
		"hours off the quarter": func(in *plan.Inputs) {
			in.Workshop.Open.Week[time.Monday] = []domain.Interval{{From: 8 * 60, To: 9*60 + 1}}
		},
		"no such currency": func(in *plan.Inputs) {
			in.Workshop.Terms.Currency = "XX"
		},
	} {
		in, catalogues, zone := planned(t)
		change(&in)
		if p, err := plan.Compute(context.Background(), in, catalogues, zone, 1); err == nil {
			t.Errorf("%s: planned all the same, at %s", name, p.Objective)
		}
	}
}

// A question that nobody waits for any more is not worked on.
func TestAnAbandonedQuestionIsNotAnswered(t *testing.T) {
	t.Parallel()
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	in, sit := domaintest.Inputs(t, catalogue.Recondition), calendar(t)
	if list, err := plan.Choices(gone, in, sit); err == nil {
		t.Errorf("answered with %d choices", len(list))
	}
	if list, err := plan.MakeOrBuyLines(gone, in, sit); err == nil {
		t.Errorf("answered with %d lines", len(list))
	}
	c, s := asFound(t)
	if d, err := sit.DatesOf(gone, c, s); err == nil {
		t.Errorf("answered with %s", d.Queued.Ready)
	}
}
