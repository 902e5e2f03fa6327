package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
)

// BenchmarkOpeningLots tries openings with 100 and 1,000 lots of one part, in turn. ×per-lot is how
// many times as long a lot takes among 1,000: near 1 where the time is linear.
func BenchmarkOpeningLots(b *testing.B) {
	owner := openShop(b).as(domain.Owner)
	class := uuid.Must(uuid.NewV7()).String()
	want[any](b, owner.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	partOf(b, owner, class, "W-17")
	today := domain.DateOf(time.Now().UTC())
	files := map[int]string{}
	for _, lots := range []int{100, 1_000} {
		var rows strings.Builder
		rows.WriteString("part,received_on,quantity,unit,value,reference,note\r\n")
		for n := range lots {
			fmt.Fprintf(&rows, "W-17,%s,%d,m,%d.00,R-%d,\r\n", today.AddDays(-2-n%300), 1+n%7, 1+n%5, n)
		}
		files[lots] = archive(b, "stock.csv", rows.String())
	}
	took := map[int]time.Duration{}
	opening := "/v1/openings?dry_run=true&opened_on=" + today.AddDays(-1).String()
	for b.Loop() {
		for _, lots := range []int{100, 1_000} {
			start := time.Now()
			want[any](b, owner.do(http.MethodPost, opening, files[lots], zipped), http.StatusOK)
			took[lots] += time.Since(start)
		}
	}
	b.ReportMetric(took[1_000].Seconds()/float64(b.N), "s/1000-lots")
	b.ReportMetric(took[1_000].Seconds()/10/took[100].Seconds(), "×per-lot")
	b.ReportMetric(0, "ns/op") // the sum of both means nothing
}
