package domain_test

import (
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// bidFor is a question for a grand with tired hammers, put to a small shop that
// pays tax on the margin.
func bidFor(t testing.TB, ways ...domain.BidWay) domain.BidInputs {
	t.Helper()
	c := shipped(t)
	w := domain.Workshop{Name: "Fernwood Pianos", Zone: "Europe/Lisbon", Terms: terms(c)}
	tm := &w.Terms
	tm.TaxRegime, tm.TaxRate, tm.TargetShare, tm.BiddingStep, tm.DaysOnFloor = domain.MarginTax, dec("0.20"), dec("0.12"), dec("50"), 110
	tm.SellingShare, tm.FinanceRate, tm.StoragePerDay, tm.UnknownOdds = dec("0.03"), dec("0.06"), dec("1.80"), domain.EvenlyBad(dec("0.4"))
	tm.WorkFinanced, tm.LossLimit = domain.DefaultWorkFinanced, domain.DefaultLossLimit
	for day := time.Monday; day <= time.Friday; day++ {
		w.Open.Week[day] = []domain.Interval{{From: 8 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60}}
	}
	asks := dec("2500")
	return domain.BidInputs{
		Engine: domain.Engine, At: time.Date(2026, time.March, 2, 8, 0, 0, 0, time.UTC), Workshop: w, Instrument: grand(),
		Findings: soundSurvey(c, catalogue.Grand, number("SV-33", "13", ""), number("SV-35", "7", "")),
		Asked:    domain.BidQuestion{TransportIn: dec("380"), SellerAsks: &asks, Ways: ways},
	}
}

func workOut(t testing.TB, in domain.BidInputs) domain.BidResult {
	t.Helper()
	r, err := tryWorkOut(t, in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func tryWorkOut(t testing.TB, in domain.BidInputs) (domain.BidResult, error) {
	t.Helper()
	zone, err := time.LoadLocation(in.Workshop.Zone)
	if err != nil {
		t.Fatal(err)
	}
	return domain.WorkOut(in, shipped(t), zone)
}

// inRange is a way with a sale price from low over likely to high.
func inRange(depth catalogue.Depth, low, likely, high string) domain.BidWay {
	return domain.BidWay{Depth: depth, SalePrice: dec(likely), SaleLow: ptr(dec(low)), SaleHigh: ptr(dec(high))}
}

func TestABidHasThePricesOfANegotiation(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"))
	w := workOut(t, in).Ways[0]
	n := w.Negotiation
	if w.Outcome != domain.Buy || n.Opening == nil || n.Target == nil || n.WalkAway == nil || n.Asked == nil {
		t.Fatalf("outcome %s (%s), negotiation %+v; want every price", w.Outcome, w.Why, n)
	}
	if n.Target.Price != w.Advice.Target.Price || n.Asked.Price != w.AtAsked.Price {
		t.Errorf("target %v and asked %v, advice has %v and %v", n.Target.Price, n.Asked.Price, w.Advice.Target.Price, w.AtAsked.Price)
	}
	if n.WalkAway.ChanceOfLoss.GreaterThan(domain.DefaultLossLimit) {
		t.Errorf("at the walk-away a loss has a chance of %v", n.WalkAway.ChanceOfLoss)
	}
	if h := n.Hours.AtTarget; h == nil || !h.GreaterThan(w.Estimate.Hours.Likely) {
		t.Errorf("%v hours break even at the target; want more than the likely %v", h, w.Estimate.Hours.Likely)
	}
}

// A wider range of the sale leaves target and opening rule as they are and takes the walk-away down; so does a lower
// limit of risk.
func TestDoubtTakesTheWalkAwayDown(t *testing.T) {
	t.Parallel()
	walkAway := func(in domain.BidInputs) decimal.Decimal {
		w := workOut(t, in).Ways[0]
		return w.Negotiation.WalkAway.Price.Decimal()
	}
	narrow := bidFor(t, inRange(catalogue.Restore, "23000", "24000", "25000"))
	wide := bidFor(t, inRange(catalogue.Restore, "17000", "24000", "31000"))
	careful := narrow
	careful.Workshop.Terms.LossLimit = dec("0.02")
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
	if w.Outcome != domain.Leave || !strings.Contains(w.Why, "accepts") {
		t.Errorf("got %s %q; want it left for its risk", w.Outcome, w.Why)
	}
}

func TestFindingsLeftUndoneAreListedAndPricedOnlyByTheBuyer(t *testing.T) {
	t.Parallel()
	asFound, restored := domain.BidWay{Depth: catalogue.AsFound, SalePrice: dec("6000")}, domain.BidWay{Depth: catalogue.Restore, SalePrice: dec("24000")}
	in := bidFor(t, asFound, restored)
	r := workOut(t, in)
	got := r.Ways[0].Undone
	i := slices.IndexFunc(got, func(u domain.Undone) bool { return u.Point == "SV-33" })
	if i < 0 || got[i].Priced || len(got[i].Calls) == 0 || got[i].Says == "" {
		t.Fatalf("undone as found: %+v; want worn hammers, not priced, with what would deal with them", got)
	}
	if slices.ContainsFunc(r.Ways[1].Undone, func(u domain.Undone) bool { return u.Point == "SV-33" }) {
		t.Errorf("restored it still leaves the hammers: %+v", r.Ways[1].Undone)
	}
	if r.Ways[0].Sale.Likely.Decimal().Cmp(dec("6000")) != 0 {
		t.Errorf("money was taken off in silence: %v", r.Ways[0].Sale)
	}
	in.Asked.Ways[0].Defects = []domain.Defect{{Name: "hammers worn", Point: "SV-33", Off: catalogue.ThreePoint{Low: dec("200"), Likely: dec("500"), High: dec("900")}}}
	priced := workOut(t, in).Ways[0]
	if !priced.Undone[i].Priced {
		t.Error("the defect of the question does not show with its finding")
	}
	if s := priced.Sale; s.Low.Text() != "5100.00" || s.Likely.Text() != "5500.00" || s.High.Text() != "5800.00" {
		t.Errorf("the sale is %v, want 5100, 5500 and 5800", s)
	}
	sale := priced.Advice.AsGift.Lines[0]
	if sale.Item != pricing.ItemSale || sale.Basis != "6000.00 "+in.Workshop.Terms.Currency+" - 500.00 for hammers worn" {
		t.Errorf("the sums show the sale as %q", sale.Basis)
	}
}

func TestAWayMayStandLongerOnTheFloorThanOthers(t *testing.T) {
	t.Parallel()
	quick, slow := domain.BidWay{Depth: catalogue.AsFound, SalePrice: dec("6000"), DaysOnFloor: ptr(10)}, domain.BidWay{Depth: catalogue.AsFound, SalePrice: dec("6000")}
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
	in := bidFor(t, domain.BidWay{Depth: catalogue.Restore, SalePrice: dec("24000")})
	in.Asked.SellerAsks = ptr(dec("2500"))
	in.Asked.Premium = []domain.PremiumBand{{From: dec("0"), Share: dec("0.25")}, {From: dec("1000"), Share: dec("0.10")}}
	in.Asked.Steps = []domain.StepBand{{From: dec("0"), Step: dec("50")}, {From: dec("1000"), Step: dec("400")}}
	w := workOut(t, in).Ways[0]
	// By hand: 250 on the first thousand, 150 on the rest.
	if premium := w.AtAsked.Lines[4]; premium.Item != pricing.ItemPremium || premium.Amount.Text() != "-400.00" {
		t.Errorf("the premium is %v, want -400.00", premium)
	}
	if over := w.Negotiation.Target.Price.Decimal().Sub(dec("1000")); over.IsPositive() && !over.Mod(dec("400")).IsZero() {
		t.Errorf("the target of %v is on no step", w.Negotiation.Target.Price)
	}
}

func TestQuestionsThatMakeNoSenseAreRefusedAllAtOnce(t *testing.T) {
	t.Parallel()
	good := func() domain.BidQuestion {
		return domain.BidQuestion{Ways: []domain.BidWay{inRange(catalogue.Restore, "100", "200", "300")}}
	}
	cases := []struct {
		name     string
		spoil    func(*domain.BidQuestion)
		pointers []string
		says     string
	}{
		{"a gap below the first band", func(q *domain.BidQuestion) {
			q.Premium = []domain.PremiumBand{{From: dec("100"), Share: dec("0.2")}}
		}, []string{"#/premium/0/from"}, "band 1 begins at 100"},
		{"two bands from one price", func(q *domain.BidQuestion) {
			q.Premium = []domain.PremiumBand{{Share: dec("0.2")}, {From: dec("5"), Share: dec("0.1")}, {From: dec("5"), Share: dec("0.05")}}
		}, []string{"#/premium/2/from"}, "band 3 overlaps band 2"},
		{"a band that goes back", func(q *domain.BidQuestion) {
			q.Steps = []domain.StepBand{{Step: dec("5")}, {From: dec("9"), Step: dec("5")}, {From: dec("7"), Step: dec("0")}}
		}, []string{"#/steps/2/step", "#/steps/2/from"}, "must be above 0"},
		{"bands and one share", func(q *domain.BidQuestion) {
			q.PremiumShare, q.Premium = dec("0.1"), []domain.PremiumBand{{Share: dec("0.2")}}
		}, []string{"#/premium_share"}, "one of the two"},
		{"a low price above the likely one, a high one below", func(q *domain.BidQuestion) {
			q.Ways[0] = inRange(catalogue.Restore, "201", "200", "199")
		}, []string{"#/ways/0/sale_low", "#/ways/0/sale_high"}, "above the likely"},
		{"a defect that falls", func(q *domain.BidQuestion) {
			q.Ways[0].Defects = []domain.Defect{{Off: catalogue.ThreePoint{Low: dec("3"), Likely: dec("2"), High: dec("1")}}}
		}, []string{"#/ways/0/defects/0/name", "#/ways/0/defects/0/off/low", "#/ways/0/defects/0/off/high"}, "must be given"},
		{"days before yesterday", func(q *domain.BidQuestion) { q.Ways[0].DaysOnFloor = ptr(-1) }, []string{"#/ways/0/days_on_floor"}, "0 to 3650"},
		{"a share finer than is kept", func(q *domain.BidQuestion) { q.PremiumShare = dec("0.1234567") }, []string{"#/premium_share"}, "6 decimals"},
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

// wantFaults wants an Invalid Fault at the pointers, the first of which says
// something.
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
	off := catalogue.ThreePoint{Low: dec("0"), Likely: dec("100"), High: dec("200")}
	in := bidFor(t, domain.BidWay{
		Depth: catalogue.Restore, SalePrice: dec("24000"),
		Defects: []domain.Defect{{Name: "scratches", Off: off}, {Name: "hammers worn", Point: "SV-33", Off: off}},
	})
	_, err := tryWorkOut(t, in)
	wantFaults(t, err, []string{"#/ways/0/defects/1/point"}, "dealt with")
	in = bidFor(t, domain.BidWay{Depth: catalogue.AsFound, SalePrice: dec("99"), Defects: []domain.Defect{{Name: "scratches", Off: off}}})
	_, err = tryWorkOut(t, in)
	wantFaults(t, err, []string{"#/ways/0/defects"}, "more off")
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
	in, err := domain.ParseBidInputs(read("inputs"))
	if err != nil {
		t.Fatal(err)
	}
	if in.Engine != "1" || !in.Workshop.Terms.WorkFinanced.Equal(dec("0.5")) || !in.Workshop.Terms.LossLimit.Equal(dec("0.2")) {
		t.Errorf("engine %s with %v of the work financed and a limit of %v", in.Engine, in.Workshop.Terms.WorkFinanced, in.Workshop.Terms.LossLimit)
	}
	old, err := domain.ParseBidResult(read("result"))
	if err != nil {
		t.Fatal(err)
	}
	if len(old.Ways) != 1 || old.Ways[0].Negotiation != nil || old.Ways[0].AtAsked.Price.Text() != "900.00" {
		t.Errorf("got %+v, want one way with the price asked and no negotiation", old.Ways)
	}
	now := workOut(t, in)
	if now.Ways[0].Negotiation == nil || now.Ways[0].AtAsked.Profit != old.Ways[0].AtAsked.Profit {
		t.Errorf("engine %s makes a profit of %v at the price asked, engine 1 made %v", domain.Engine, now.Ways[0].AtAsked.Profit, old.Ways[0].AtAsked.Profit)
	}
}

func TestSettingsFinerThanTheyAreKeptAreRefused(t *testing.T) {
	t.Parallel()
	in := bidFor(t)
	w := in.Workshop
	w.Terms.TaxRate, w.Terms.LossLimit, w.Terms.WorkFinanced = dec("0.9999999"), dec("1"), dec("1.1")
	w.Terms.OverheadRate, w.Terms.BiddingStep = dec("12.00001"), dec("0.001")
	wantFaults(t, w.Check(), []string{
		"#/terms/tax_rate", "#/terms/loss_limit", "#/terms/work_financed", "#/terms/overhead_rate", "#/terms/bidding_step",
	}, "6 decimals")
	w = in.Workshop
	w.Terms.TargetShare = dec("1")
	wantFaults(t, w.Check(), []string{"#/terms/target_share"}, "not including 1")
	p := domain.Person{Name: "Rui", Skills: []string{"action"}, ProductiveShare: dec("0.0000001")}
	wantFaults(t, p.Check(), []string{"#/productive_share"}, "6 decimals")
	p.ProductiveShare = dec("0.049")
	wantFaults(t, p.Check(), []string{"#/productive_share"}, "less than 0.05")
	p.ProductiveShare = dec("0.05")
	if err := p.Check(); err != nil {
		t.Errorf("a twentieth of the hours at the bench: %v", err)
	}
}
