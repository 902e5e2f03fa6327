package main

import (
	"encoding/json"
	"fmt"
	"io"
	"time"
)

// row is one instance of the report. Best is 0 without a table entry.
type row struct {
	Instance   string  `json:"instance"`
	Makespan   int     `json:"makespan"`
	LowerBound int     `json:"lower_bound"`
	Best       int     `json:"best"`
	CPM        int     `json:"cpm"`
	Schedules  int     `json:"schedules"`
	Seconds    float64 `json:"seconds"`
	Proven     bool    `json:"proven"`
	Feasible   bool    `json:"feasible"`
	infeasible bool
	reason     string // why it is infeasible, if links or demands alone make it so
}

type summary struct {
	Instances          int     `json:"instances"`
	Feasible           int     `json:"feasible"`
	AvgOverBestPct     float64 `json:"avg_over_best_pct"`
	AvgOverCPMPct      float64 `json:"avg_over_cpm_pct"`
	EqualBest          int     `json:"equal_best"`
	Proven             int     `json:"proven"`
	SchedulesPerSecond float64 `json:"schedules_per_second"`
}

type report struct {
	out    io.Writer
	asJSON bool
	err    error
}

func newReport(out io.Writer, asJSON bool) *report { return &report{out: out, asJSON: asJSON} }

func (r *report) print(v any, format string, args ...any) {
	if r.err != nil {
		return
	}
	if r.asJSON {
		r.err = json.NewEncoder(r.out).Encode(v)
		return
	}
	_, r.err = fmt.Fprintf(r.out, format, args...)
}

func (r *report) row(x row) {
	state := "plan"
	switch {
	case x.infeasible:
		state = "infeasible"
	case !x.Feasible:
		state = "no plan"
	case x.Proven:
		state = "optimal"
	}
	reason := x.reason
	if reason != "" {
		reason = "  " + reason
	}
	r.print(x, "%-16s %-10s makespan %5d  bound %5d  best %5d  cpm %5d  schedules %7d  %8.3f s%s\n",
		x.Instance, state, x.Makespan, x.LowerBound, x.Best, x.CPM, x.Schedules, x.Seconds, reason)
}

// summary averages deviations over the feasible rows that have a reference.
func (r *report) summary(rows []row, compared bool, took time.Duration) {
	s := summary{Instances: len(rows)}
	var overBest, overCPM float64
	var withBest, withCPM, schedules, infeasible int
	for _, x := range rows {
		schedules += x.Schedules
		if x.Proven {
			s.Proven++
		}
		if x.infeasible {
			infeasible++
		}
		if !x.Feasible {
			continue
		}
		s.Feasible++
		if x.Best > 0 {
			withBest++
			overBest += 100 * float64(x.Makespan-x.Best) / float64(x.Best)
			if x.Makespan <= x.Best {
				s.EqualBest++
			}
		}
		if x.CPM > 0 {
			withCPM++
			overCPM += 100 * float64(x.Makespan-x.CPM) / float64(x.CPM)
		}
	}
	s.AvgOverBestPct = overBest / float64(max(1, withBest))
	s.AvgOverCPMPct = overCPM / float64(max(1, withCPM))
	s.SchedulesPerSecond = float64(schedules) / max(took.Seconds(), 1e-9)
	overKnown := ""
	if compared {
		overKnown = fmt.Sprintf(" %.3f %% over best of %d (%d equal or better),", s.AvgOverBestPct,
			withBest, s.EqualBest)
	}
	r.print(map[string]summary{"summary": s},
		"%d instances, %d with a plan (%d optimal), %d proved infeasible, %d open;%s "+
			"%.3f %% over critical path; %.0f schedules per second\n",
		s.Instances, s.Feasible, s.Proven-infeasible, infeasible, s.Instances-s.Feasible-infeasible,
		overKnown, s.AvgOverCPMPct, s.SchedulesPerSecond)
}
