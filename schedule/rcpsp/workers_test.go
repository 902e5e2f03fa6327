package rcpsp_test

import (
	"fmt"
	"testing"
	"time"

	"bentside/schedule/internal/published"
	"bentside/schedule/rcpsp"
)

// BenchmarkWorkers reports how many times faster one search of a published instance of 120
// activities is on two cores than on one. The two take turns and the fastest turn of each counts;
// the plans are the same.
func BenchmarkWorkers(b *testing.B) {
	p := published.Sample(b, "j120")[8].Problem
	for _, heuristic := range []bool{true, false} {
		for _, schedules := range []int{1000, 5000} {
			b.Run(fmt.Sprintf("activities=120/heuristic=%v/schedules=%d", heuristic, schedules),
				func(b *testing.B) {
					best := [2]time.Duration{1 << 62, 1 << 62}
					for b.Loop() {
						for k := range best {
							began := time.Now()
							solve(b, p,
								rcpsp.Options{
									Schedules: schedules, Seed: 1, Heuristic: heuristic,
									Workers: 1 + k,
								})
							best[k] = min(best[k], time.Since(began))
						}
					}
					b.ReportMetric(best[0].Seconds(), "s-alone")
					b.ReportMetric(float64(best[0])/float64(best[1]), "×alone")
				})
		}
	}
}
