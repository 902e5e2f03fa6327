package domaintest

import (
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/schedule"
)

// Accepted is a Monday, as the shop opens.
var Accepted = time.Date(2026, time.March, 2, 8, 0, 0, 0, time.UTC)

// Network returns the network of a scope accepted at Accepted; its activities and links fit
// together.
func Network(
	t testing.TB, c *catalogue.Catalogue, s scope.Scope, stations ...domain.Station,
) *plan.Network {
	t.Helper()
	n, err := plan.ScopeNetwork(c, s, Accepted, stations, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := schedule.NewNetwork(n.Activities, n.Links); err != nil {
		t.Fatal(err)
	}
	return n
}

// Before reports whether every sitting of one operation waits for another.
func Before(n *plan.Network, first, then string) bool {
	is := func(name, code string) bool { return name == code || strings.HasPrefix(name, code+" ") }
	open := []string{}
	for _, a := range n.Activities {
		if is(a.Name, first) {
			open = append(open, a.Name)
		}
	}
	for seen := map[string]bool{}; len(open) > 0; open = open[1:] {
		for _, l := range n.Links {
			if l.From == open[0] && !seen[l.To] {
				if is(l.To, then) {
					return true
				}
				seen[l.To] = true
				open = append(open, l.To)
			}
		}
	}
	return false
}

// FullRestoration returns a grand that needs nearly everything: new plank, bridges capped, board
// shimmed, strings, hammers, case.
func FullRestoration(t testing.TB, edits ...scope.Edit) scope.Scope {
	t.Helper()
	return FullRestorationOf(t, Grand(), edits...)
}

// FullRestorationOf returns the work of a full restoration on a grand as worn as that of
// [FullRestoration].
func FullRestorationOf(
	t testing.TB, grand instrument.Instrument, edits ...scope.Edit,
) scope.Scope {
	t.Helper()
	return ScopeOf(t, grand, catalogue.Restore, []survey.Finding{
		Number("SV-15", "4", ""), Number("SV-16", "3", ""),
		Number("SV-26", "2.6", "m"), Number("SV-28", "12", ""),
		Number("SV-31", "3", ""), Number(
			"SV-33", "13", "",
		), Number("SV-36", "14", ""), Number("SV-47", "12", ""), Number("SV-50", "3",
			""), Number("SV-52", "0.1", "m2"),
	}, edits...)
}

// DaysToReady returns how many days after Accepted the instrument is ready if everybody is free.
func DaysToReady(t testing.TB, n *plan.Network) int {
	t.Helper()
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		t.Fatal(err)
	}
	a := workdays(t)
	last, ok := net.Index("QC-03")
	if !ok {
		t.Fatal("no QC-03")
	}
	r, err := schedule.CriticalPathTo(net, a, Accepted, last)
	if err != nil {
		t.Fatal(err)
	}
	return int(r.Finish.UTC().Sub(Accepted).Hours() / 24)
}

// workdays returns seven hours a day from Monday to Friday for two years.
func workdays(t testing.TB) *schedule.Axis {
	t.Helper()
	var week schedule.Week
	for day := time.Monday; day <= time.Friday; day++ {
		week[day] = []schedule.Shift{
			{From: 8 * 60, To: 12 * 60},
			{From: 13 * 60, To: 16 * 60},
		}
	}
	calendar, err := schedule.NewCalendar("shop", time.UTC, week)
	if err != nil {
		t.Fatal(err)
	}
	a, err := schedule.NewAxis(Accepted, Accepted.AddDate(2, 0, 0), calendar)
	if err != nil {
		t.Fatal(err)
	}
	return a
}
