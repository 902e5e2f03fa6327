package job_test

import (
	"testing"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/shopspring/decimal"
)

func TestSittingsAreLeftInTheShareOfTheHours(t *testing.T) {
	t.Parallel()
	line := scope.Line{
		Operation: "TU-01", Sessions: 4,
		Hours: catalogue.ThreePoint{
			Low: domaintest.Dec("6"), Likely: domaintest.Dec("8"), High: domaintest.Dec("9"),
		},
	}
	for left, want := range map[string]int{
		"8": 4, "9": 4, "6.6": 4, "6.4": 3, "6": 3, "5.6": 3, "2": 1, "0": 1,
	} {
		j := job.Job{
			Tasks: []job.Task{
				{
					Operation: "TU-01", Planned: domaintest.Dec("8"),
					Left: decimal.RequireFromString(left), Line: &line,
				},
			},
		}
		q := job.Remaining(j, instrument.Instrument{}, time.UTC)
		if got := q.Scope.Lines[0].Sessions; got != want {
			t.Errorf("%s h left of 8: %d sittings of 4, want %d", left, got, want)
		}
	}
}

// Of two tunings one is left when half of the hours are; work in one sitting keeps it to the end.
func TestTwoSittingsAreLeftOneByOne(t *testing.T) {
	t.Parallel()
	hours := domaintest.Dec("4")
	for _, x := range []struct {
		sessions int
		left     string
		want     int
	}{{2, "4", 2}, {2, "2", 1}, {2, "3", 2}, {2, "0.5", 1}, {1, "4", 1}, {1, "1", 1}} {
		j := job.Job{Tasks: []job.Task{{
			Operation: "TU-01", Planned: hours, Left: domaintest.Dec(x.left),
			Line: &scope.Line{
				Operation: "TU-01", Sessions: x.sessions,
				Hours: catalogue.ThreePoint{Low: hours, Likely: hours, High: hours},
			},
		}}}
		q := job.Remaining(j, instrument.Instrument{}, time.UTC)
		if got := q.Scope.Lines[0].Sessions; got != x.want {
			t.Errorf("%s h left of 4 in %d sittings: %d, want %d", x.left, x.sessions, got, x.want)
		}
	}
}
