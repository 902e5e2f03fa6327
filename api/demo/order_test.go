package demo_test

import (
	"testing"
	"time"

	"bentside/api/demo"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/plan"
)

// The order of work in a full restoration: common practice, no source, unless a line says
// otherwise.
func TestARestorationIsDoneInTheOrderOfTheTrade(t *testing.T) {
	t.Parallel()
	story := tell(t)
	restore := story.Bid.Result.Ways[len(story.Bid.Result.Ways)-1]
	if restore.Depth != catalogue.Restore {
		t.Fatalf("the last way is %s, want restore", restore.Depth)
	}
	rules := []struct {
		says          string
		before, after catalogue.Code
	}{
		{"action and keys come out before tension is let down", "DS-01", "DS-02"},
		{
			"no frame bolt is slackened under load: strings off before the frame comes out",
			"DS-02", "DS-03",
		},
		{"the frame is out before the plank is cut", "DS-03", "BD-02"},
		{"the plank is fitted before the trial fit of the frame", "BD-02", "FR-02"},
		{"the plank is drilled through the frame once its height is fixed", "FR-02", "BD-03"},
		{"the frame is gilded after it is drilled through", "BD-03", "FR-03"},
		{"the frame is gilded before its final refit", "FR-03", "FR-06"},
		{"the board is varnished before the frame goes back over it", "BD-13", "FR-06"},
		{"strings go on after the final refit", "FR-06", "ST-02"},
		{"covered strings go on last", "ST-02", "ST-03"},
		{"regulation follows the new hammers", "AC-06", "RG-01"},
		{"regulation follows strings near pitch", "ST-05", "RG-01"},
		{"keys are weighed off after the first regulation (practitioner)", "RG-01", "KY-06"},
		{"voicing follows the second regulation", "RG-02", "VO-01"},
		{"the final tuning follows the rest in showroom air", "QC-02", "TU-03"},
		{"it is photographed when the faults are cleared", "QC-01", "QC-03"},
	}
	for _, plan := range []struct {
		name  string
		steps []plan.Step
	}{{"alone", restore.Dates.Alone.Steps}, {"queued", restore.Dates.Queued.Steps}} {
		first, last := spans(plan.steps)
		for _, r := range rules {
			end, begun := last[r.before], first[r.after]
			if end.IsZero() || begun.IsZero() {
				t.Errorf("%s: %s: %s or %s is not in the plan", plan.name, r.says, r.before, r.after)
				continue
			}
			if begun.Before(end) {
				t.Errorf(
					"%s: %s: %s starts %s, before %s ends %s", plan.name, r.says, r.after, begun,
					r.before, end,
				)
			}
		}
	}
}

// spans returns the first start and the last end, tail included, of the attended work of each
// operation.
func spans(steps []plan.Step) (first, last map[catalogue.Code]time.Time) {
	first, last = map[catalogue.Code]time.Time{}, map[catalogue.Code]time.Time{}
	for _, s := range steps {
		if first[s.Operation].IsZero() || s.Start.Before(first[s.Operation]) {
			first[s.Operation] = s.Start
		}
		if s.Released.After(last[s.Operation]) {
			last[s.Operation] = s.Released
		}
	}
	return first, last
}

func TestTheSumsOfEachWayAddUpToItsProfit(t *testing.T) {
	t.Parallel()
	for _, w := range tell(t).Bid.Result.Ways {
		sums := w.Advice.AsGift
		total := sums.Profit.Sub(sums.Profit)
		for _, l := range sums.Lines[:len(sums.Lines)-1] {
			total = total.Add(l.Amount)
		}
		if total != sums.Profit {
			t.Errorf("%s: the lines come to %v, the profit says %v", w.Depth, total, sums.Profit)
		}
		costs := w.Estimate.Costs
		kinds := costs.Labour.Add(costs.Overhead).Add(costs.Materials).Add(costs.Outside)
		if kinds.Likely != costs.Total.Likely || kinds.Expected != costs.Total.Expected {
			t.Errorf("%s: the kinds of cost do not add up to the total", w.Depth)
		}
	}
}

// A full restoration takes four to five months in a working shop (common practice, no source; a
// shop's own word, source S25 of the trade notes). The demo's is at the short end: parts are
// ordered at once and people not counted.
func TestARestorationTakesMonths(t *testing.T) {
	t.Parallel()
	story := tell(t)
	ready := story.Bid.Result.Ways[2].Dates.Queued.Ready
	days := demo.Today.DaysUntil(domain.DateOf(ready))
	if days < 90 || days > 160 {
		t.Errorf("ready after %d days, want between three and five months", days)
	}
}
