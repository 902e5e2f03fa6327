package domain_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func eur(text string) money.Amount { return money.MustParse(text + " EUR") }

// variation is a proposal that a client would pay for.
func variation(price string) domain.Proposal {
	a := eur(price)
	return domain.Proposal{Says: "the pins are loose", Price: &a, ProposedAt: jobHour}
}

func TestAVariationAboveTheLimitWantsTheClientsRecordedConsent(t *testing.T) {
	t.Parallel()
	consent := &domain.Consent{On: jobDay, How: "by letter"}
	for _, c := range []struct {
		name           string
		price          string
		limit, unasked string
		consent        *domain.Consent
		want           domain.FaultKind
	}{
		{"within the limit", "300.00", "400.00", "0.00", nil, ""},
		{"just at the limit", "400.00", "400.00", "0.00", nil, ""},
		{"a cent above", "400.01", "400.00", "0.00", nil, domain.Conflict},
		{"what was accepted before counts", "150.00", "400.00", "300.00", nil, domain.Conflict},
		{"above with consent", "900.00", "400.00", "300.00", consent, ""},
		{"nothing was agreed", "1.00", "0.00", "0.00", nil, domain.Conflict},
		{"the client pays less", "-80.00", "0.00", "0.00", nil, ""},
	} {
		p := variation(c.price)
		_, err := p.Decide(domain.Decision{Accepted: true, Reason: "it must", Consent: c.consent}, eur(c.limit), eur(c.unasked), jobDay, jobDay)
		if kindOf(err) != c.want {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
		if _, err := p.Decide(domain.Decision{Reason: "too dear"}, eur(c.limit), eur(c.unasked), jobDay, jobDay); err != nil {
			t.Errorf("%s: refusing it needs no consent: %v", c.name, err)
		}
	}
}

func TestAProposalIsDecidedOnceWithAReason(t *testing.T) {
	t.Parallel()
	p := variation("10.00")
	if _, err := p.Decide(domain.Decision{}, eur("0.00"), eur("0.00"), jobDay, jobDay); !slices.Equal(pointersOf(err), []string{"#/reason"}) {
		t.Errorf("without a reason: got %v", err)
	}
	early := &domain.Consent{On: jobDay.AddDays(-1), How: "by letter"}
	_, err := p.Decide(domain.Decision{Accepted: true, Reason: "x", Consent: early}, eur("0.00"), eur("0.00"), jobDay, jobDay)
	if !slices.Equal(pointersOf(err), []string{"#/consent/given_on"}) {
		t.Errorf("consent before the proposal: got %v", err)
	}
	refused, err := p.Decide(domain.Decision{Reason: "too dear"}, eur("0.00"), eur("0.00"), jobDay, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := refused.Decide(domain.Decision{Accepted: true, Reason: "after all"}, eur("0.00"), eur("0.00"), jobDay, jobDay); kindOf(err) != domain.Conflict {
		t.Errorf("decided again: got %v, want a conflict", err)
	}
}

// The price of a variation leaves the wanted share of it after its cost: 850 at
// a target of 15 % is 1000, and 1230 with tax at 23 % where tax is due.
func TestTheVariationsPriceKeepsTheWantedShare(t *testing.T) {
	t.Parallel()
	terms := domain.Terms{TargetShare: dec("0.15"), TaxRegime: domain.NoTax, TaxRate: dec("0.23")}
	for regime, want := range map[domain.TaxRegime]string{domain.NoTax: "1000.00", domain.StandardTax: "1230.00", domain.MarginTax: "1230.00"} {
		terms.TaxRegime = regime
		if got, err := domain.VariationPrice(eur("850.00"), terms); err != nil || got.Text() != want {
			t.Errorf("%s: got %v, %v; want %s", regime, got, err, want)
		}
	}
}

func TestWhatWasFoundChangesTheTasksThatTheScopeWouldChange(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	firm := dec("9")
	before := []domain.Finding{{Point: "SV-11", Value: &firm, Unit: "N·m"}}
	loose := dec("1")
	after := append(slices.Clone(before), domain.Finding{Point: "SV-11", Value: &loose, Unit: "N·m"})
	j := acceptedBy(t, c, before)
	ch, err := domain.ChangeOf(c, grand(), j, nil, domain.Found{Before: before, After: after}, odds)
	if err != nil {
		t.Fatal(err)
	}
	if len(ch.Added) == 0 {
		t.Fatal("loose pins call for no work")
	}
	now, err := j.With(c, ch)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := codesOf(now), codesOf(acceptedBy(t, c, after)); !slices.Equal(got, want) {
		t.Errorf("the job has\n%v\na scope drawn with the finding\n%v", got, want)
	}
	if _, err := now.With(c, ch); kindOf(err) != domain.Conflict {
		t.Errorf("the same change again: got %v, want a conflict", err)
	}
	none, err := domain.ChangeOf(c, grand(), j, nil, domain.Found{Before: before, After: before}, odds)
	if err != nil || !none.Empty() {
		t.Errorf("nothing found changes %+v, %v", none, err)
	}
}

// acceptedBy is a job by findings, at the middle depth.
func acceptedBy(t *testing.T, c *catalogue.Catalogue, findings []domain.Finding) domain.Job {
	t.Helper()
	js, err := domain.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	s, err := domain.Draw(c, grand(), js, catalogue.Recondition, nil, odds)
	if err != nil {
		t.Fatal(err)
	}
	j, err := domain.Accept(c, s, grand(), jobDay)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// codesOf are the operations that a job still has.
func codesOf(j domain.Job) []catalogue.Code {
	var list []catalogue.Code
	for _, x := range j.Tasks {
		if !x.Dropped {
			list = append(list, x.Operation)
		}
	}
	return list
}

// Where most is unknown, the plan is one of many that fit together, and any look
// tips it. What was found still changes only the work whose odds it moves.
func TestAFindingAtThePedalsLeavesTheDampersInTheJob(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	doubtful := evenly("0.7", "0.2", "0.1")
	unseen := mustJudge(t, c)
	for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
		before := mustDraw(t, c, grand(), unseen, depth, doubtful)
		j, err := domain.Accept(c, before, grand(), jobDay)
		if err != nil {
			t.Fatal(err)
		}
		for point, value := range map[catalogue.PointCode]string{"SV-49": "25", "SV-11": "1", "SV-12": "0", "SV-35": "30"} {
			found := domain.Finding{Point: point, Value: ptr(dec(value))}
			with := mustDraw(t, c, grand(), mustJudge(t, c, found), depth, doubtful)
			ch, err := domain.ChangeOf(c, grand(), j, nil, domain.Found{After: []domain.Finding{found}}, doubtful)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range slices.Concat(ch.Added, ch.Removed) {
				moved := func(code catalogue.Code) bool { return !chanceIn(before, code).Equal(chanceIn(with, code)) }
				if !slices.ContainsFunc(rivals(c, l.Operation), moved) {
					t.Errorf("%s: %s found %s changes %s, whose odds it does not move", depth, point, value, l.Operation)
				}
			}
			now, err := j.With(c, ch)
			if err != nil {
				t.Fatal(err)
			}
			for _, a := range now.Tasks {
				for _, b := range now.Tasks {
					if a.Open() && b.Open() && excluded(c, a.Operation, b.Operation) {
						t.Errorf("%s: %s found %s: the job has both %s and %s", depth, point, value, a.Operation, b.Operation)
					}
				}
			}
		}
	}
}

func mustJudge(t *testing.T, c *catalogue.Catalogue, findings ...domain.Finding) domain.Judgements {
	t.Helper()
	js, err := domain.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	return js
}

func chanceIn(s domain.Scope, code catalogue.Code) decimal.Decimal {
	for _, l := range s.Lines {
		if l.Operation == code {
			return l.Chance
		}
	}
	return decimal.Zero
}

// rivals are an operation and all that stand in one choice with it.
func rivals(c *catalogue.Catalogue, code catalogue.Code) []catalogue.Code {
	list := []catalogue.Code{code}
	for _, choice := range c.Choices {
		var all []catalogue.Code
		for _, o := range choice.Options {
			all = append(all, o.Admits()...)
		}
		if slices.Contains(all, code) {
			list = append(list, all...)
		}
	}
	return list
}

func TestWhatIsDoneStaysDoneWhateverTheChange(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	j := acceptedBy(t, c, nil)
	rapid.Check(t, func(r *rapid.T) {
		now := j
		now.Tasks = slices.Clone(j.Tasks)
		for i := range now.Tasks {
			if rapid.Bool().Draw(r, "finished") {
				at := jobHour
				now.Tasks[i].Done, now.Tasks[i].Left, now.Tasks[i].FinishedAt = now.Tasks[i].Left, dec("0"), &at
			}
		}
		depth := rapid.SampledFrom(catalogue.Depths).Draw(r, "depth")
		ch, err := domain.ChangeOf(c, grand(), now, nil, domain.Found{Depth: depth}, odds)
		if err != nil {
			r.Fatal(err)
		}
		after, err := now.With(c, ch)
		if err != nil {
			r.Fatal(err)
		}
		for _, was := range now.Tasks {
			if is := after.Task(was.Operation); was.FinishedAt != nil && (is.Dropped || is.FinishedAt == nil || !is.Done.Equal(was.Done)) {
				r.Fatalf("%s was finished and is %+v", was.Operation, is)
			}
		}
	})
}

func TestPastCostIsInNoWayToGoOn(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	j := acceptedBy(t, c, nil)
	cost := func(j domain.Job) (toGo, spent money.Amount) {
		g, err := domain.ToGo(c, grand(), nil, j, terms(c))
		if err != nil {
			t.Fatal(err)
		}
		s, err := domain.Spent(c, grand(), nil, j, terms(c))
		if err != nil {
			t.Fatal(err)
		}
		return g.Costs.Total.Likely, s.Costs.Total.Likely
	}
	whole, nothing := cost(j)
	if !nothing.IsZero() || whole.Sign() <= 0 {
		t.Fatalf("before anything is done %v is spent and %v to go", nothing, whole)
	}
	lavish, frugal := j, j
	lavish.Tasks, frugal.Tasks = slices.Clone(j.Tasks), slices.Clone(j.Tasks)
	at := jobHour
	lavish.Tasks[0].Done, lavish.Tasks[0].Left, lavish.Tasks[0].FinishedAt = dec("500"), dec("0"), &at
	frugal.Tasks[0].Done, frugal.Tasks[0].Left, frugal.Tasks[0].FinishedAt = dec("1"), dec("0"), &at
	lavishToGo, lavishSpent := cost(lavish)
	frugalToGo, frugalSpent := cost(frugal)
	if lavishToGo.Cmp(frugalToGo) != 0 || lavishSpent.Cmp(frugalSpent) <= 0 || lavishToGo.Cmp(whole) >= 0 {
		t.Errorf("to go %v after %v and %v after %v, of %v", lavishToGo, lavishSpent, frugalToGo, frugalSpent, whole)
	}
}
