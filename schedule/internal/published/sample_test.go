package published

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"

	"bentside/schedule/rcpsp"
)

var update = flag.Bool("update", false,
	"write the samples anew from the whole sets beside the module")

// samples says how many instances of each set are carried and how large the whole is.
var samples = []struct {
	set          string
	count, whole int
	title        string
}{
	{
		"j30", 48, 480,
		"30 activities, 4 resources. Kolisch and Sprecher, European Journal of Operational Research 96 (1997) 205-216.",
	},
	{
		"j60", 24, 480,
		"60 activities, 4 resources. Kolisch and Sprecher, European Journal of Operational Research 96 (1997) 205-216.",
	},
	{
		"j120", 24, 300,
		"120 activities, 4 resources; odd parameter settings only. Kolisch and Sprecher (1997).",
	},
	{
		"patterson", 22, 110,
		"up to 51 activities, up to 3 resources. Patterson, Management Science 30 (1984).",
	},
	{
		"rcpspmax", 60, 585,
		"10 to 100 activities with maximum lags. Schwindt and others (generator ProGen/max).",
	},
	{
		"multiproject", 12, 12,
		"2 to 5 projects with release dates, merged from instances of 30 activities; best by a plain genetic algorithm.",
	},
}

// choose divides a set, in its order, into count equal stretches and draws one instance from each
// (stratified sampling), since the parameters that an instance was generated with follow that
// order.
func choose(all []Instance, count int) []Instance {
	random := rand.New(rand.NewPCG(1, 0))
	var list []Instance
	for k := range count {
		from, to := k*len(all)/count, (k+1)*len(all)/count
		list = append(list, all[from+random.IntN(to-from)])
	}
	return list
}

// Where the whole sets are, every figure is compared with them.
func TestTheSampleIsThatOfThePublishedSets(t *testing.T) {
	for _, s := range samples {
		t.Run(s.set, func(t *testing.T) {
			all := whole(t, s.set)
			if *update {
				if all == nil {
					t.Fatalf("the whole set must lie in %s", folder)
				}
				write(t, s.set, fmt.Sprintf("%d of %d instances: %s", s.count, s.whole, s.title),
					choose(all, s.count))
				return
			}
			sample := Sample(t, s.set)
			if len(sample) != s.count {
				t.Fatalf("%d instances in the sample, want %d", len(sample), s.count)
			}
			for _, in := range sample {
				if in.Infeasible != (in.Best == 0) || in.Bound > in.Best && !in.Infeasible ||
					in.CriticalPath > in.Best && !in.Infeasible {
					t.Errorf("%s: infeasible %v, bound %d, critical path %d, best %d", in.Name,
						in.Infeasible, in.Bound, in.CriticalPath, in.Best)
				}
			}
			if all == nil {
				return
			}
			if len(all) != s.whole {
				t.Errorf("%d instances in the whole set, want %d", len(all), s.whole)
			}
			for k, want := range choose(all, s.count) {
				for i := range want.Problem.Activities {
					want.Problem.Activities[i].Name = fmt.Sprint(i + 1)
				}
				if !reflect.DeepEqual(sample[k], want) {
					t.Errorf("%s differs from %s of the whole set", sample[k].Name, want.Name)
				}
			}
		})
	}
}

func TestALineThatSaysNothingIsRefused(t *testing.T) {
	t.Parallel()
	const head = "instance x\ncapacities 2 3\n"
	for text, want := range map[string]string{
		"capacities 2\n": "line 1: \"capacities\" before the first instance",
		head +
			"3 1 1\n": "line 3: an activity must have a duration, 2 demands and >",
		head + "3 1 x > 2\n":          "line 3: strconv.Atoi: parsing \"x\": invalid syntax",
		head + "3 1 1 > 2:\n":         "line 3: strconv.Atoi: parsing \"\": invalid syntax",
		head + "known worst 3\n":      "line 3: unknown keyword \"worst\"",
		head + "known bound 3 best\n": "line 3: \"best\" without a number",
		head +
			"known bound three\n": "line 3: strconv.Atoi: parsing \"three\": invalid syntax",
		"instance x\ncapacities 2 three\n": "line 2: strconv.Atoi: parsing \"three\": invalid syntax",
	} {
		if _, err := parse(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
}

func write(t *testing.T, set, title string, list []Instance) {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b,
		"# %s\n# Figures only; one instance drawn at random from each of as many equal stretches of the set. The package says how to read them.\n",
		title)
	for _, in := range list {
		fmt.Fprintf(&b, "instance %s\nknown", in.Name)
		if in.Infeasible {
			fmt.Fprint(&b, " infeasible")
		}
		for _, x := range []struct {
			word  string
			value int
		}{
			{"bound", in.Bound},
			{"best", in.Best},
			{"critical", in.CriticalPath},
			{"makespan", in.Makespan},
		} {
			if x.value != 0 {
				fmt.Fprintf(&b, " %s %d", x.word, x.value)
			}
		}
		fmt.Fprint(&b, "\ncapacities")
		for _, c := range in.Problem.Capacities {
			fmt.Fprint(&b, " ", c[0].Units)
		}
		fmt.Fprintln(&b)
		for i, a := range in.Problem.Activities {
			fmt.Fprintf(&b, "%d %s >%s\n", a.Duration, strings.Trim(fmt.Sprint(a.Demand), "[]"),
				successors(in.Problem, i))
		}
		if in.Starts != nil {
			fmt.Fprintf(&b, "starts %s\n", strings.Trim(fmt.Sprint(in.Starts), "[]"))
		}
	}
	if err := os.WriteFile("testdata/"+set+".txt", []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
}

func successors(p *rcpsp.Problem, i int) string {
	text := ""
	for _, l := range p.Links {
		if l.From != i {
			continue
		}
		text += fmt.Sprint(" ", l.To+1)
		if l.Lag != p.Activities[i].Duration {
			text += fmt.Sprint(":", l.Lag)
		}
	}
	return text
}
