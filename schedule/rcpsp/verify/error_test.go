package verify_test

import (
	"testing"

	"bentside/schedule/rcpsp/verify"
)

// Resources are counted from 1 where people read of them, and from 0 in the problem.
func TestAViolationReadsAsASentence(t *testing.T) {
	t.Parallel()
	for want, err := range map[string]error{
		"resource 1: 3 units used at tick 5 where there are 2": &verify.CapacityError{
			Resource: 0, Tick: 5, Used: 3, Has: 2,
		},
		"B starts at 4, but must be at least 3 after the start of A at 2": &verify.LinkError{
			From: "A", To: "B", Lag: 3, FromStart: 2, Start: 4,
		},
		"A starts at 1, released at 2": &verify.StartError{Activity: "A", Start: 1, Release: 2},
	} {
		if err.Error() != want {
			t.Errorf("got %q, want %q", err, want)
		}
	}
}
