package job_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// A client may hold us to a price until its last day, so no second one is quoted for the same work
// unless the first is taken back by name.
func TestAScopeHasOneOpenPrice(t *testing.T) {
	t.Parallel()
	open, err := quoted("100.00", "200.00").Priced(uuid.UUID{1}, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	open.ID = uuid.UUID{7}
	other := quoted("900.00")
	other.ID, other.Options[0].Scope = uuid.UUID{8}, uuid.UUID{5}
	first, second, elsewhere := open.Options[0].Scope, open.Options[1].Scope, uuid.UUID{6}
	for _, x := range []struct {
		name     string
		scopes   []uuid.UUID
		replaces []uuid.UUID
		at       []string
		says     string
	}{
		{"other work", []uuid.UUID{elsewhere}, nil, nil, ""},
		{
			"the first option again",
			[]uuid.UUID{first},
			nil,
			[]string{"#/replaces"},
			"the scope of option 1 at 120.00 GBP and is open until " + open.ValidUntil.String(),
		},
		{
			"other work and the second option again",
			[]uuid.UUID{elsewhere, second},
			nil,
			[]string{"#/replaces"},
			"the scope of option 2 at 240.00 GBP",
		},
		{"the open one named", []uuid.UUID{first, second}, []uuid.UUID{open.ID}, nil, ""},
		{
			"the wrong one named",
			[]uuid.UUID{first},
			[]uuid.UUID{other.ID},
			[]string{"#/replaces"},
			"must name " + open.ID.String(),
		},
		{
			"one named that isn't open",
			[]uuid.UUID{first},
			[]uuid.UUID{open.ID, {9}},
			[]string{"#/replaces/1"},
			"open quotation",
		},
		{
			"one scope at two prices",
			[]uuid.UUID{elsewhere, elsewhere},
			nil,
			[]string{"#/options/1/scope"},
			"option 1 already",
		},
		{
			"the second scope at two prices",
			[]uuid.UUID{{4}, elsewhere, elsewhere},
			nil,
			[]string{"#/options/2/scope"},
			"option 2 already",
		},
	} {
		q := job.Quotation{Replaces: x.replaces}
		for _, s := range x.scopes {
			q.Options = append(q.Options, job.QuotedOption{Scope: s})
		}
		err := q.CheckReplaces([]job.Quotation{open, other})
		if got := pointersOf(err); !slices.Equal(got, x.at) {
			t.Errorf("%s: got %v, want faults at %q", x.name, err, x.at)
		} else if err != nil && !strings.Contains(domaintest.FaultOf(err).Fields[0].Detail, x.says) {
			t.Errorf("%s: got %v, want it to say %q", x.name, err, x.says)
		}
	}
}

func TestTheAcceptedOptionIsTheOneThatTheClientNamed(t *testing.T) {
	t.Parallel()
	q, err := quoted("100.00", "200.00").Priced(uuid.UUID{1}, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	if got := q.Accepted(); got != nil {
		t.Errorf("before an answer option %d is accepted", got.Number)
	}
	for _, x := range []struct {
		answer job.QuotationAnswer
		want   int // 0: none
	}{
		{job.QuotationAnswer{On: domaintest.JobDay}, 0},
		{job.QuotationAnswer{Accepted: true, Option: 1, On: domaintest.JobDay}, 1},
		{job.QuotationAnswer{Accepted: true, Option: 2, On: domaintest.JobDay}, 2},
	} {
		answered, err := q.Reply(x.answer, domaintest.JobDay)
		if err != nil {
			t.Fatal(err)
		}
		got := 0
		if o := answered.Accepted(); o != nil {
			got = o.Number
		}
		if got != x.want {
			t.Errorf("%+v: option %d is accepted, want %d", x.answer, got, x.want)
		}
	}
	q.ReplacedBy = uuid.UUID{3}
	_, err = q.Reply(job.QuotationAnswer{On: domaintest.JobDay}, domaintest.JobDay)
	if domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("an answer to a quotation that was replaced: got %v", err)
	}
}

// What was quoted is the work of the job: not the survey before it, not the delivery after the
// sale, and nothing that may only turn out to be needed.
func TestQuotedWorkIsThatOfTheJob(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Owner = instrument.Stock
	s := domaintest.Draw(t, c, in, nil, catalogue.Restore, domaintest.Odds)
	j, err := job.Accept(c, s, in, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	work := job.WorkOf(c, s)
	if len(work) != len(j.Tasks) || len(work) == len(s.Lines) {
		t.Errorf("%d lines of work, %d tasks, %d lines of the scope", len(work), len(j.Tasks),
			len(s.Lines))
	}
	for _, w := range work {
		x := j.Task(w.Operation)
		if x == nil || !x.Planned.Equal(w.Hours) || !x.Line.Quantity.Equal(w.Quantity) {
			t.Errorf("%+v was quoted, and the task is %+v", w, x)
		}
	}
	if job.WorkOf(c, scope.Scope{}) == nil {
		t.Error("no work can't be told from work that isn't known")
	}
}

func TestAnOptionIsTheWorkThatWasQuoted(t *testing.T) {
	t.Parallel()
	line := func(code catalogue.Code, quantity, hours string) job.WorkLine {
		return job.WorkLine{
			Operation: code, Quantity: domaintest.Dec(quantity), Hours: domaintest.Dec(hours),
		}
	}
	was := job.Work{line("KY-02", "88", "8"), line("RG-01", "88", "14")}
	for _, x := range []struct {
		name    string
		was, is job.Work
		want    []string
	}{
		{"the same", was, slices.Clone(was), nil},
		{"in another order", was, job.Work{was[1], was[0]}, nil},
		{"not kept", nil, was, nil},
		{
			"nothing was quoted", job.Work{}, was[:1], []string{"KY-02 came: 8 h"},
		},
		{
			"one went", was, was[:1], []string{"RG-01 went: 14 h were quoted"},
		},
		{
			"one came", was, append(slices.Clone(was), line("TU-01", "1", "2")),
			[]string{"TU-01 came: 2 h"},
		},
		{
			"longer", was,
			job.Work{line("KY-02", "88", "9.5"), was[1]},
			[]string{"KY-02 takes 9.5 h, not the 8 h that were quoted"},
		},
		{
			"more of it", was,
			job.Work{was[0], line("RG-01", "85", "14")},
			[]string{"RG-01 is a matter of 85, not of the 88 that were quoted"},
		},
	} {
		err := job.QuotedOption{Number: 2, Work: x.was}.CheckWork(x.is)
		var got []string
		if f := domaintest.FaultOf(err); f != nil {
			got = f.Chain
		}
		if !slices.Equal(got, x.want) || (err != nil) != (x.want != nil) {
			t.Errorf("%s: got %q, want %q", x.name, got, x.want)
		}
	}
}

// A quotation may go out while somebody looks into what would refuse its acceptance.
func TestAQuotationSaysWhatWouldRefuseAYes(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	stops := domaintest.Stops(t, "GB", in, nil)
	planned := func(code catalogue.Code) scope.Scope {
		return scope.Scope{Lines: []scope.Line{{Operation: code, Chance: decimal.NewFromInt(1)}}}
	}
	o := job.QuotedOption{Number: 3}
	if got := o.Warnings(c, planned("TU-01"), stops); len(got) > 0 {
		t.Errorf("a sound piano: warned of %q", got)
	}
	stopped := planned("TU-01")
	stopped.Stops = []scope.Stop{{Text: "the new plank can't be fitted"}}
	got := o.Warnings(c, stopped, stops)
	if len(got) != 1 || got[0] != "a yes to option 3 will be refused: the new plank can't be fitted" {
		t.Errorf("work that can't be done: warned of %q", got)
	}
}
