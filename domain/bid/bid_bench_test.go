package bid_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// BenchmarkBidWithTwentyUnknownPoints draws and costs, as a range, all three depths of a
// grand of which twenty points were not looked at. The baseline is one draw, at the depth of
// restoring, of the complete survey.
func BenchmarkBidWithTwentyUnknownPoints(b *testing.B) {
	c := domaintest.Shipped(b)
	tm := domaintest.Terms(c)
	tm.UnknownOdds = domaintest.SameOdds("0.7", "0.2", "0.1")
	unknown := []catalogue.PointCode{
		"SV-10", "SV-11", "SV-12", "SV-13", "SV-15", "SV-16", "SV-17", "SV-18", "SV-22", "SV-26",
		"SV-27", "SV-28", "SV-30", "SV-33", "SV-36", "SV-39", "SV-47", "SV-49", "SV-50", "SV-52",
	}
	sure, open := domaintest.SoundButUnknown(b, c, domaintest.Grand()), domaintest.SoundButUnknown(
		b, c, domaintest.Grand(), unknown...,
	)
	if n := len(
		slices.DeleteFunc(
			slices.Clone(open),
			func(j survey.Judgement) bool { return j.Severity != catalogue.Unknown },
		),
	); n != 20 {
		b.Fatalf("%d unknown points", n)
	}
	var bid, one time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		domaintest.Draw(b, c, domaintest.Grand(), sure, catalogue.Restore, tm.UnknownOdds)
		one += time.Since(start)
		start = time.Now()
		for _, depth := range catalogue.Depths {
			s := domaintest.Draw(b, c, domaintest.Grand(), open, depth, tm.UnknownOdds)
			if _, err := scope.Estimate(c, domaintest.Grand(), open, s, tm); err != nil {
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

// BenchmarkBidOnAPianoThatNobodyLookedAt works out a whole bid at all three depths of which only
// the keys were counted: prices, dates and what each look is worth. The baseline is the bid on the
// same piano with everything looked at.
func BenchmarkBidOnAPianoThatNobodyLookedAt(b *testing.B) {
	seen := bidFor(b, inRange(catalogue.AsFound, "8000", "9000", "10000"),
		inRange(catalogue.Recondition, "14000", "16000", "18000"),
		inRange(catalogue.Restore, "21000", "24000", "26500"))
	blind := seen
	blind.Findings = []survey.Finding{domaintest.Number("SV-01", "88", "")}
	var looked, unlooked time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		workOut(b, seen)
		looked += time.Since(start)
		start = time.Now()
		workOut(b, blind)
		unlooked += time.Since(start)
		n++
	}
	b.ReportMetric(float64(unlooked.Milliseconds())/float64(n), "ms/bid")
	b.ReportMetric(float64(unlooked)/float64(looked), "×looked-at")
	b.ReportMetric(0, "ns/op") // of both together: means nothing
}
