package plan_test

import (
	"fmt"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// BenchmarkDatesOf dates a restored grand among so many like it, with a crew of six; against-one is
// how many times as long as with one ahead.
func BenchmarkDatesOf(b *testing.B) {
	c, err := catalogue.Shipped()
	if err != nil {
		b.Fatal(err)
	}
	in := instrument.Instrument{Kind: catalogue.Grand, SizeMM: 1850, Notes: 88, Year: 1911}
	js, err := survey.Judge(c, catalogue.Grand, nil)
	if err != nil {
		b.Fatal(err)
	}
	s, err := scope.Draw(c, in, js, catalogue.Restore, nil, domain.OddsFromChance(decimal.New(4, -1)))
	if err != nil {
		b.Fatal(err)
	}
	where := plan.Shop{
		Zone: time.UTC,
		Stations: []domain.Station{
			{Name: "bench", Count: 4},
			{Name: "action bench", Count: 2},
			{Name: "quiet room", Count: 1},
		},
	}
	for day := time.Monday; day <= time.Friday; day++ {
		where.Open.Week[day] = []domain.Interval{
			{From: 8 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60},
		}
	}
	for _, skills := range [][]string{
		{"survey", "belly", "general"},
		{"belly", "cabinet", "stringing"},
		{"action", "tuning"},
		{"finishing", "gilding"},
		{"stringing", "general", "action"},
		{"general", "haulage", "finishing"},
	} {
		where.People = append(
			where.People,
			domain.Person{Name: "one", Skills: skills, ProductiveShare: decimal.New(75, -2)},
		)
	}
	at, base := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC), time.Duration(0)
	for _, ahead := range []int{1, 3, 10} {
		queue := make([]plan.QueuedWork, ahead)
		for i := range queue {
			queue[i] = plan.QueuedWork{Name: fmt.Sprint(i), Accepted: at, Scope: s}
		}
		sit := plan.Situation{Shop: where, At: at, Queue: queue}
		b.Run(fmt.Sprintf("ahead=%d", ahead), func(b *testing.B) {
			for b.Loop() {
				if _, err := sit.DatesOf(b.Context(), c, s); err != nil {
					b.Fatal(err)
				}
			}
			each := b.Elapsed() / time.Duration(b.N)
			if base == 0 {
				base = each
			}
			b.ReportMetric(float64(each)/float64(base), "against-one")
		})
	}
}
