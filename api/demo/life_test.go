package demo_test

import (
	"strings"
	"testing"

	"bentside/api/demo"
	"bentside/pricing/money"
)

// wantLived checks what a life tells: the hammers that come later move the date and are named, each
// part of the variance says something, and what was spent is sold or an expense.
func wantLived(t *testing.T, l *demo.Life) {
	t.Helper()
	said := map[string]int{} // on which line
	for i, x := range l.Told {
		for _, word := range []string{"weeks late", "stripped down", "handed over"} {
			if strings.Contains(x.Says, word) {
				said[word] = i + 1
			}
		}
	}
	if said["stripped down"] == 0 || said["weeks late"] < said["stripped down"] ||
		said["handed over"] != len(l.Told) {
		t.Errorf("it is told in the order %v", said)
	}
	if n := len(l.Ready); n != 5 || !l.Ready[3].After(l.Ready[2]) {
		t.Errorf("ready on %v, want the fourth day later than the third, by the hammers", l.Ready)
	}
	stock, all := money.Zero(l.Cost.Currency), money.Zero(l.Cost.Currency)
	for _, s := range l.Cost.Sums {
		stock, all = stock.Add(s.Inventory), all.Add(s.Management)
	}
	a, j := l.Outcome.Account, l.Cost.Jobs[0]
	if stock != l.Cost.Spent.Inventory || all != l.Cost.Spent.Management || stock != a.CostOfSales {
		t.Errorf("the kinds come to %s and %s, told are %+v, and sold for a cost of %s", stock, all,
			l.Cost.Spent, a.CostOfSales)
	}
	v, came := j.Variance, j.Baseline.Likely
	for _, part := range []money.Amount{v.Scope, v.Hours, v.Rate, v.Price, v.Rework} {
		came = came.Add(part)
		if part.IsZero() {
			t.Errorf("a part of the variance is nothing: %+v", v)
		}
	}
	if came.Add(v.Beyond) != j.AtCompletion.Likely || j.AtCompletion.Likely != j.Spent.Management {
		t.Errorf("estimate and variance come to %s, the job to %s", came, j.AtCompletion.Likely)
	}
	x := a.Deals[0]
	if a.Margin != x.Sale.Price.Sub(x.Tax).Sub(a.CostOfSales) ||
		a.Result != a.Margin.Sub(a.Selling).Sub(a.Other) || a.Result != l.Outcome.Bid.ActualProfit {
		t.Errorf("the account doesn't add up: %+v", a)
	}
}
