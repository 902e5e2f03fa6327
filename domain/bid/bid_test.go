package bid_test

import (
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/survey"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// bidFor returns a question for a grand with tired hammers, put to a small shop that pays tax on
// the margin.
func bidFor(t testing.TB, ways ...bid.Way) bid.Inputs {
	t.Helper()
	c := domaintest.Shipped(t)
	w := domain.Workshop{Name: "Fernwood Pianos", Zone: "Europe/Lisbon", Terms: domaintest.Terms(c)}
	tm := &w.Terms
	tm.TaxRegime, tm.TaxRate, tm.TargetShare, tm.BiddingStep, tm.DaysOnFloor = domain.MarginTax,
		domaintest.Dec("0.20"), domaintest.Dec("0.12"), domaintest.Dec("50"), 110
	tm.SellingShare, tm.FinanceRate, tm.StoragePerDay, tm.UnknownOdds = domaintest.Dec("0.03"),
		domaintest.Dec("0.06"), domaintest.Dec("1.80"), domain.OddsFromChance(domaintest.Dec("0.4"))
	tm.WorkFinanced, tm.LossLimit = domain.DefaultWorkFinanced, domain.DefaultLossLimit
	for day := time.Monday; day <= time.Friday; day++ {
		w.Open.Week[day] = []domain.Interval{
			{From: 8 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60},
		}
	}
	asks := domaintest.Dec("2500")
	return bid.Inputs{
		Engine: bid.Engine, At: time.Date(
			2026, time.March, 2, 8, 0, 0, 0, time.UTC,
		), Workshop: w, Instrument: domaintest.Grand(),
		Findings: domaintest.SoundSurvey(
			c, catalogue.Grand, domaintest.Number("SV-33", "13", ""),
			domaintest.Number("SV-35", "7", ""),
		),
		Asked: bid.Question{TransportIn: domaintest.Dec("380"), SellerAsks: &asks, Ways: ways},
	}
}

func workOut(t testing.TB, in bid.Inputs) bid.Result {
	t.Helper()
	r, err := tryWorkOut(t, in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func tryWorkOut(t testing.TB, in bid.Inputs) (bid.Result, error) {
	t.Helper()
	zone, err := time.LoadLocation(in.Workshop.Zone)
	if err != nil {
		t.Fatal(err)
	}
	return bid.Compute(t.Context(), in, domaintest.Shipped(t), zone)
}

// inRange returns a way with a sale price from low over likely to high.
func inRange(depth catalogue.Depth, low, likely, high string) bid.Way {
	return bid.Way{
		Depth: depth, SalePrice: domaintest.Dec(likely),
		SaleLow:  domaintest.Ptr(domaintest.Dec(low)),
		SaleHigh: domaintest.Ptr(domaintest.Dec(high)),
	}
}

func TestABidHasThePricesOfANegotiation(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"))
	w := workOut(t, in).Ways[0]
	n := w.Negotiation
	if w.Outcome != bid.Buy || n.Opening == nil || n.Aim == nil || n.WalkAway == nil ||
		n.Asked == nil {
		t.Fatalf("outcome %s (%s), negotiation %+v; want every price", w.Outcome, w.Why, n)
	}
	if n.Bound == pricing.Unbound && n.Aim.Price != w.Advice.Target.Price ||
		n.Asked.Price != w.AtAsked.Price {
		t.Errorf(
			"target %v and asked %v, advice has %v and %v", n.Aim.Price, n.Asked.Price,
			w.Advice.Target.Price, w.AtAsked.Price,
		)
	}
	if n.WalkAway.ChanceOfLoss.GreaterThan(domain.DefaultLossLimit) {
		t.Errorf("at the walk-away a loss has a chance of %v", n.WalkAway.ChanceOfLoss)
	}
	if h := n.Hours.AtTarget; h == nil || !h.GreaterThan(w.Estimate.Hours.Expected) {
		t.Errorf(
			"%v hours break even at the aim; want more than the expected %v", h,
			w.Estimate.Hours.Expected,
		)
	}
	if n.Opening.Price.Cmp(n.Asked.Price) >= 0 || n.Opening.Price.Cmp(n.Aim.Price) >= 0 {
		t.Errorf("opens at %v, asked %v, aims at %v", n.Opening.Price, n.Asked.Price, n.Aim.Price)
	}
}

// A wider range of the sale takes the walk-away down, and so does a lower limit of risk.
func TestDoubtTakesTheWalkAwayDown(t *testing.T) {
	t.Parallel()
	walkAway := func(in bid.Inputs) decimal.Decimal {
		w := workOut(t, in).Ways[0]
		return w.Negotiation.WalkAway.Price.Decimal()
	}
	narrow := bidFor(t, inRange(catalogue.Restore, "23000", "24000", "25000"))
	wide := bidFor(t, inRange(catalogue.Restore, "17000", "24000", "31000"))
	careful := narrow
	careful.Workshop.Terms.LossLimit = domaintest.Dec("0.02")
	if a, b := walkAway(narrow), walkAway(wide); !b.LessThan(a) {
		t.Errorf("walk-away %v with a wide range, %v with a narrow one", b, a)
	}
	if a, b := walkAway(narrow), walkAway(careful); !b.LessThan(a) {
		t.Errorf("walk-away %v at a limit of 2 %%, %v at 20 %%", b, a)
	}
}

func TestWhatNoPriceMakesSafeIsLeft(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "200", "24000", "24500"))
	in.Workshop.Terms.LossLimit = decimal.Zero
	w := workOut(t, in).Ways[0]
	if w.Outcome != bid.Leave || !strings.Contains(w.Why, "accepts") {
		t.Errorf("got %s %q; want it left for its risk", w.Outcome, w.Why)
	}
}

// An old action of an upright that is past service is told, though no operation deals with it.
func TestABadFindingThatNoWorkDealsWithIsLeftAndTold(t *testing.T) {
	t.Parallel()
	in := bidFor(t, bid.Way{Depth: catalogue.Restore, SalePrice: domaintest.Dec("9000")})
	in.Instrument.Kind, in.Instrument.SizeMM = catalogue.Upright, 1220
	in.Findings = []survey.Finding{domaintest.Answer("SV-02", "obsolete_failed")}
	got := workOut(t, in).Ways[0].Undone
	i := slices.IndexFunc(got, func(u bid.Undone) bool { return u.Point == "SV-02" })
	if i < 0 || got[i].Severity != catalogue.MustAct || got[i].Text == "" {
		t.Fatalf("left undone: %+v; want the action past service", got)
	}
}

func TestFindingsLeftUndoneAreListedAndPricedOnlyByTheBuyer(t *testing.T) {
	t.Parallel()
	asFound, restored := bid.Way{
		Depth: catalogue.AsFound, SalePrice: domaintest.Dec("6000"),
	}, bid.Way{Depth: catalogue.Restore, SalePrice: domaintest.Dec("24000")}
	in := bidFor(t, asFound, restored)
	r := workOut(t, in)
	got := r.Ways[0].Undone
	i := slices.IndexFunc(got, func(u bid.Undone) bool { return u.Point == "SV-33" })
	if i < 0 || got[i].Priced || len(got[i].Calls) == 0 || got[i].Text == "" {
		t.Fatalf(
			"undone as found: %+v; want worn hammers, not priced, with what would deal with them",
			got,
		)
	}
	if slices.ContainsFunc(r.Ways[1].Undone, func(u bid.Undone) bool { return u.Point == "SV-33" }) {
		t.Errorf("restored it still leaves the hammers: %+v", r.Ways[1].Undone)
	}
	if r.Ways[0].Sale.Likely.Decimal().Cmp(domaintest.Dec("6000")) != 0 {
		t.Errorf("money was taken off in silence: %v", r.Ways[0].Sale)
	}
	in.Asked.Ways[0].Defects = []bid.Defect{
		{
			Name: "hammers worn", Point: "SV-33",
			Off: catalogue.ThreePoint{
				Low: domaintest.Dec("200"), Likely: domaintest.Dec("500"),
				High: domaintest.Dec("900"),
			},
		},
	}
	priced := workOut(t, in).Ways[0]
	if !priced.Undone[i].Priced {
		t.Error("the defect of the question does not show with its finding")
	}
	// Expected: 6000 less (200 + 4·500 + 900)/6.
	if s := priced.Sale; s.Low.Text() < "5000.00" || s.Likely.Text() != "5500.00" ||
		s.High.Text() > "6000.00" || s.Expected.Text() != "5483.33" {
		t.Errorf("the sale is %v, want 5500 likely and 5483.33 expected", s)
	}
	sale := priced.Advice.AsGift.Lines[0]
	if sale.Item != pricing.ItemSale ||
		sale.Basis != "6000.00 "+in.Workshop.Terms.Currency+" - 500.00 for hammers worn" {
		t.Errorf("the sums show the sale as %q", sale.Basis)
	}
}

func TestAWayMayStandLongerOnTheFloorThanOthers(t *testing.T) {
	t.Parallel()
	quick, slow := bid.Way{
		Depth: catalogue.AsFound, SalePrice: domaintest.Dec("6000"),
		DaysOnFloor: domaintest.Ptr(10),
	}, bid.Way{Depth: catalogue.AsFound, SalePrice: domaintest.Dec("6000")}
	r := workOut(t, bidFor(t, quick, slow))
	if d := r.Ways[1].HoldDays - r.Ways[0].HoldDays; d != 100 {
		t.Errorf("it is held %d days longer, want the workshop's 110 less 10", d)
	}
	if a, b := r.Ways[0].AtAsked.Profit, r.Ways[1].AtAsked.Profit; a.Cmp(b) <= 0 {
		t.Errorf("sold sooner it leaves %v, later %v", a, b)
	}
}

func TestPremiumAndStepsGoByBands(t *testing.T) {
	t.Parallel()
	in := bidFor(t, bid.Way{Depth: catalogue.Restore, SalePrice: domaintest.Dec("24000")})
	in.Asked.SellerAsks = domaintest.Ptr(domaintest.Dec("2500"))
	in.Asked.Premium = []bid.PremiumBand{
		{From: domaintest.Dec("0"), Share: domaintest.Dec("0.25")},
		{From: domaintest.Dec("1000"), Share: domaintest.Dec("0.10")},
	}
	in.Asked.Steps = []bid.StepBand{
		{From: domaintest.Dec("0"), Step: domaintest.Dec("50")},
		{From: domaintest.Dec("1000"), Step: domaintest.Dec("400")},
	}
	w := workOut(t, in).Ways[0]
	// By hand: 250 on the first thousand, 150 on the rest.
	if premium := w.AtAsked.Lines[4]; premium.Item != pricing.ItemPremium ||
		premium.Amount.Text() != "-400.00" {
		t.Errorf("the premium is %v, want -400.00", premium)
	}
	if over := w.Negotiation.Aim.Price.Decimal().Sub(
		domaintest.Dec("1000"),
	); over.IsPositive() && !over.Mod(domaintest.Dec("400")).IsZero() {
		t.Errorf("the target of %v is on no step", w.Negotiation.Aim.Price)
	}
}

func TestQuestionsThatMakeNoSenseAreRefusedAllAtOnce(t *testing.T) {
	t.Parallel()
	good := func() bid.Question {
		return bid.Question{Ways: []bid.Way{inRange(catalogue.Restore, "100", "200", "300")}}
	}
	cases := []struct {
		name     string
		spoil    func(*bid.Question)
		pointers []string
		says     string
	}{
		{"a gap below the first band", func(q *bid.Question) {
			q.Premium = []bid.PremiumBand{
				{From: domaintest.Dec("100"), Share: domaintest.Dec("0.2")},
			}
		}, []string{"#/premium/0/from"}, "a gap below 100"},
		{"two bands from one price", func(q *bid.Question) {
			q.Premium = []bid.PremiumBand{
				{Share: domaintest.Dec("0.2")},
				{From: domaintest.Dec("5"), Share: domaintest.Dec("0.1")},
				{From: domaintest.Dec("5"), Share: domaintest.Dec("0.05")},
			}
		}, []string{"#/premium/2/from"}, "band 3 overlaps band 2"},
		{"a band that goes back", func(q *bid.Question) {
			q.Steps = []bid.StepBand{
				{Step: domaintest.Dec("5")},
				{From: domaintest.Dec("9"), Step: domaintest.Dec("5")},
				{From: domaintest.Dec("7"), Step: domaintest.Dec("0")},
			}
		}, []string{"#/steps/2/step", "#/steps/2/from"}, "must be above 0"},
		{"bands and one share", func(q *bid.Question) {
			q.PremiumShare, q.Premium = domaintest.Dec("0.1"), []bid.PremiumBand{
				{Share: domaintest.Dec("0.2")},
			}
		}, []string{"#/premium_share"}, "where there are bands"},
		{"a low price above the likely one, a high one below", func(q *bid.Question) {
			q.Ways[0] = inRange(catalogue.Restore, "201", "200", "199")
		}, []string{"#/ways/0/sale_low", "#/ways/0/sale_high"}, "at most the likely price"},
		{
			"a defect that falls", func(q *bid.Question) {
				q.Ways[0].Defects = []bid.Defect{
					{
						Off: catalogue.ThreePoint{
							Low: domaintest.Dec("3"), Likely: domaintest.Dec("2"),
							High: domaintest.Dec("1"),
						},
					},
				}
			},
			[]string{
				"#/ways/0/defects/0/name", "#/ways/0/defects/0/off/low", "#/ways/0/defects/0/off/high",
			},
			"must be given",
		},
		{
			"days before yesterday",
			func(q *bid.Question) { q.Ways[0].DaysOnFloor = domaintest.Ptr(-1) },
			[]string{"#/ways/0/days_on_floor"},
			"0 to 3650",
		},
		{
			"a share finer than is kept",
			func(q *bid.Question) { q.PremiumShare = domaintest.Dec("0.1234567") },
			[]string{"#/premium_share"},
			"6 decimals",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			q := good()
			c.spoil(&q)
			wantFaults(t, q.Check("EUR"), c.pointers, c.says)
		})
	}
	if err := good().Check("EUR"); err != nil {
		t.Errorf("a good question is refused: %v", err)
	}
}

// wantFaults wants an Invalid Fault at the pointers, the first of which says something.
func wantFaults(t *testing.T, err error, pointers []string, says string) {
	t.Helper()
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Invalid {
		t.Fatalf("got %v, want an invalid fault", err)
	}
	got := make([]string, len(f.Fields))
	for i, x := range f.Fields {
		got[i] = x.Pointer
	}
	if !slices.Equal(got, pointers) || !strings.Contains(f.Fields[0].Detail, says) {
		t.Errorf("got %+v, want faults at %q that say %q", f.Fields, pointers, says)
	}
}

func TestADefectThatIsDealtWithOrTakesTooMuchIsRefused(t *testing.T) {
	t.Parallel()
	off := catalogue.ThreePoint{
		Low: domaintest.Dec("0"), Likely: domaintest.Dec("100"), High: domaintest.Dec("200"),
	}
	in := bidFor(t, bid.Way{
		Depth: catalogue.Restore, SalePrice: domaintest.Dec("24000"),
		Defects: []bid.Defect{
			{Name: "scratches", Off: off}, {Name: "hammers worn", Point: "SV-33", Off: off},
		},
	})
	_, err := tryWorkOut(t, in)
	wantFaults(t, err, []string{"#/ways/0/defects/1/point"}, "dealt with")
	in = bidFor(
		t,
		bid.Way{
			Depth: catalogue.AsFound, SalePrice: domaintest.Dec("99"),
			Defects: []bid.Defect{{Name: "scratches", Off: off}},
		},
	)
	_, err = tryWorkOut(t, in)
	wantFaults(t, err, []string{"#/ways/0/defects"}, "no more than the likely price")
}

// Documents that engine 1 wrote, kept as it wrote them.
func TestBidsOfEngineOneCanStillBeRead(t *testing.T) {
	t.Parallel()
	read := func(name string) []byte {
		b, err := os.ReadFile("testdata/engine1/" + name + ".json")
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	in, err := bid.ParseInputs(read("inputs"))
	if err != nil {
		t.Fatal(err)
	}
	if in.Engine != "1" || !in.Workshop.Terms.WorkFinanced.Equal(domaintest.Dec("0.5")) ||
		!in.Workshop.Terms.LossLimit.Equal(domaintest.Dec("0.2")) {
		t.Errorf(
			"engine %s with %v of the work financed and a limit of %v", in.Engine,
			in.Workshop.Terms.WorkFinanced, in.Workshop.Terms.LossLimit,
		)
	}
	old, err := bid.ParseResult(read("result"))
	if err != nil {
		t.Fatal(err)
	}
	if len(old.Ways) != 1 || old.Ways[0].Negotiation != nil ||
		old.Ways[0].AtAsked.Price.Text() != "900.00" {
		t.Errorf("got %+v, want one way with the price asked and no negotiation", old.Ways)
	}
	if now := workOut(t, in); now.Ways[0].Negotiation == nil {
		t.Errorf("engine %s has no negotiation for it", bid.Engine)
	}
}
