package job_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

const (
	fiftyYears  = 50 * 366
	threeYears  = 3 * 366
	twentyYears = 20 * 366
)

// Whatever is recorded happened within living memory and not tomorrow; what is expected comes
// today at the earliest and not in another age.
func TestDaysAreTakenFromLivingMemoryToAForeseeableFuture(t *testing.T) {
	t.Parallel()
	today := domaintest.JobDay
	check := map[string]func(day domain.Date) error{
		"an acceptance": func(day domain.Date) error { return job.CheckAcceptance(day, today) },
		"a limit": func(day domain.Date) error {
			l := job.SpendingLimit{
				Limit: money.MustParse("0.00 GBP"), Party: uuid.UUID{1}, AgreedOn: day, How: "by letter",
			}
			return l.Check(uuid.UUID{1}, today)
		},
		"an answer": func(day domain.Date) error { _, err := job.AnswerBy(day, today); return err },
		"a rest": func(day domain.Date) error {
			_, err := twoTasks().Suspend(job.Suspension{Why: "parts", Until: day}, today)
			return err
		},
		"a promise": func(day domain.Date) error {
			return job.Promise{For: "a visit", PromisedOn: today, Due: day}.Check(today)
		},
		"an offer": func(day domain.Date) error {
			q := quoted("100.00")
			q.ValidUntil = day
			_, err := q.Priced(q.Party, today)
			return err
		},
	}
	for name, bounds := range map[string][2]int{
		"an acceptance": {-fiftyYears, 0}, "a limit": {-fiftyYears, 0}, "an answer": {0, threeYears},
		"a rest": {0, threeYears}, "a promise": {0, twentyYears}, "an offer": {0, twentyYears},
	} {
		for days, refused := range map[int]bool{
			bounds[0] - 1: true, bounds[0]: false, bounds[1]: false, bounds[1] + 1: true,
		} {
			if err := check[name](today.AddDays(days)); (err != nil) != refused {
				t.Errorf("%s %d days from now: %v", name, days, err)
			}
		}
		if err := check[name](domain.Date{}); (err == nil) != (name == "an answer") {
			t.Errorf("%s without a day: %v", name, err)
		}
	}
	if day, _ := job.AnswerBy(domain.Date{}, today); day != today.AddDays(14) {
		t.Errorf("an answer is expected by %s, want a fortnight from %s", day, today)
	}
}

// quoted returns a quotation of today with an option at each net price, valid for 30 days.
func quoted(nets ...string) job.Quotation {
	q := job.Quotation{
		Party: uuid.UUID{1}, QuotedOn: domaintest.JobDay, ValidUntil: domaintest.JobDay.AddDays(30),
		Deposit: money.MustParse("0.00 GBP"),
	}
	for i, net := range nets {
		q.Options = append(q.Options, job.QuotedOption{
			Scope: uuid.UUID{9, byte(i)}, Version: 3, Net: money.MustParse(net + " GBP"),
			TaxRate: domaintest.Dec("0.2"),
		})
	}
	return q
}

func TestADepositIsAtMostTheSmallestTotal(t *testing.T) {
	t.Parallel()
	for deposit, want := range map[string][]string{
		"-0.01": {"#/deposit/amount"}, "0.00": nil, "120.00": nil, "120.01": {"#/deposit/amount"},
		"240.01": {"#/deposit/amount", "#/deposit/amount"},
	} {
		q := quoted("100.00", "200.00")
		q.Deposit = money.MustParse(deposit + " GBP")
		_, err := q.Priced(q.Party, domaintest.JobDay)
		if got := pointersOf(err); !slices.Equal(got, want) {
			t.Errorf("a deposit of %s: %v, want faults at %q", deposit, err, want)
		}
	}
	for rate, refused := range map[string]bool{
		"0": false, "0.999999": false, "1": true, "-0.1": true,
	} {
		q := quoted("100.00")
		q.Options[0].TaxRate = domaintest.Dec(rate)
		if _, err := q.Priced(q.Party, domaintest.JobDay); (err != nil) != refused {
			t.Errorf("tax at %s: %v", rate, err)
		}
	}
	for net, refused := range map[string]bool{
		"0.00": true, "0.01": false, "5000000000000.00": false, "5000000000000.01": true,
	} {
		q := quoted(net)
		if _, err := q.Priced(q.Party, domaintest.JobDay); (err != nil) != refused {
			t.Errorf("a net price of %s: %v", net, err)
		}
	}
}

func TestAnAnswerNamesAnOptionInTime(t *testing.T) {
	t.Parallel()
	today := domaintest.JobDay.AddDays(40)
	for name, x := range map[string]struct {
		answer job.QuotationAnswer
		kind   domain.FaultKind // empty: taken
	}{
		"the first option": {job.QuotationAnswer{Accepted: true, Option: 1, On: domaintest.JobDay}, ""},
		"the last, on the last day": {
			job.QuotationAnswer{Accepted: true, Option: 2, On: domaintest.JobDay.AddDays(30)}, "",
		},
		"a day late": {
			job.QuotationAnswer{Accepted: true, Option: 2, On: domaintest.JobDay.AddDays(31)},
			domain.Conflict,
		},
		"declined late": {job.QuotationAnswer{On: domaintest.JobDay.AddDays(31)}, ""},
		"no option":     {job.QuotationAnswer{Accepted: true, On: domaintest.JobDay}, domain.Invalid},
		"one too many": {
			job.QuotationAnswer{Accepted: true, Option: 3, On: domaintest.JobDay}, domain.Invalid,
		},
		"declined by one": {job.QuotationAnswer{Option: 1, On: domaintest.JobDay}, domain.Invalid},
		"before it was quoted": {
			job.QuotationAnswer{Accepted: true, Option: 1, On: domaintest.JobDay.AddDays(-1)},
			domain.Invalid,
		},
	} {
		_, err := quoted("100.00", "200.00").Reply(x.answer, today)
		if domaintest.KindOf(err) != x.kind {
			t.Errorf("%s: %v, want %q", name, err, x.kind)
		}
	}
}

// A yes to other work counts from the day on which the client last said yes to something, and a
// refusal says what the client did say.
func TestAYesToOtherWorkIsNoOlderThanTheLastOne(t *testing.T) {
	t.Parallel()
	today := domaintest.JobDay.AddDays(5)
	q, err := quoted("100.00").Reply(
		job.QuotationAnswer{Accepted: true, Option: 1, On: domaintest.JobDay}, today)
	if err != nil {
		t.Fatal(err)
	}
	given := func(days int) *job.WorkConsent {
		return &job.WorkConsent{
			Consent: job.Consent{Party: q.Party, On: domaintest.JobDay.AddDays(days), How: "by letter"},
			To:      "all of it",
		}
	}
	other := uuid.UUID{8}
	for days, refused := range map[int]bool{-1: true, 0: false, 5: false, 6: true} {
		_, err := job.CheckConsent(&q, q.Party, other, 1, given(days), today)
		if (err != nil) != refused {
			t.Errorf("%d days after the last yes: %v", days, err)
		}
	}
	edited := "the scope has been edited since the client accepted it"
	for scopeID, want := range map[uuid.UUID]bool{q.Options[0].Scope: true, other: false} {
		_, err := job.CheckConsent(&q, q.Party, scopeID, 4, nil, today)
		f := domaintest.FaultOf(err)
		if f == nil || strings.HasPrefix(f.Chain[0], edited) != want {
			t.Errorf("scope %s: %+v", scopeID, f)
		}
	}
	if err := job.CheckNoConsent(nil); err != nil {
		t.Errorf("nobody's consent to our own work: %v", err)
	}
	if got := pointersOf(job.CheckNoConsent(given(0))); !slices.Equal(got, []string{"#/consent"}) {
		t.Errorf("a consent to our own work: faults at %q", got)
	}
}

func TestAPromiseHasItsChanceAndItsEnd(t *testing.T) {
	t.Parallel()
	today := domaintest.JobDay
	p := job.Promise{For: "a visit", PromisedOn: today.AddDays(-3), Due: today}
	for chance, refused := range map[string]bool{"0": false, "1": false, "1.01": true, "-0.1": true} {
		with := p
		with.Confidence = domaintest.Ptr(domaintest.Dec(chance))
		if err := with.Check(today); (err != nil) != refused {
			t.Errorf("kept with a chance of %s: %v", chance, err)
		}
	}
	for days, refused := range map[int]bool{-4: true, -3: false, 0: false, 1: true} {
		o := job.PromiseOutcome{On: today.AddDays(days)}
		if _, err := p.End(o, today); (err != nil) != refused {
			t.Errorf("met %d days from now: %v", days, err)
		}
	}
	gone, err := p.End(job.PromiseOutcome{Withdrawn: true, On: today, Why: "sold"}, today)
	if err != nil || gone.State(today) != job.PromiseWithdrawn {
		t.Errorf("withdrawn it is %s, %v", gone.State(today), err)
	}
}

// A job from before jobs kept their lines takes those of its scope, in their order; a task without
// a line stands in no plan.
func TestAnOldJobTakesTheLinesOfItsScope(t *testing.T) {
	t.Parallel()
	old := job.Job{State: job.Open, Tasks: []job.Task{
		{Operation: "ST-01"}, {Operation: "AC-01"}, {Operation: "X-01"},
	}}
	if old.HasLines() || len(old.Work().Lines) > 0 {
		t.Errorf("it has lines: %+v", old.Work())
	}
	line := func(code catalogue.Code) scope.Line { return scope.Line{Operation: code} }
	now := old.WithLines(scope.Scope{
		Depth: catalogue.Restore, Lines: []scope.Line{line("AC-01"), line("QC-01"), line("ST-01")},
	})
	var codes []catalogue.Code
	for _, l := range now.Work().Lines {
		codes = append(codes, l.Operation)
	}
	if !now.HasLines() || now.Depth != catalogue.Restore ||
		!slices.Equal(codes, []catalogue.Code{"AC-01", "ST-01"}) {
		t.Errorf("lines of %q at %s", codes, now.Depth)
	}
	if old.Tasks[0].Line != nil {
		t.Error("the job that was given has changed")
	}
}
