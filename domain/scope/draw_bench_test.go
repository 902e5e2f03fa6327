package scope_test

import (
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// BenchmarkDraw draws the scope of a grand of which nobody looked at anything, at each depth: both
// worlds differ at every rule.
func BenchmarkDraw(b *testing.B) {
	c := domaintest.Shipped(b)
	js, err := survey.Judge(c, catalogue.Grand, nil)
	if err != nil {
		b.Fatal(err)
	}
	for _, depth := range catalogue.Depths {
		b.Run("depth="+string(depth), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := scope.Draw(c, domaintest.Grand(), js, depth, nil, domaintest.Odds); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
