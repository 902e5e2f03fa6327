package published

import (
	"embed"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"bentside/schedule/rcpsp"
)

// The tables hold one figure after the other, in lines: after "instance" its name; after "known"
// what is known, by keywords; after "capacities" the units of each resource; then a line for each
// activity: duration, demand of each resource, ">" and its successors, counted from 1, as "4" for
// finish to start and as "4:-7" for a lag between the starts. "starts" begins a published schedule.
//
//go:embed testdata/*.txt
var tables embed.FS

// Sample returns the instances of a set that are carried here.
func Sample(t testing.TB, name string) []Instance {
	t.Helper()
	text, err := tables.ReadFile("testdata/" + name + ".txt")
	if err != nil {
		t.Fatal(err)
	}
	list, err := parse(string(text))
	if err != nil {
		t.Fatalf("%s.txt: %v", name, err)
	}
	return list
}

func parse(text string) ([]Instance, error) {
	var list []Instance
	number := 0
	for line := range strings.Lines(text) {
		number++
		words := strings.Fields(line)
		if len(words) == 0 || words[0] == "#" {
			continue
		}
		var err error
		if words[0] == "instance" && len(words) == 2 {
			list = append(list,
				Instance{
					Name:    words[1],
					Problem: &rcpsp.Problem{Name: words[1][strings.LastIndex(words[1], "/")+1:]},
				})
		} else if len(list) == 0 {
			err = fmt.Errorf("%q before the first instance", words[0])
		} else {
			err = list[len(list)-1].read(words)
		}
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", number, err)
		}
	}
	return list, nil
}

// read takes in one line of an instance.
func (in *Instance) read(words []string) error {
	switch words[0] {
	case "known":
		return in.readKnown(words[1:])
	case "capacities":
		units, err := numbers(words[1:])
		for _, u := range units {
			in.Problem.Capacities = append(in.Problem.Capacities, rcpsp.Constant(u))
		}
		return err
	case "starts":
		var err error
		in.Starts, err = numbers(words[1:])
		return err
	}
	return in.readActivity(words)
}

func (in *Instance) readKnown(words []string) error {
	for ; len(words) > 0 && words[0] == "infeasible"; words = words[1:] {
		in.Infeasible = true
	}
	for ; len(words) > 1; words = words[2:] {
		at := map[string]*int{
			"bound": &in.Bound, "best": &in.Best, "critical": &in.CriticalPath,
			"makespan": &in.Makespan,
		}[words[0]]
		if at == nil {
			return fmt.Errorf("unknown keyword %q", words[0])
		}
		var err error
		if *at, err = strconv.Atoi(words[1]); err != nil {
			return err
		}
	}
	if len(words) > 0 {
		return fmt.Errorf("%q without a number", words[0])
	}
	return nil
}

func (in *Instance) readActivity(words []string) error {
	p := in.Problem
	resources := len(p.Capacities)
	if len(words) < resources+2 || words[resources+1] != ">" {
		return fmt.Errorf("an activity must have a duration, %d demands and >", resources)
	}
	figures, err := numbers(words[:resources+1])
	if err != nil {
		return err
	}
	i := len(p.Activities)
	p.Activities = append(p.Activities,
		rcpsp.Activity{Name: strconv.Itoa(i + 1), Duration: figures[0], Demand: figures[1:]})
	for _, word := range words[resources+2:] {
		successor, lag, hasLag := strings.Cut(word, ":")
		if !hasLag {
			lag = words[0]
		}
		link, err := numbers([]string{successor, lag})
		if err != nil {
			return err
		}
		p.Links = append(p.Links, rcpsp.Link{From: i, To: link[0] - 1, Lag: link[1]})
	}
	return nil
}

func numbers(words []string) ([]int, error) {
	list := make([]int, len(words))
	for k, word := range words {
		var err error
		if list[k], err = strconv.Atoi(word); err != nil {
			return nil, err
		}
	}
	return list, nil
}
