package job_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// A grand of our own with a crack in its frame (trade facts: common practice, no source). What was
// bought to be repaired becomes a job, in which the haul-in stays barred until somebody has said
// how it is carried.
func TestAPlannedRepairLetsTheWorkBegin(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	stops := domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Flag("SV-29", true)})
	for _, x := range []struct {
		name  string
		codes []catalogue.Code
		want  domain.FaultKind
	}{
		{"no repair", []catalogue.Code{"TU-01"}, domain.Conflict},
		{"repaired where it stands", []catalogue.Code{"FR-01"}, ""},
		{"fetched and not repaired", []catalogue.Code{"IN-02"}, domain.Conflict},
		{"fetched and repaired", []catalogue.Code{"IN-02", "FR-01"}, ""},
	} {
		var s scope.Scope
		for _, code := range x.codes {
			s.Lines = append(s.Lines, scope.Line{Operation: code, Chance: domaintest.Dec("1")})
		}
		if got := domaintest.KindOf(job.CheckStops(c, s, stops)); got != x.want {
			t.Errorf("%s: got the fault %q, want %q", x.name, got, x.want)
		}
	}
}

// Unsafe legs bar the move and no work: they are mended where the piano stands, and it isn't
// fetched on them (common practice, no source).
func TestAPianoOnUnsafeLegsIsWorkedOnWhereItStands(t *testing.T) {
	t.Parallel()
	c, in := domaintest.Shipped(t), domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	stops := domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Number("SV-53", "4", "")})
	for code, want := range map[catalogue.Code]domain.FaultKind{
		"TU-01": "", "IN-02": domain.Conflict,
	} {
		s := scope.Scope{Lines: []scope.Line{{Operation: code, Chance: domaintest.Dec("1")}}}
		if got := domaintest.KindOf(job.CheckStops(c, s, stops)); got != want {
			t.Errorf("%s: got the fault %q, want %q", code, got, want)
		}
	}
	unplanned := scope.Scope{Lines: []scope.Line{{Operation: "IN-02"}}}
	if err := job.CheckStops(c, unplanned, stops); err != nil {
		t.Errorf("it isn't fetched at all: %v", err)
	}
}

func TestAFinishedRepairFreesThePianoInItsJob(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	stops := domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Flag("SV-29", true)})
	j := job.Job{Tasks: []job.Task{{
		Operation: "FR-01", Line: &scope.Line{Operation: "FR-01", Chance: domaintest.Dec("1")},
	}}}
	if got := j.Stops(stops)[0].Barred(); !slices.Equal(got, []catalogue.Act{catalogue.ToMove}) {
		t.Errorf("with the repair to do it bars %q, want the move", got)
	}
	at := time.Date(2026, time.March, 2, 16, 0, 0, 0, time.UTC)
	j.Tasks[0].FinishedAt = &at
	if got := j.Stops(stops)[0].Barred(); len(got) > 0 {
		t.Errorf("with the repair finished it bars %q", got)
	}
	j.Tasks[0].Dropped = true
	if got := j.Stops(stops)[0].Barred(); !slices.Contains(got, catalogue.ToWork) {
		t.Errorf("with the repair dropped it bars %q, want the work barred too", got)
	}
}
