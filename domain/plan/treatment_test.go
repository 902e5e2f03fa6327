package plan_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/schedule"

	"pgregory.net/rapid"
)

// That what is live or cracked is treated before time goes into anything else: common practice, no
// source.

// stopped returns a full restoration of a grand of which something was found, and what stops it.
func stopped(t *testing.T, findings ...survey.Finding) (scope.Scope, []plan.Stop) {
	t.Helper()
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	stops := domaintest.Stops(t, "GB", in, findings)
	all := append([]survey.Finding{
		domaintest.Number("SV-15", "4", ""), domaintest.Number("SV-33", "13", ""),
		domaintest.Number("SV-50", "3", ""), domaintest.Number("SV-52", "0.1", "m2"),
	}, findings...)
	return domaintest.ScopeOf(t, in, catalogue.Restore, all), plan.StopsOf(stops)
}

func stoppedNetwork(t *testing.T, s scope.Scope, stops []plan.Stop) *plan.Network {
	t.Helper()
	n, err := plan.ScopeNetwork(domaintest.Shipped(t), s, domaintest.Accepted, nil, stops)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := schedule.NewNetwork(n.Activities, n.Links); err != nil {
		t.Fatal(err)
	}
	return n
}

func TestAllWorkIsKeptBehindTheTreatmentOfWhatStopsIt(t *testing.T) {
	t.Parallel()
	worm, crack := domaintest.Flag("SV-55", true), domaintest.Flag("SV-29", true)
	for _, c := range []struct {
		name       string
		findings   []survey.Finding
		treatments []string
		leadsUp    []string // to it, and so goes before
	}{
		{"live worm", []survey.Finding{worm}, []string{"CS-02", "CS-02L"}, []string{"IN-02", "DS-01"}},
		{"a cracked frame", []survey.Finding{crack}, []string{"FR-01"}, []string{"IN-02", "DS-03"}},
		{
			"both",
			[]survey.Finding{worm, crack},
			[]string{"CS-02", "CS-02L", "FR-01"},
			[]string{"IN-02", "DS-03"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s, stops := stopped(t, c.findings...)
			n, free := stoppedNetwork(t, s, stops), stoppedNetwork(t, s, nil)
			behind, moved := 0, 0
			for _, l := range s.Lines {
				code := string(l.Operation)
				if !slices.ContainsFunc(n.Activities, func(a schedule.Activity) bool {
					return a.Name == code || strings.HasPrefix(a.Name, code+" ")
				}) || slices.Contains(c.treatments, code) {
					continue
				}
				before := slices.ContainsFunc(
					c.treatments, func(by string) bool { return domaintest.Before(free, code, by) },
				)
				for _, by := range c.treatments {
					if !before && !domaintest.Before(n, by, code) {
						t.Errorf("%s isn't kept behind %s", code, by)
					}
					if !before {
						behind++
					}
					if !before && !domaintest.Before(free, by, code) {
						moved++
					}
				}
			}
			if behind == 0 || moved == 0 {
				t.Errorf("%d goes behind the treatment, %d of it for that reason only", behind, moved)
			}
			for _, code := range c.leadsUp {
				if !domaintest.Before(n, code, c.treatments[0]) {
					t.Errorf("%s doesn't lead up to %s any more", code, c.treatments[0])
				}
			}
		})
	}
}

func TestADateSaysThatItIsBehindTheTreatment(t *testing.T) {
	t.Parallel()
	s, stops := stopped(t, domaintest.Flag("SV-55", true))
	c := domaintest.Shipped(t)
	where := shop(t)
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
	sit := plan.Situation{Shop: where, At: at, Stops: stops}
	d, err := sit.DatesOf(t.Context(), c, s)
	if err != nil {
		t.Fatal(err)
	}
	treated := begins(d.Queued, "CS-02L").Released
	if action := begins(d.Queued, "AC-01"); action.Start.Before(treated) {
		t.Errorf("the action is stripped %v, before the worm is treated, %v", action.Start, treated)
	}
	said := slices.ContainsFunc(d.Alone.Path, func(p plan.PathStep) bool {
		return strings.HasPrefix(p.Why, "behind the treatment, ") && strings.Contains(p.Why, "woodworm")
	})
	if !said {
		t.Errorf("no step says that it is behind the treatment: %+v", d.Alone.Path)
	}
}

// Mending the case is shop work: no line of the scope kills the worm where the piano stands, and
// the haul-in waits for somebody's word. Its date says so.
func TestAHaulInThatNoWorkFreesIsDatedUnderTheConditionThatItIsCleared(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	where := shop(t)
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
	s, stops := stopped(t, domaintest.Flag("SV-55", true))
	s.Lines = slices.DeleteFunc(s.Lines, func(l scope.Line) bool {
		return !slices.Contains([]catalogue.Code{"IN-02", "IN-03", "QC-03"}, l.Operation)
	})
	for _, x := range []struct {
		name  string
		stops []plan.Stop
		says  bool
	}{{"live worm", stops, true}, {"cleared", nil, false}} {
		sit := plan.Situation{Shop: where, At: at, Stops: x.stops}
		d, err := sit.DatesOf(t.Context(), c, s)
		if err != nil {
			t.Fatal(err)
		}
		first := d.Alone.Path[0]
		if first.Operation != "IN-02" ||
			strings.Contains(first.Why, "not before this is cleared") != x.says {
			t.Errorf("%s: %s begins since %q", x.name, first.Operation, first.Why)
		}
	}
}

// Where the treatment needs nothing that comes after the haul-in, it is done where the piano
// stands, and nobody's word is asked for.
func TestWhatIsTreatedWhereThePianoStandsIsTreatedBeforeTheHaulIn(t *testing.T) {
	t.Parallel()
	const fs = catalogue.FinishStart
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	for _, x := range []struct {
		name   string
		links  []catalogue.Link
		stop   plan.Stop
		before bool // the haul-in H is behind the treatment T
	}{
		{
			"worm gassed in the house",
			[]catalogue.Link{hard("H", "B", fs)},
			plan.Stop{Says: "live worm", Repair: []catalogue.Code{"T"}, Move: true, Work: true},
			true,
		},
		{
			"worm that only the bench can treat",
			[]catalogue.Link{hard("H", "B", fs), hard("B", "T", fs)},
			plan.Stop{Says: "live worm", Repair: []catalogue.Code{"T"}, Move: true, Work: true},
			false,
		},
		{
			"legs made safe where it stands",
			[]catalogue.Link{hard("H", "B", fs)},
			plan.Stop{Says: "weak legs", Repair: []catalogue.Code{"T"}, Move: true},
			true,
		},
		{
			"what bars work only",
			[]catalogue.Link{hard("H", "B", fs), hard("H", "T", fs)},
			plan.Stop{Says: "a doubt", Repair: []catalogue.Code{"T"}, Work: true},
			false,
		},
	} {
		c, s := chain("H T B E", "H T B E", x.links...)
		c.Operations[0].Marks = []catalogue.Mark{catalogue.ArrivalMark}
		c.Operations[3].Marks = []catalogue.Mark{catalogue.ReadyMark}
		n, err := plan.ScopeNetwork(c, s, at, nil, []plan.Stop{x.stop})
		if err != nil {
			t.Fatal(err)
		}
		if got := len(linksBetween(n, "T", "H")) > 0; got != x.before {
			t.Errorf("%s: the haul-in waits for it: %v, want %v", x.name, got, x.before)
		}
		where := shop(t)
		sit := plan.Situation{Shop: where, At: at, Stops: []plan.Stop{x.stop}}
		d, err := sit.DatesOf(t.Context(), c, s)
		if err != nil {
			t.Fatal(err)
		}
		told := slices.ContainsFunc(d.Alone.Path, func(p plan.PathStep) bool {
			return strings.Contains(p.Why, "not before this is cleared")
		})
		if want := x.stop.Move && !x.before; told != want {
			t.Errorf("%s: the dates ask for a word: %v, want %v: %+v", x.name, told, want, d.Alone.Path)
		}
	}
}

func TestWorkBeforeTheTreatmentIsBeforeItsTime(t *testing.T) {
	t.Parallel()
	c, s := chain("A T B", "A T B", hard("A", "T", catalogue.FinishStart))
	q := plan.QueuedWork{Scope: s, Begun: []catalogue.Code{"B"}, Stops: []plan.Stop{
		{Says: "live worm", Repair: []catalogue.Code{"T"}, Work: true},
	}}
	for code, want := range map[catalogue.Code][]catalogue.Code{"A": nil, "T": {"A"}, "B": {"T"}} {
		var got []catalogue.Code
		for _, x := range q.AheadOf(c, code) {
			got = append(got, x.Operation)
		}
		if !slices.Equal(got, want) {
			t.Errorf("before %s comes %q, want %q", code, got, want)
		}
	}
}

// Whatever stops an instrument and whatever the links are, the work has an order, and what is
// stopped is behind every treatment or leads up to one.
func TestWhateverStopsAnInstrumentItsWorkHasAnOrder(t *testing.T) {
	t.Parallel()
	codes := []string{"A", "B", "C", "D", "E", "F"}
	kinds := []catalogue.LinkType{
		catalogue.FinishStart, catalogue.StartStart, catalogue.FinishFinish, catalogue.StartFinish,
	}
	held := 0
	rapid.Check(t, func(rt *rapid.T) {
		var links []catalogue.Link
		for i := range codes {
			for k := range i {
				if rapid.IntRange(0, 3).Draw(rt, "linked") == 0 {
					links = append(links, hard(codes[k], codes[i], rapid.SampledFrom(kinds).Draw(rt, "kind")))
				}
			}
		}
		backwards := false // something is revealed by what may come after it
		c, s := chain("A B C D E F", "A B C D E F", links...)
		c.Operations[rapid.IntRange(0, 5).Draw(rt, "arrival")].Marks = []catalogue.Mark{
			catalogue.ArrivalMark,
		}
		for i := range s.Lines {
			if rapid.IntRange(0, 3).Draw(rt, "revealed") == 0 {
				by := rapid.IntRange(0, 5).Draw(rt, "by")
				s.Lines[i].RevealedBy = catalogue.Code(codes[by])
				backwards = backwards || by > i
			}
		}
		stops := rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) plan.Stop {
			repair := rapid.SliceOfNDistinct(rapid.SampledFrom(codes), 0, 2, rapid.ID).Draw(rt, "repair")
			x := plan.Stop{
				Says: "a stop", Move: rapid.Bool().Draw(rt, "move"), Work: rapid.Bool().Draw(rt, "work"),
			}
			for _, code := range repair {
				x.Repair = append(x.Repair, catalogue.Code(code))
			}
			return x
		}), 1, 3).Draw(rt, "stops")
		n, err := plan.ScopeNetwork(c, s, domaintest.Accepted, nil, stops)
		if err != nil {
			rt.Fatal(err)
		}
		if _, err := schedule.NewNetwork(n.Activities, n.Links); err != nil {
			rt.Fatal(err)
		}
		for _, x := range stops {
			for _, by := range x.Repair {
				for _, code := range codes {
					switch behind := len(linksBetween(n, string(by), code)) > 0; {
					case !x.Work || string(by) == code:
					case behind:
						held++
					case !backwards && !leadsUp(n, code, stops):
						rt.Errorf("%s is neither behind %s nor before a treatment", code, by)
					}
				}
			}
		}
	})
	if held == 0 && !testing.Short() {
		t.Error("nothing was kept behind a treatment")
	}
}

// leadsUp reports whether an operation is a treatment of what stops work, or before one.
func leadsUp(n *plan.Network, code string, stops []plan.Stop) bool {
	return slices.ContainsFunc(stops, func(x plan.Stop) bool {
		return x.Work && slices.ContainsFunc(x.Repair, func(by catalogue.Code) bool {
			return string(by) == code || domaintest.Before(n, code, string(by))
		})
	})
}
