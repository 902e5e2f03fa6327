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

func TestPublishedInstancesSurviveARoundTripThroughTheOtherFormats(t *testing.T) {
	t.Parallel()
	for _, set := range []struct {
		file    string
		count   int
		fsLinks bool
	}{
		{"j30.tar.gz", 480, true},
		{"j60.tar.gz", 480, true},
		{"j120.tar.gz", 300, true},
		{"patterson.tar.gz", 110, true},
		{"rcpspmax.tar.gz", 585, false},
		{"multiproject.tar.gz", 12, true},
	} {
		t.Run(set.file, func(t *testing.T) {
			t.Parallel()
			instances := published.Instances(t, set.file)
			if len(instances) != set.count {
				t.Errorf("got %d instances, want %d", len(instances), set.count)
			}
			for k := 0; k < len(instances); k += 7 {
				want := instances[k].Problem
				again(t, want.Name+".sch", asMaximumLags(want), want)
				if set.fsLinks {
					again(t, want.Name+".rcp", asPatterson(want), want)
				}
			}
		})
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
