package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"bentside/domain"
)

// strangeBody returns an instrument with members that the contract doesn't know.
func strangeBody(members int) map[string]any {
	body := wornGrand()
	for i := range members {
		body[fmt.Sprintf("m%d", i)] = i
	}
	return body
}

// Whoever sends 2,000 unknown members has made one mistake 2,000 times.
func TestOfManyFaultsTheFirstHundredAreListed(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	p := wantProblem(t, owner.do(http.MethodPost, "/v1/instruments", strangeBody(2_000)),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != domain.MaxListedFaults || !strings.HasPrefix(p.Detail, "2000 things") {
		t.Errorf("%d faults are listed: %s", len(p.Errors), p.Detail)
	}
	rows := strings.Repeat("x\xff\n", 1_000)
	p = wantProblem(t, owner.do(http.MethodPost, "/v1/joins", rows, asCSV),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != domain.MaxListedFaults {
		t.Errorf("of a bad file %d faults are listed: %s", len(p.Errors), p.Detail)
	}
}

// BenchmarkUnknownMembers compares 32,000 unknown members with 8,000: linear is 4.
func BenchmarkUnknownMembers(b *testing.B) {
	owner := openShop(b).as(domain.Owner)
	var took [2]time.Duration
	for b.Loop() {
		for k, members := range []int{8_000, 32_000} {
			body := strangeBody(members)
			began := time.Now()
			owner.do(http.MethodPost, "/v1/instruments", body)
			took[k] += time.Since(began)
		}
	}
	b.ReportMetric(float64(took[1])/float64(took[0]), "x-of-a-quarter")
}
