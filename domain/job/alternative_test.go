package job_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// sellingTerms are 23 % tax on the margin, 5 % and 200 to sell, and 2.50 a day on the floor, where
// a piano stands for 40 days.
func sellingTerms() domain.Terms {
	return domain.Terms{
		Currency: "EUR", TaxRegime: domain.MarginTax, TaxRate: domaintest.Dec("0.23"),
		SellingShare: domaintest.Dec("0.05"), SellingFixed: domaintest.Dec("200"),
		StoragePerDay: domaintest.Dec("2.5"), DaysOnFloor: 40,
	}
}

// workToGo is a way to go on whose work costs from 2000 to 4500.
func workToGo() job.Alternative {
	return job.Alternative{
		Hours: domaintest.Dec("60"),
		CostToGo: pricing.Range{
			Low: eur("2000.00"), Likely: eur("3000.00"), High: eur("4500.00"), Expected: eur("3100.00"),
		},
	}
}

// Computed by hand. Bought for 6150 and sold for 12300, the margin of 6150 holds 6150 × 23/123 =
// 1150 of tax (articles 313 to 315 of Directive 2006/112/EC); the whole price holds 2300. Selling
// takes 615 + 200, and 100 days of storage 250.
func TestWhatIsLeftOfASaleIsThePriceLessTaxSellingStorageAndTheWork(t *testing.T) {
	t.Parallel()
	bought := domaintest.Ptr(domaintest.Dec("6150"))
	in60Days := domaintest.JobHour.AddDate(0, 0, 60)
	for _, x := range []struct {
		name         string
		regime       domain.TaxRegime
		bought       *decimal.Decimal
		ready        time.Time
		tax, storage string
		left         string
		says         string // of the tax
	}{
		{"on the margin", domain.MarginTax, bought, in60Days, "-1150.00", "-250.00", "7085.00", "6150.00"},
		{
			"the purchase price isn't known", domain.MarginTax, nil, in60Days, "-2300.00", "-250.00",
			"5935.00", "not known",
		},
		{
			"on all of it", domain.StandardTax, bought, in60Days, "-2300.00", "-250.00", "5935.00",
			"standard",
		},
		{"not registered", domain.NoTax, nil, in60Days, "0.00", "-250.00", "8235.00", "no tax"},
		{
			"ready by now", domain.MarginTax, bought, domaintest.JobHour.AddDate(0, 0, -9), "-1150.00",
			"-100.00", "7235.00", "6150.00",
		},
		{"no date", domain.MarginTax, bought, time.Time{}, "-1150.00", "-100.00", "7235.00", "6150.00"},
	} {
		terms, a := sellingTerms(), workToGo()
		terms.TaxRegime, a.Ready = x.regime, x.ready
		if err := a.AddSale(
			domaintest.Dec("12300"), job.Bought{Price: x.bought, From: "seen"}, terms, domaintest.JobDay, time.UTC,
		); err != nil {
			t.Fatalf("%s: %v", x.name, err)
		}
		lines, sum := map[string]job.AlternativeLine{}, eur("0.00")
		for _, l := range a.Lines {
			lines[l.Item], sum = l, sum.Add(l.Amount)
		}
		if got := lines["tax"]; got.Amount.Text() != x.tax || !strings.Contains(got.Basis, x.says) ||
			!strings.Contains(got.Basis, pricing.AskAdviser) {
			t.Errorf("%s: tax %s, %q; want %s that says %q", x.name, got.Amount, got.Basis, x.tax, x.says)
		}
		if got := lines["storage"].Amount.Text(); got != x.storage {
			t.Errorf("%s: storage %s, want %s", x.name, got, x.storage)
		}
		if got := lines["selling"].Amount.Text(); got != "-815.00" {
			t.Errorf("%s: selling %s, want 5 %% of 12300 and 200", x.name, got)
		}
		if a.Left.Likely.Text() != x.left || sum.Cmp(a.Left.Likely) != 0 {
			t.Errorf("%s: %s is left, and the lines add up to %s; want %s", x.name, a.Left.Likely, sum,
				x.left)
		}
		if spread := a.Left.High.Sub(a.Left.Low); spread.Text() != "2500.00" ||
			a.Left.Likely.Sub(a.Left.Low).Text() != "1500.00" ||
			a.Left.Likely.Sub(a.Left.Expected).Text() != "100.00" {
			t.Errorf("%s: left is %+v, want as wide as the work's cost the other way round", x.name, a.Left)
		}
	}
}

// Computed by hand: bought for 3000 and sold as parts for 900, it leaves nothing to tax; 5 % of 900
// are 45.
func TestPartsBearNoDeliveryAndNoFloor(t *testing.T) {
	t.Parallel()
	terms, a := sellingTerms(), workToGo()
	a.Kind, a.Hours = job.PartOut, domaintest.Dec("12")
	a.CostToGo = pricing.Certain(eur("576.00"))
	bought := job.Bought{Price: domaintest.Ptr(domaintest.Dec("3000")), From: "by the record"}
	if err := a.AddSale(
		domaintest.Dec("900"), bought, terms, domaintest.JobDay, time.UTC,
	); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range a.Lines {
		got = append(got, l.Item+" "+l.Amount.Text())
	}
	want := []string{"sale 900.00", "tax 0.00", "selling -45.00", "work to go -576.00"}
	if !slices.Equal(got, want) || a.Left.Likely.Text() != "279.00" {
		t.Errorf("got %q with %s left, want %q with 279.00", got, a.Left.Likely, want)
	}
	if tax, hours := a.Lines[1].Basis, a.Lines[3].Basis; !strings.Contains(tax, "by the record") ||
		!strings.Contains(hours, "12 h") || !strings.Contains(hours, "dearest") {
		t.Errorf("the tax says %q and the hours %q", tax, hours)
	}
}

// Tax on the seller's paper closes the scheme: the whole price of 12300 holds 2300.
func TestAPurchaseThatLeavesNoMarginSchemeIsTaxedOnAllOfTheSale(t *testing.T) {
	t.Parallel()
	terms, a := sellingTerms(), workToGo()
	if err := a.AddSale(domaintest.Dec("12300"), job.Bought{
		Price: domaintest.Ptr(domaintest.Dec("6150")), NoMargin: true,
	}, terms, domaintest.JobDay, time.UTC); err != nil {
		t.Fatal(err)
	}
	if tax := a.Lines[1]; tax.Amount.Text() != "-2300.00" || !strings.Contains(tax.Basis, "no margin scheme") {
		t.Errorf("got %+v", tax)
	}
}

// Ready at midnight and a half in the workshop's zone is a day later than in Greenwich.
func TestStorageIsCountedInTheWorkshopsDays(t *testing.T) {
	t.Parallel()
	terms, a := sellingTerms(), workToGo()
	a.Ready = time.Date(2026, 3, 11, 23, 30, 0, 0, time.UTC)
	east := time.FixedZone("east", 3600)
	if err := a.AddSale(
		domaintest.Dec("12300"), job.Bought{}, terms, domaintest.JobDay, east,
	); err != nil {
		t.Fatal(err)
	}
	if got := a.Lines[3]; got.Item != "storage" || got.Amount.Text() != "-125.00" ||
		!strings.HasPrefix(got.Basis, "50 days") {
		t.Errorf("got %+v, want 10 days to the 12th and 40 on the floor", got)
	}
}

func TestASaleThatNoCurrencyCanHoldIsRefused(t *testing.T) {
	t.Parallel()
	huge := domaintest.Dec("1e30")
	ten := domaintest.Dec("10")
	for name, x := range map[string]struct {
		sale   decimal.Decimal
		bought *decimal.Decimal
		change func(*domain.Terms)
	}{
		"no such currency": {ten, nil, func(t *domain.Terms) { t.Currency = "XX" }},
		"the price":        {huge, nil, func(*domain.Terms) {}},
		"the purchase":     {ten, &huge, func(*domain.Terms) {}},
		"the cost to sell": {ten, nil, func(t *domain.Terms) { t.SellingFixed = huge }},
		"the storage":      {ten, nil, func(t *domain.Terms) { t.StoragePerDay = huge }},
		"less than no tax": {ten, nil, func(t *domain.Terms) { t.TaxRate = domaintest.Dec("-0.1") }},
	} {
		terms, a, paid := sellingTerms(), workToGo(), job.Bought{Price: x.bought}
		x.change(&terms)
		if err := a.AddSale(x.sale, paid, terms, domaintest.JobDay, time.UTC); err == nil {
			t.Errorf("%s: taken, with %+v left", name, a.Left)
		}
	}
	if _, err := job.TakingApart(ten, domain.Terms{Currency: "XX"}); err == nil {
		t.Error("hours are costed in no currency")
	}
}

func TestTakingAPianoApartIsCostedAtTheDearestHour(t *testing.T) {
	t.Parallel()
	terms := domain.Terms{
		Currency: "EUR", OverheadRate: domaintest.Dec("12"),
		LabourRates: map[string]decimal.Decimal{
			"general": domaintest.Dec("24"), "stringing": domaintest.Dec("36"),
			"finishing": domaintest.Dec("31"),
		},
	}
	want := pricing.Certain(money.MustParse("480.00 EUR")) // 10 × (36 + 12)
	if got, err := job.TakingApart(domaintest.Dec("10"), terms); err != nil || got != want {
		t.Errorf("10 h cost %+v, %v; want %+v", got, err, want)
	}
}

// What is begun goes on or is left open, what isn't begun is as the shallower depth has it.
func TestAtAShallowerDepthWhatIsBegunGoesOnOrIsLeftOpen(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	line := func(code catalogue.Code, hours string) scope.Line {
		h := domaintest.Dec(hours)
		return scope.Line{
			Operation: code, Sessions: 1, Chance: domaintest.Dec("1"),
			Hours: catalogue.ThreePoint{Low: h, Likely: h, High: h},
		}
	}
	task := func(code catalogue.Code, done, left string) job.Task {
		l := line(code, "10")
		return job.Task{
			Operation: code, Planned: domaintest.Dec("10"), Done: domaintest.Dec(done),
			Left: domaintest.Dec(left), Line: &l,
		}
	}
	finished, gone := task("DS-01", "6", "0"), task("BD-04", "2", "8")
	finished.FinishedAt, gone.Dropped = &domaintest.JobHour, true
	j := job.Job{
		State: job.Open, Depth: catalogue.Restore, Settled: map[string]string{},
		Tasks: []job.Task{
			finished, gone, task("ST-02", "4", "9"), task("ST-03", "0", "10"), task("AC-01", "3", "7"),
			task("KY-02", "0", "10"),
		},
	}
	at, leftOpen := j.AtDepth(c, scope.Scope{
		Depth: catalogue.Recondition,
		Lines: []scope.Line{line("AC-01", "5"), line("KY-02", "5"), line("TU-01", "2")},
	})
	if !slices.Equal(leftOpen, []catalogue.Code{"ST-02"}) {
		t.Errorf("left open: %q, want the strings that were begun", leftOpen)
	}
	want := map[catalogue.Code]string{"AC-01": "7", "KY-02": "5", "TU-01": "2"}
	for _, x := range at.Tasks {
		left, open := want[x.Operation]
		if x.Open() != open || open && !x.Left.Equal(domaintest.Dec(left)) {
			t.Errorf("%s: open %t with %s h left, want %q", x.Operation, x.Open(), x.Left, left)
		}
	}
	if done := at.Task("DS-01"); done == nil || done.FinishedAt == nil || done.Dropped {
		t.Errorf("the strip-down was done, and is %+v", done)
	}
	if len(at.Tasks) != 7 || j.Task("ST-02").Dropped {
		t.Errorf("%d tasks, and the job as it is has %+v", len(at.Tasks), j.Task("ST-02"))
	}
}
