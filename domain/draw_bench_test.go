package domain_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// BenchmarkDraw draws the scope of a grand of which nobody looked at anything,
// at each depth: both worlds differ at every rule.
func BenchmarkDraw(b *testing.B) {
	c := shipped(b)
	js, err := domain.Judge(c, catalogue.Grand, nil)
	if err != nil {
		b.Fatal(err)
	}
	for _, depth := range catalogue.Depths {
		b.Run("depth="+string(depth), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := domain.Draw(c, grand(), js, depth, nil, odds); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
