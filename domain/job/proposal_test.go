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
)

func eur(text string) money.Amount { return money.MustParse(text + " EUR") }

// variation returns a proposal that a client would pay for.
func variation(price string) job.Proposal {
	a := eur(price)
	return job.Proposal{Text: "the pins are loose", Price: &a, ProposedAt: domaintest.JobHour}
}

// allowed returns what a client lets us spend without asking; an empty limit is none agreed.
func allowed(limit, spent string) job.Allowance {
	a := job.Allowance{Spent: eur(spent)}
	if limit != "" {
		a.Limit = domaintest.Ptr(eur(limit))
	}
	return a
}

func TestAVariationAboveTheLimitWantsTheClientsRecordedConsent(t *testing.T) {
	t.Parallel()
	consent := &job.Consent{Party: aClient, On: domaintest.JobDay, How: "by letter"}
	line := func(quantity string, sessions int) scope.Line {
		return scope.Line{
			Operation: "KY-01", Name: "Even the keys", Quantity: domaintest.Dec(quantity),
			Sessions: sessions,
		}
	}
	changed := func(quantity string, sessions int) job.Change {
		return job.Change{
			Changed: []job.LineChange{{Before: line("6", 2), After: line(quantity, sessions)}},
		}
	}
	less := job.Change{Removed: []scope.Line{line("6", 2)}}
	more := job.Change{Added: []scope.Line{line("6", 2)}}
	for _, c := range []struct {
		name         string
		change       job.Change
		price        string
		limit, spent string
		consent      *job.Consent
		want         domain.FaultKind
		says         string
	}{
		{"within the limit", more, "300.00", "400.00", "0.00", nil, "", ""},
		{"just at the limit", more, "400.00", "400.00", "0.00", nil, "", ""},
		{"a cent above", more, "400.01", "400.00", "0.00", nil, domain.Conflict, "above the spending"},
		{
			"what was accepted before counts", more, "150.00", "400.00", "300.00", nil, domain.Conflict,
			"above the spending",
		},
		{"above with consent", more, "900.00", "400.00", "300.00", consent, "", ""},
		{"a limit of nothing", more, "1.00", "0.00", "0.00", nil, domain.Conflict, "above the spending"},
		{"free, within a limit", more, "0.00", "400.00", "0.00", nil, "", ""},
		{
			"cheaper, once the limit is below what was spent", more, "-80.00", "50.00", "60.00", nil,
			domain.Conflict, "above the spending",
		},
		{"no limit", more, "1.00", "", "0.00", nil, domain.Conflict, "no spending limit"},
		{"no limit, for nothing", more, "0.00", "", "0.00", nil, domain.Conflict, "no spending limit"},
		{"no limit, and a finding that changes nothing", job.Change{}, "0.00", "", "0.00", nil, "", ""},
		{
			"no limit, and a price alone",
			job.Change{},
			"40.00", "", "0.00", nil, domain.Conflict,
			"no spending limit",
		},
		{"no limit, cheaper", more, "-80.00", "", "0.00", nil, domain.Conflict, "no spending limit"},
		{"no limit, agreed", more, "80.00", "", "0.00", consent, "", ""},
		{"work left out", less, "-273.51", "400.00", "0.00", nil, domain.Conflict, "leaves out"},
		{"work left out at a price", less, "20.00", "400.00", "0.00", nil, domain.Conflict, "leaves out"},
		{"work left out, agreed", less, "-273.51", "400.00", "0.00", consent, "", ""},
		{
			"a part left out", changed("5", 2), "-9.00", "400.00", "0.00", nil, domain.Conflict,
			"leaves out",
		},
		{
			"a sitting less", changed("6", 1), "-9.00", "400.00", "0.00", nil, domain.Conflict,
			"leaves out",
		},
		{"more of it", changed("7", 2), "9.00", "400.00", "0.00", nil, "", ""},
	} {
		p := variation(c.price)
		p.Change = c.change
		_, err := p.Decide(
			job.Decision{Accepted: true, Reason: "it must", Consent: c.consent}, allowed(c.limit, c.spent),
			aClient,
			domaintest.JobDay, domaintest.JobDay,
		)
		if domaintest.KindOf(err) != c.want || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want %q that says %q", c.name, err, c.want, c.says)
		}
		if _, err := p.Decide(
			job.Decision{Reason: "too dear"}, allowed(c.limit, c.spent),
			aClient, domaintest.JobDay,
			domaintest.JobDay,
		); err != nil {
			t.Errorf("%s: refusing it needs no consent: %v", c.name, err)
		}
	}
}

func TestSavingsDoNotMakeRoomInTheSpendingLimit(t *testing.T) {
	t.Parallel()
	var decided []job.Proposal
	for _, d := range []struct {
		price    string
		accepted bool
		consent  *job.Consent
	}{
		{"30.00", true, nil},
		{"-8160.42", true, nil},
		{"0.00", true, nil},
		{"25.00", true, nil},
		{"500.00", true, &job.Consent{}},
		{"70.00", false, nil},
	} {
		p := variation(d.price)
		p.Decision = &job.Decision{Accepted: d.accepted, Consent: d.consent}
		decided = append(decided, p)
	}
	decided = append(decided, variation("40.00")) // open
	sum := job.AcceptedWithoutConsent(eur("0.00").Currency(), decided)
	if sum.Text() != "55.00" {
		t.Errorf("%s was spent unasked, want the 30.00 and the 25.00", sum)
	}
}

func TestNobodyConsentsToTheWorkOnOurOwnPiano(t *testing.T) {
	t.Parallel()
	p := variation("10.00")
	p.Price = nil
	d := job.Decision{
		Accepted: true, Reason: "it must",
		Consent: &job.Consent{Party: aClient, On: domaintest.JobDay, How: "by letter"},
	}
	_, err := p.Decide(d, job.Allowance{}, aClient, domaintest.JobDay, domaintest.JobDay)
	if !slices.Equal(pointersOf(err), []string{"#/consent"}) {
		t.Errorf("got %v, want a fault at the consent", err)
	}
}

func TestAProposalIsDecidedOnceWithAReason(t *testing.T) {
	t.Parallel()
	p := variation("10.00")
	if _, err := p.Decide(
		job.Decision{}, allowed("0.00", "0.00"), aClient, domaintest.JobDay, domaintest.JobDay,
	); !slices.Equal(pointersOf(err), []string{"#/reason"}) {
		t.Errorf("without a reason: got %v", err)
	}
	early := &job.Consent{Party: aClient, On: domaintest.JobDay.AddDays(-1), How: "by letter"}
	_, err := p.Decide(
		job.Decision{Accepted: true, Reason: "x", Consent: early}, allowed("0.00", "0.00"), aClient,
		domaintest.JobDay, domaintest.JobDay,
	)
	if !slices.Equal(pointersOf(err), []string{"#/consent/given_on"}) {
		t.Errorf("consent before the proposal: got %v", err)
	}
	refused, err := p.Decide(
		job.Decision{Reason: "too dear"}, allowed("0.00", "0.00"), aClient, domaintest.JobDay,
		domaintest.JobDay,
	)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := refused.Decide(
		job.Decision{Accepted: true, Reason: "after all"}, allowed("50.00", "0.00"), aClient,
		domaintest.JobDay, domaintest.JobDay,
	); domaintest.KindOf(err) != domain.Conflict || !strings.Contains(err.Error(), "refused already") {
		t.Errorf("decided again: got %v, want a conflict", err)
	}
}

// Whoever accepts a proposal names what of the undone work is done again; the rest stands.
func TestUndoneWorkStandsUnlessTheDecisionNamesIt(t *testing.T) {
	t.Parallel()
	p := variation("10.00")
	p.Change.Undone = []job.LostWork{{Operation: "ST-02"}, {Operation: "ST-03"}, {Operation: "TU-01"}}
	decide := func(accepted bool, again ...catalogue.Code) (job.Proposal, error) {
		return p.Decide(
			job.Decision{Accepted: accepted, Reason: "new plank", Again: again},
			allowed("50.00", "0.00"), aClient, domaintest.JobDay, domaintest.JobDay,
		)
	}
	for _, x := range []struct {
		accepted bool
		again    []catalogue.Code
		at       []string
	}{
		{true, []catalogue.Code{"ST-03", "ST-02"}, nil},
		{true, []catalogue.Code{"ST-03", "KY-02"}, []string{"#/again/1"}},
		{true, []catalogue.Code{"ST-03", "ST-02", "ST-03"}, []string{"#/again/2"}},
		{false, []catalogue.Code{"ST-03"}, []string{"#/again"}},
		{false, nil, nil},
	} {
		if _, err := decide(x.accepted, x.again...); !slices.Equal(pointersOf(err), x.at) {
			t.Errorf("accepted %t with %q again: got %v, want faults at %q", x.accepted, x.again, err, x.at)
		}
	}
	if got := p.Stands(); len(got) > 0 {
		t.Errorf("undecided, %q stand", got)
	}
	yes, err := decide(true, "ST-03")
	if got := yes.Stands(); err != nil || !slices.Equal(got, []catalogue.Code{"ST-02", "TU-01"}) {
		t.Errorf("accepted with ST-03 again, %q stand, %v", got, err)
	}
	no, err := decide(false)
	if got := no.Stands(); err != nil || len(got) > 0 {
		t.Errorf("refused, %q stand although nothing was undone, %v", got, err)
	}
}

// The price of a variation leaves the wanted share of it after its cost: 850 at a target of 15 %
// is 1000, and 1230 with tax at 23 % where tax is due.
func TestTheVariationsPriceKeepsTheWantedShare(t *testing.T) {
	t.Parallel()
	terms := domain.Terms{
		TargetShare: domaintest.Dec("0.15"), TaxRegime: domain.NoTax,
		TaxRate: domaintest.Dec("0.23"),
	}
	for regime, want := range map[domain.TaxRegime]string{
		domain.NoTax: "1000.00", domain.StandardTax: "1230.00", domain.MarginTax: "1230.00",
	} {
		terms.TaxRegime = regime
		if got, err := job.VariationPrice(eur("850.00"), terms); err != nil || got.Text() != want {
			t.Errorf("%s: got %v, %v; want %s", regime, got, err, want)
		}
	}
}
