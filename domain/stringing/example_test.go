package stringing_test

import (
	"fmt"

	"bentside/domain/stringing"
)

// The load on the frame, and the string that is nearest to its breaking load.
func ExampleScale_Load() {
	load := stringing.Example(88).Load(stringing.ConcertPitch, stringing.A228Minimum)
	for _, s := range load.Sections {
		fmt.Printf(
			"%s, notes %d to %d: %.1f kN, up to %.0f %% of %s\n", s.Name, s.From, s.To,
			s.TotalN/1000, s.HighestPercent, load.Basis,
		)
	}
	fmt.Printf("in all %.1f t\n", load.TotalN/stringing.NewtonPerTonne)
	// Output:
	// covered singles, notes 1 to 10: 10.8 kN, up to 49 % of a228_minimum
	// covered pairs, notes 11 to 27: 26.0 kN, up to 45 % of a228_minimum
	// plain threes, notes 28 to 88: 138.1 kN, up to 66 % of a228_minimum
	// in all 17.8 t
}
