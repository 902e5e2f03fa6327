package netfile_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"bentside/schedule/internal/published"
	"bentside/schedule/netfile"
	"bentside/schedule/rcpsp"
)

// asPatterson writes finish-to-start networks as .rcp.
func asPatterson(p *rcpsp.Problem) string {
	var b strings.Builder
	fmt.Fprintln(&b, len(p.Activities), len(p.Capacities))
	for _, c := range p.Capacities {
		fmt.Fprint(&b, c[0].Units, " ")
	}
	for i, a := range p.Activities {
		fmt.Fprintf(&b, "\n%d %s", a.Duration, strings.Trim(fmt.Sprint(a.Demand), "[]"))
		var list []int
		for _, l := range p.Links {
			if l.From == i {
				list = append(list, l.To+1)
			}
		}
		fmt.Fprintf(&b, " %d %s", len(list), strings.Trim(fmt.Sprint(list), "[]"))
	}
	return b.String()
}

// asMaximumLags writes any network as .sch.
func asMaximumLags(p *rcpsp.Problem) string {
	var b strings.Builder
	fmt.Fprintln(&b, len(p.Activities)-2, len(p.Capacities), 0, 0)
	for i := range p.Activities {
		var to []string
		var lags []string
		for _, l := range p.Links {
			if l.From == i {
				to = append(to, fmt.Sprint(l.To))
				lags = append(lags, fmt.Sprintf("[%d]", l.Lag))
			}
		}
		fmt.Fprintln(&b, i, 1, len(to), strings.Join(to, " "), strings.Join(lags, " "))
	}
	for i, a := range p.Activities {
		fmt.Fprintln(&b, i, 1, a.Duration, strings.Trim(fmt.Sprint(a.Demand), "[]"))
	}
	for _, c := range p.Capacities {
		fmt.Fprint(&b, c[0].Units, " ")
	}
	return b.String()
}

// asSingleMode writes finish-to-start networks as .sm, with the sections that the published files
// have.
func asSingleMode(p *rcpsp.Problem) string {
	var b strings.Builder
	fmt.Fprintf(&b,
		"****\njobs (incl. supersource/sink ):  %d\nRESOURCES\n  - renewable                 :  %d   R\n",
		len(p.Activities), len(p.Capacities))
	fmt.Fprint(&b, "****\nPRECEDENCE RELATIONS:\njobnr.    #modes  #successors   successors\n")
	for i := range p.Activities {
		var list []int
		for _, l := range p.Links {
			if l.From == i {
				list = append(list, l.To+1)
			}
		}
		fmt.Fprintln(&b, i+1, 1, len(list), strings.Trim(fmt.Sprint(list), "[]"))
	}
	fmt.Fprint(&b, "****\nREQUESTS/DURATIONS:\njobnr. mode duration  R 1\n----\n")
	for i, a := range p.Activities {
		fmt.Fprintln(&b, i+1, 1, a.Duration, strings.Trim(fmt.Sprint(a.Demand), "[]"))
	}
	fmt.Fprint(&b, "****\nRESOURCEAVAILABILITIES:\n  R 1\n")
	for _, c := range p.Capacities {
		fmt.Fprint(&b, c[0].Units, " ")
	}
	return b.String() + "\n****\n"
}

func TestPublishedInstancesSurviveARoundTripThroughEachFormat(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"j30", "j60", "j120", "patterson", "rcpspmax", "multiproject"} {
		for _, set := range published.Sets(t, name, 7) {
			t.Run(name+", "+set.Name, func(t *testing.T) {
				t.Parallel()
				for _, in := range set.Instances {
					again(t, in.Problem.Name+".sch", asMaximumLags(in.Problem), in.Problem)
					if name != "rcpspmax" { // the other formats have no lags
						again(t, in.Problem.Name+".rcp", asPatterson(in.Problem), in.Problem)
						again(t, in.Problem.Name+".sm", asSingleMode(in.Problem), in.Problem)
					}
				}
			})
		}
	}
}

func again(t *testing.T, name, text string, want *rcpsp.Problem) {
	t.Helper()
	got, err := netfile.Parse(name, []byte(text))
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	for i := range got.Activities {
		got.Activities[i].Name = want.Activities[i].Name // .sch counts from 0
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s: differs after the round trip", name)
	}
}
