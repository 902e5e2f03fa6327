package catalogue_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

func hours(setup string) catalogue.Hours {
	return catalogue.Hours{
		Baseline: dec("1"), Setup: dec(setup), Rate: dec("0"), Low: dec("10"), High: dec("90"),
	}
}

func TestAFigureThatIsSetKeepsTheRestAndSaysWhoseItIs(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	before := c.Hash()
	next, err := c.With([]catalogue.Change{
		{
			Set: &catalogue.Setting{
				Operation: "BD-02",
				Hours:     map[catalogue.Kind]catalogue.Hours{catalogue.Grand: hours("26")},
			},
			Why: "mean of four planks",
		},
		{
			Set: &catalogue.Setting{
				Operation: "KY-02",
				Price: map[catalogue.Kind]catalogue.ThreePoint{
					catalogue.Grand: {Low: dec("100"), Likely: dec("120"), High: dec("150")},
				},
			},
			Why: "the firm's list",
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	old, plank := c.Operation("BD-02"), next.Operation("BD-02")
	if !plank.Hours[catalogue.Grand].Setup.Equal(dec("26")) ||
		plank.Standing != "the workshop's own: mean of four planks" {
		t.Errorf("got %+v with the standing %q", plank.Hours[catalogue.Grand], plank.Standing)
	}
	if plank.Shipped != old.Shipped || plank.Name != old.Name ||
		!plank.Hours[catalogue.Upright].Setup.Equal(old.Hours[catalogue.Upright].Setup) {
		t.Errorf("more than the hours on a grand has changed: %+v", plank)
	}
	keys := next.Operation("KY-02").Buying
	if !keys.Price[catalogue.Grand].Likely.Equal(dec("120")) ||
		keys.StandingOf != "the workshop's own: the firm's list" ||
		!keys.TurnRound.Likely.Equal(c.Operation("KY-02").Buying.TurnRound.Likely) {
		t.Errorf("got the offer %+v", keys)
	}
	if c.Hash() != before {
		t.Error("the revision that was edited has changed itself")
	}
}

func TestRowsArePutBehindOthersReplacedAndTakenOut(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	lag := dec("24")
	link := catalogue.Link{
		From: "BD-02", To: "QC-03", Type: catalogue.FinishStart, LagHours: &lag, Hard: true,
		Reason: "the plank rests a day",
	}
	next, err := c.With([]catalogue.Change{
		{Put: &catalogue.Row{Link: &link}, After: "DS-02 to DS-03 FS", Why: "ours"},
		{Remove: &catalogue.RowKey{Table: "rules", Row: "age-alone"}, Why: "we do not say so"},
	})
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(
		next.Links, func(l catalogue.Link) bool { return l.From == "DS-02" && l.To == "DS-03" },
	)
	link.Standing = "the workshop's own: ours" // since it was put without one
	if next.Links[at+1] != link || len(next.Links) != len(c.Links)+1 {
		t.Errorf("behind it stands %+v", next.Links[at+1])
	}
	if slices.ContainsFunc(
		next.Rules, func(r catalogue.Rule) bool { return r.ID == "age-alone" },
	) || len(next.Rules) != len(c.Rules)-1 {
		t.Error("the rule is still there")
	}
	link.Reason = "the plank rests a day before it is shown"
	again, err := next.With([]catalogue.Change{{Put: &catalogue.Row{Link: &link}, Why: "wording"}})
	if err != nil {
		t.Fatal(err)
	}
	if again.Links[at+1].Reason != link.Reason || len(again.Links) != len(next.Links) {
		t.Error("a row that is put again does not take its own place")
	}
}

// Each row is one wrong list of changes, with what must be said of which.
func TestEveryFaultOfChangesIsToldAtOnceAndLaidAtTheRightOne(t *testing.T) {
	t.Parallel()
	set := func(s catalogue.Setting) catalogue.Change {
		return catalogue.Change{Set: &s, Why: "so"}
	}
	driverless, hearsay := *shipped(t).Operation("BD-02"), *shipped(t).Operation("BD-02")
	driverless.Driver, hearsay.Standing = "ribbon", "hearsay"
	for _, row := range []struct {
		name    string
		changes []catalogue.Change
		want    []string // "at member: part of the text"
	}{
		{
			"no sort of change",
			[]catalogue.Change{{Why: "so"}},
			[]string{"0 : exactly one of put, remove and set"},
		},
		{
			"no reason",
			[]catalogue.Change{{Set: &catalogue.Setting{Operation: "BD-02"}}},
			[]string{"0 why: reason"},
		},
		{
			"operations that are not there",
			[]catalogue.Change{
				set(catalogue.Setting{Operation: "XX-1"}),
				set(catalogue.Setting{Operation: "XX-2"}),
			},
			[]string{`0 set/operation: "XX-1"`, `1 set/operation: "XX-2"`},
		},
		{
			"a row that is not there",
			[]catalogue.Change{
				{Remove: &catalogue.RowKey{Table: "links", Row: "A to B FS"}, Why: "so"},
			},
			[]string{"0 remove: no row"},
		},
		{
			"a table that is not there",
			[]catalogue.Change{
				{Remove: &catalogue.RowKey{Table: "leads", Row: "BD-02"}, Why: "so"},
			},
			[]string{"0 remove: no row"},
		},
		{
			"two rows in one",
			[]catalogue.Change{
				{Put: &catalogue.Row{Rule: &catalogue.Rule{}, Link: &catalogue.Link{}}, Why: "so"},
			},
			[]string{"0 put: exactly one"},
		},
		{
			"behind a row that is not there",
			[]catalogue.Change{
				{
					Put: &catalogue.Row{
						Link: &catalogue.Link{From: "BD-02", To: "QC-03", Type: "FS", Reason: "so"},
					},
					After: "nothing", Why: "so",
				},
			},
			[]string{"0 after: no row"},
		},
		{
			"a word that is none",
			[]catalogue.Change{{Put: &catalogue.Row{Operation: &driverless}, Why: "so"}},
			[]string{`0 put/operation/driver: unknown driver "ribbon"`},
		},
		{
			"a standing that is none",
			[]catalogue.Change{{Put: &catalogue.Row{Operation: &hearsay}, Why: "so"}},
			[]string{"0 : must begin with one of"},
		},
		{
			"a price without an offer",
			[]catalogue.Change{
				set(catalogue.Setting{Operation: "BD-02", Carriage: &catalogue.ThreePoint{}}),
			},
			[]string{"0 set: no firm offers"},
		},
		{"hours out of order", []catalogue.Change{
			set(catalogue.Setting{Operation: "KY-02", Crew: 2}),
			set(
				catalogue.Setting{
					Operation: "BD-02",
					Hours:     map[catalogue.Kind]catalogue.Hours{catalogue.Grand: hours("900")},
				},
			),
		}, []string{"1 : must rise from low to high"}},
		{"an operation that others need", []catalogue.Change{{Remove: &catalogue.RowKey{Table: "operations", Row: "FR-05"}, Why: "so"}}, []string{`0 : unknown operation "FR-05"`}},
		{"a round of links", []catalogue.Change{
			{
				Put: &catalogue.Row{
					Link: &catalogue.Link{
						From: "BD-02", To: "DS-02", Type: "FS", Hard: true, Reason: "so",
					},
				},
				Why: "so",
			},
		}, []string{": hard links form a cycle"}},
	} {
		_, err := shipped(t).With(row.changes)
		var flaws catalogue.ChangeFlaws
		if !errors.As(err, &flaws) {
			t.Errorf("%s: got %v, want ChangeFlaws", row.name, err)
			continue
		}
		for _, want := range row.want {
			if !slices.ContainsFunc(flaws, func(p *catalogue.ChangeFlaw) bool {
				at, text, _ := strings.Cut(want, ": ")
				return (at == "" || at == fmt.Sprintf("%d %s", p.At, p.Member)) &&
					strings.Contains(p.Err.Error(), text)
			}) {
				t.Errorf("%s: nothing says %q in\n%v", row.name, want, err)
			}
		}
	}
}
