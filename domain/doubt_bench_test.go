package domain_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// BenchmarkBidWithTwentyUnknownPoints draws, costs and takes the doubt of all
// three depths of a grand of which twenty points were not looked at. The
// baseline is one draw, at the depth of restoring, of the complete survey.
func BenchmarkBidWithTwentyUnknownPoints(b *testing.B) {
	c := shipped(b)
	tm := terms(c)
	tm.UnknownOdds = evenly("0.7", "0.2", "0.1")
	unknown := []catalogue.PointCode{
		"SV-10", "SV-11", "SV-12", "SV-13", "SV-15", "SV-16", "SV-17", "SV-18", "SV-22", "SV-26",
		"SV-27", "SV-28", "SV-30", "SV-33", "SV-36", "SV-39", "SV-47", "SV-49", "SV-50", "SV-52",
	}
	sure, open := soundBut(b, c, grand()), soundBut(b, c, grand(), unknown...)
	if n := len(slices.DeleteFunc(slices.Clone(open), func(j domain.Judgement) bool { return j.Severity != catalogue.Unknown })); n != 20 {
		b.Fatalf("%d unknown points", n)
	}
	var bid, one time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		mustDraw(b, c, grand(), sure, catalogue.Restore, tm.UnknownOdds)
		one += time.Since(start)
		start = time.Now()
		for _, depth := range catalogue.Depths {
			s := mustDraw(b, c, grand(), open, depth, tm.UnknownOdds)
			e, err := domain.EstimateScope(c, grand(), open, s, tm)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := e.Doubt(); err != nil {
				b.Fatal(err)
			}
		}
		bid += time.Since(start)
		n++
	}
	b.ReportMetric(float64(bid.Milliseconds())/float64(n), "ms/bid")
	b.ReportMetric(float64(one.Microseconds())/float64(n)/1000, "ms/draw")
	b.ReportMetric(float64(bid)/float64(one), "×draw")
	b.ReportMetric(0, "ns/op") // of both together: means nothing
}
