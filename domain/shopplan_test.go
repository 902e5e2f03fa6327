package domain_test

import (
	"bytes"
	"context"
	"slices"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// planned are the inputs of a plan of three jobs on one intake bay with two
// people, the last promised early.
func planned(t *testing.T) (domain.PlanInputs, []*catalogue.Catalogue, *time.Location) {
	t.Helper()
	c, j, where, at := underWay(t)
	in := domain.PlanInputs{Engine: domain.Engine, At: at, Schedules: 60, Seed: 3, Stations: where.Stations}
	in.Workshop.Open, in.Workshop.Terms.Currency, in.Workshop.Terms.StoragePerDay = where.Open, "EUR", dec("2.00")
	skills := skillsOf(c)
	in.People = []domain.Person{{Name: "one", Skills: skills, ProductiveShare: dec("0.75")}, {Name: "other", Skills: skills[:2], ProductiveShare: dec("0.75")}}
	var catalogues []*catalogue.Catalogue
	for k := range 3 {
		in.Jobs = append(in.Jobs, domain.PlanJob{
			Job: uuid.UUID{byte(k + 1)}, Left: domain.LeftOf(j, domain.Instrument{Maker: "Aldermere"}, where.Zone), TiedUp: dec("1000"),
		})
		catalogues = append(catalogues, c)
	}
	in.Jobs[2].Due = domain.DateOf(at).AddDays(20)
	return in, catalogues, where.Zone
}

func TestTheShopsPlanPutsAPromiseFirstAndTellsWhy(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	p, err := domain.PlanShop(context.Background(), in, catalogues, zone, 2)
	if err != nil {
		t.Fatal(err)
	}
	if p.Jobs[2].Ready.After(p.Jobs[0].Ready) || p.Jobs[2].Ready.After(p.Jobs[1].Ready) {
		t.Errorf("the promised job is ready %s, the others %s and %s", p.Jobs[2].Ready, p.Jobs[0].Ready, p.Jobs[1].Ready)
	}
	if p.Objective.Cmp(p.Bound) < 0 || p.Schedules > in.Schedules {
		t.Errorf("objective %s below the bound %s, or %d schedules of %d", p.Objective, p.Bound, p.Schedules, in.Schedules)
	}
	for i, x := range p.Tasks {
		if x.Job == uuid.Nil || x.Why == "" || x.After >= len(p.Tasks) {
			t.Fatalf("task %d: %+v", i, x)
		}
		if s := x.Step; s.TotalFloat.LessThan(x.Slack) || !s.FreeFloat.Equal(x.Slack) || s.LateStart.Before(s.Start) {
			t.Errorf("%s: total float %s h, free float %s h, from %s to %s", s.Name, s.TotalFloat, x.Slack, s.Start, s.LateStart)
		}
		if s := x.Step; s.Operation == "QC-03" && !s.TotalFloat.IsZero() {
			t.Errorf("the end of a job can slip by %s h at no cost", s.TotalFloat)
		}
		chain, err := p.Why(x.Job, x.Step.Operation)
		if err != nil || chain[len(chain)-1].Operation != x.Step.Operation {
			t.Fatalf("the chain of %s: %+v, %v", x.Step.Operation, chain, err)
		}
	}
	for _, l := range p.Loads {
		if l.Held.GreaterThan(l.Open) || !l.Held.IsPositive() {
			t.Errorf("%s %s in the week of %s: %s h held of %s h", l.Kind, l.Name, l.Week, l.Held, l.Open)
		}
	}
	if _, err := p.Why(uuid.New(), "QC-03"); kindOf(err) != domain.NotFound {
		t.Errorf("a job that is not in the plan: %v", err)
	}
}

func TestTheSameInputsGiveTheSamePlanByteForByte(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	var first []byte
	for _, workers := range []int{1, 4} {
		p, err := domain.PlanShop(context.Background(), in, catalogues, zone, workers)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = p.Canonical()
		} else if !bytes.Equal(first, p.Canonical()) {
			t.Error("another number of workers made another plan")
		}
	}
	read, err := domain.ParsePlan(first)
	if err != nil || !bytes.Equal(first, read.Canonical()) {
		t.Errorf("a plan is not read as it was written: %v", err)
	}
	in.Schedules = 0
	if _, err := domain.PlanShop(context.Background(), in, catalogues, zone, 1); kindOf(err) != domain.Invalid {
		t.Errorf("a plan with nothing to spend: %v", err)
	}
}

func TestThePlanGoesOnWithWhatWasBegun(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	begun := &in.Jobs[1].Left
	code := begun.Scope.Lines[len(begun.Scope.Lines)-2].Operation
	begun.Begun = []catalogue.Code{code}
	p, err := domain.PlanShop(context.Background(), in, catalogues, zone, 2)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range p.Tasks {
		if want := x.Job == in.Jobs[1].Job && x.Step.Operation == code; x.UnderWay != want || want && !x.Step.Start.Equal(in.At) {
			t.Errorf("%s of %s: under way %v, from %s", x.Step.Name, x.Instrument, x.UnderWay, x.Step.Start)
		}
		for _, l := range p.Links {
			if l.To == i && x.UnderWay {
				t.Errorf("%s was begun, and is said to wait: %s", x.Step.Name, l.Says)
			}
		}
	}
}

func TestALoadIsHeldAgainstThePeopleWhoAreThere(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	in.People[0].ID, in.People[1].ID = ada, bo
	first := domain.DateOf(in.At)
	open := func() string {
		p, err := domain.PlanShop(context.Background(), in, catalogues, zone, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range p.Loads {
			if l.Held.GreaterThan(l.Open) {
				t.Errorf("%s %s in the week of %s: %s h held of %s h", l.Kind, l.Name, l.Week, l.Held, l.Open)
			}
			if l.Kind == "skill" && slices.Contains(in.People[1].Skills, l.Name) && l.Week == first {
				return l.Open.String()
			}
		}
		t.Fatalf("no load of %q in the first week: %+v", in.People[1].Skills, p.Loads)
		return ""
	}
	if got := open(); got != "80" {
		t.Fatalf("two people have %s h in a week, want 80", got)
	}
	in.Absences = []domain.Absence{{Person: bo, First: first.AddDays(2), Last: first.AddDays(3)}}
	if got := open(); got != "64" {
		t.Errorf("with one of two away for two days there are %s h, want 64", got)
	}
}

func TestAnEmptyShopHasAnEmptyPlan(t *testing.T) {
	t.Parallel()
	in, _, zone := planned(t)
	in.Jobs = nil
	p, err := domain.PlanShop(context.Background(), in, nil, zone, 1)
	if err != nil || len(p.Tasks) != 0 || !p.Objective.IsZero() {
		t.Errorf("got %+v, %v", p, err)
	}
}
