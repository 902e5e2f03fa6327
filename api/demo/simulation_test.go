package demo_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
	"gonum.org/v1/gonum/stat/distuv"
)

// simulation draws what a way of a bid may come to, work and sale.
type simulation struct {
	domaintest.Simulation
	in   bid.Inputs
	way  bid.WayResult
	sale bid.Way
}

func simulate(c *catalogue.Catalogue, in bid.Inputs, r bid.Result, way int) *simulation {
	s := &simulation{in: in, way: r.Ways[way]}
	s.sale = in.Asked.Ways[slices.IndexFunc(in.Asked.Ways, func(w bid.Way) bool {
		return w.Depth == s.way.Depth
	})]
	s.Simulation = domaintest.Simulation{
		Catalogue: c, Instrument: in.Instrument, Judgements: r.Judgements, Depth: s.way.Depth,
		Edits: s.sale.Edits, Terms: in.Workshop.Terms, Fetched: in.Asked.TransportIn.IsPositive(),
	}
	for _, x := range s.way.Scope.Doubts {
		s.Doubts = append(s.Doubts, x.Point)
	}
	return s
}

// drawnJob is one case: what the work cost and what the piano sold for, in minor units.
type drawnJob struct{ work, sale float64 }

func (s *simulation) draw(t *testing.T, draws int) []drawnJob {
	t.Helper()
	r := rand.New(rand.NewPCG(1911, 41877))
	sales := domaintest.LoadingOf(s.in.Workshop.Terms.Uncertainty.SaleWithWear.Of(s.way.Depth))
	if s.Apart {
		sales = 0
	}
	low, likely, high := 100*s.sale.SaleLow.InexactFloat64(), 100*s.sale.SalePrice.InexactFloat64(),
		100*s.sale.SaleHigh.InexactFloat64()
	prices := make([]float64, 20_000) // equally likely each
	a := 1 + 4*(likely-low)/(high-low)
	for i := range prices {
		prices[i] = low + (high-low)*
			distuv.Beta{Alpha: a, Beta: 6 - a}.Quantile((float64(i)+0.5)/float64(len(prices)))
	}
	jobs := make([]drawnJob, draws)
	for i, x := range s.Draw(t, r, draws) {
		rank := distuv.UnitNormal.CDF(domaintest.Along(r, sales, -x.Wear))
		jobs[i] = drawnJob{x.Work, prices[int(rank*float64(len(prices)))]}
		for _, d := range s.sale.Defects {
			jobs[i].sale -= 100 * domaintest.DrawBeta(r, [3]float64{
				d.Off.Low.InexactFloat64(), d.Off.Likely.InexactFloat64(), d.Off.High.InexactFloat64(),
			})
		}
	}
	return jobs
}

// profit returns what a case leaves at a price: its own sale, tax on the margin, selling and work,
// and of the bid's sums what the price alone decides.
func (s *simulation) profit(at pricing.Prospect, x drawnJob) float64 {
	terms := s.in.Workshop.Terms
	line := func(item pricing.Item) float64 {
		for _, l := range at.Lines {
			if l.Item == item {
				return float64(l.Amount.Minor())
			}
		}
		return 0
	}
	left, paid := x.sale, -line(pricing.ItemPrice)-line(pricing.ItemPremium)
	rate := terms.TaxRate.InexactFloat64()
	left -= max(x.sale-paid, 0) * rate / (1 + rate)
	left -= x.sale*terms.SellingShare.InexactFloat64() + terms.SellingFixed.InexactFloat64()*100
	left -= x.work * (1 + line(pricing.ItemWorkFinance)/line(pricing.ItemWork))
	for _, item := range []pricing.Item{
		pricing.ItemPrice, pricing.ItemPremium, pricing.ItemTransport, pricing.ItemDuty,
		pricing.ItemFinance, pricing.ItemStorage, pricing.ItemHarm,
	} {
		left += line(item)
	}
	return left
}

func (s *simulation) chance(jobs []drawnJob, at pricing.Prospect, below float64) float64 {
	n := 0
	for _, x := range jobs {
		if s.profit(at, x) < below {
			n++
		}
	}
	return float64(n) / float64(len(jobs))
}

func workQuantile(jobs []drawnJob, p float64) float64 {
	list := make([]domaintest.Simulated, len(jobs))
	for i, x := range jobs {
		list[i].Work = x.work
	}
	return domaintest.WorkQuantile(list, p)
}

// Every chance and percentile of the demo's bid is what 200,000 draws of the model say, to 0.2 and
// 0.3 %. Drawn each for itself, as if a worn piano were not worn everywhere, the lines would make
// the bid far too sure of itself.
func TestTheBidsChancesAreThoseOfASimulation(t *testing.T) {
	t.Parallel()
	story, a := tellWith(t)
	revision, err := a.Catalogue(t.Context(), story.Owner)
	if err != nil {
		t.Fatal(err)
	}
	in, result := story.Bid.Inputs, story.Bid.Result
	draws, within := 200_000, 0.003
	if testing.Short() {
		draws, within = draws/16, within*4 // the noise falls with the square root
	}
	for i, way := range result.Ways {
		if way.Negotiation.Aim == nil {
			continue
		}
		s := simulate(revision.Catalogue, in, result, i)
		s.CheckTheRestChangesNothing(t)
		jobs := s.draw(t, draws)
		s.Apart = true
		apart := s.draw(t, draws)
		checkWork(t, way, jobs, apart, within)
		checkChances(t, s, jobs, apart)
	}
}

// checkWork holds the percentiles of the work against those drawn.
func checkWork(t *testing.T, way bid.WayResult, jobs, apart []drawnJob, within float64) {
	t.Helper()
	passed, limit := 0, workQuantile(apart, 0.8)
	for _, x := range jobs {
		if x.work > limit {
			passed++
		}
	}
	t.Logf("%s: P80 of lines drawn each for itself is passed in %.1f %% of cases", way.Depth,
		100*float64(passed)/float64(len(jobs)))
	if passed < len(jobs)*3/10 {
		t.Errorf("%s: lines that go together hardly differ from independent ones", way.Depth)
	}
	told := way.Negotiation.Work
	for _, q := range []struct {
		p    float64
		told money.Amount
	}{
		{0.1, *told.P10},
		{0.5, *told.P50},
		{0.8, told.P80},
		{0.9, *told.P90},
	} {
		drawn, alone := workQuantile(jobs, q.p), workQuantile(apart, q.p)
		t.Logf("%s: P%.0f of the work is %s, drawn %.2f, each line for itself %.2f", way.Depth,
			100*q.p, q.told, drawn/100, alone/100)
		if off := float64(q.told.Minor())/drawn - 1; math.Abs(off) > within {
			t.Errorf("%s: P%.0f of the work is %.2f %% off", way.Depth, 100*q.p, 100*off)
		}
	}
}

// checkChances holds the chances at every price against those drawn.
func checkChances(t *testing.T, s *simulation, jobs, apart []drawnJob) {
	t.Helper()
	n := s.way.Negotiation
	wanted := float64(s.way.Sale.Expected.Minor()) *
		s.in.Workshop.Terms.TargetShare.InexactFloat64()
	for _, at := range []struct {
		name string
		*pricing.Prospect
	}{
		{"asked", n.Asked},
		{"opening", n.Opening},
		{"aim", n.Aim},
		{"walk-away", n.WalkAway},
	} {
		if at.Prospect == nil {
			continue
		}
		p := *at.Prospect
		for _, x := range []struct {
			of    string
			told  decimal.Decimal
			drawn float64
			alone float64
		}{
			{"a loss", p.ChanceOfLoss, s.chance(jobs, p, 0), s.chance(apart, p, 0)},
			{
				"what is wanted", *p.ChanceOfWanted, 1 - s.chance(jobs, p, wanted),
				1 - s.chance(apart, p, wanted),
			},
		} {
			t.Logf("%s, %s: %s in %s of cases, drawn %.4f, each line for itself %.4f", s.way.Depth,
				at.name, x.of, x.told, x.drawn, x.alone)
			noise := 3 * math.Sqrt(x.drawn*(1-x.drawn)/float64(len(jobs)))
			if math.Abs(x.told.InexactFloat64()-x.drawn) > 0.002+noise {
				t.Errorf("%s, %s: %s in %s of cases, drawn %.4f", s.way.Depth, at.name, x.of, x.told,
					x.drawn)
			}
		}
	}
}
