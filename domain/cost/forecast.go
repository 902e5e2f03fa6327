package cost

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Progress is what is known of the cost of a job: what was posted, what waits for that, and what
// was planned.
type Progress struct {
	Currency money.Currency
	Totals   []Total // of the job
	Pending  []Pending
	// Committed is the outside work that was agreed and is neither accrued nor billed.
	Committed money.Amount
	// ToGo is what is left to do beyond that, and Planned what the tasks of today were to cost when
	// they came into the job, at the Standard rates, with which the accepted estimate was made.
	ToGo, Planned pricing.Estimate
	Tasks         []job.Task
	Standard      Rates
	// Baseline is the estimate that was accepted; nil: none was kept.
	Baseline *pricing.Costs
}

// Pending is hours that wait for their approval, with what they will cost.
type Pending struct {
	Operation catalogue.Code
	Purpose   Purpose
	Minutes   int
	Amount    money.Amount
}

// Forecast is what a job has cost and will cost. Spent, pending, committed and to go are disjoint;
// all but the inventory view of what was spent is as management counts.
type Forecast struct {
	Spent          Views
	PendingMinutes int
	Pending        money.Amount
	Committed      money.Amount
	ToGo           pricing.Range
	AtCompletion   pricing.Range
	Baseline       *pricing.Range
	Variance       *Variance // against the likely figure of the baseline
}

// Variance is by how much a job comes to more than was estimated, or less where it is negative. The
// parts add up to the total.
type Variance struct {
	Scope  money.Amount // work that came in or was left out since the acceptance
	Hours  money.Amount // more hours than planned, at standard rates
	Rate   money.Amount // hours that cost more than the standard
	Price  money.Amount // parts and outside work
	Rework money.Amount
	Beyond money.Amount // what the estimate doesn't cover, as delivery and warranty
	Total  money.Amount
}

// Forecast works out what a job comes to.
func (p Progress) Forecast() (Forecast, error) {
	f := Forecast{
		Spent: InViews(p.Totals, p.Currency), Pending: money.Zero(p.Currency), Committed: p.Committed,
		ToGo: p.ToGo.Costs.Total,
	}
	for _, x := range p.Pending {
		f.PendingMinutes += x.Minutes
		f.Pending = f.Pending.Add(x.Amount)
	}
	sure := f.Spent.Management.Add(f.Pending).Add(f.Committed)
	f.AtCompletion = pricing.Range{
		Low: sure.Add(f.ToGo.Low), Likely: sure.Add(f.ToGo.Likely), High: sure.Add(f.ToGo.High),
		Expected: sure.Add(f.ToGo.Expected),
	}
	if p.Baseline == nil {
		return f, nil
	}
	f.Baseline = &p.Baseline.Total
	v, err := p.variance(f)
	f.Variance = &v
	return f, err
}

// again are the purposes of work that is done again, and of the parts for it.
var again = []Purpose{Rework, AbnormalRework, NormalLoss, AbnormalLoss}

// variance splits the difference between the likely figures. Hours are compared task by task at
// standard rates; what labour then still costs more or less is the rate, as (actual rate - standard
// rate) × actual hours.
func (p Progress) variance(f Forecast) (Variance, error) {
	v := Variance{Rework: money.Zero(p.Currency), Beyond: money.Zero(p.Currency)}
	planned := p.Planned.Costs
	labour := p.ToGo.Costs.Labour.Likely.Add(p.ToGo.Costs.Overhead.Likely)
	things := p.ToGo.Costs.Materials.Likely.Add(p.ToGo.Costs.Outside.Likely).Add(p.Committed)
	sort := func(k Kind, purpose Purpose, a money.Amount) {
		switch {
		case k == Opening || !slices.Contains(work, purpose):
			v.Beyond = v.Beyond.Add(a)
		case slices.Contains(again, purpose):
			v.Rework = v.Rework.Add(a)
		case k == Labour || k == NotionalLabour || k == Overhead:
			labour = labour.Add(a)
		default:
			things = things.Add(a)
		}
	}
	for _, t := range p.Totals {
		sort(t.Kind, t.Purpose, t.Amount)
	}
	for _, x := range p.Pending {
		sort(Labour, x.Purpose, x.Amount)
	}
	var err error
	if v.Hours, err = p.hoursVariance(); err != nil {
		return v, err
	}
	v.Scope = planned.Total.Likely.Sub(p.Baseline.Total.Likely)
	v.Rate = labour.Sub(planned.Labour.Likely).Sub(planned.Overhead.Likely).Sub(v.Hours)
	v.Price = things.Sub(planned.Materials.Likely).Sub(planned.Outside.Likely)
	v.Total = f.AtCompletion.Likely.Sub(p.Baseline.Total.Likely)
	return v, nil
}

// hoursVariance returns what the hours beyond the planned ones cost at standard rates: (actual
// hours and those left - planned hours) × standard rate, task by task.
func (p Progress) hoursVariance() (money.Amount, error) {
	beyond := map[catalogue.Code]decimal.Decimal{}
	add := func(code catalogue.Code, h decimal.Decimal) { beyond[code] = beyond[code].Add(h) }
	minutes := map[catalogue.Code]int{}
	for _, t := range p.Totals {
		if t.Kind == Overhead && t.Purpose == Work { // all hours carry overhead
			minutes[t.Operation] += t.Minutes
		}
	}
	for _, x := range p.Pending {
		if x.Purpose == Work {
			minutes[x.Operation] += x.Minutes
		}
	}
	hour := decimal.NewFromInt(domain.MinutesPerHour)
	for code, n := range minutes {
		add(code, decimal.NewFromInt(int64(n)).DivRound(hour, ratePlaces))
	}
	for _, l := range p.ToGo.Lines {
		add(catalogue.Code(l.Ref), l.Hours.Likely)
	}
	for _, l := range p.Planned.Lines {
		add(catalogue.Code(l.Ref), l.Hours.Likely.Neg())
	}
	sum := money.Zero(p.Currency)
	for _, t := range p.Tasks {
		skill := ""
		if t.Line != nil {
			skill = t.Line.Skill
		}
		a, err := money.Round(
			beyond[t.Operation].Mul(p.Standard.Of(skill).Add(p.Standard.Overhead)), p.Currency, money.HalfUp,
		)
		if err != nil {
			return sum, err
		}
		sum = sum.Add(a)
	}
	return sum, nil
}
