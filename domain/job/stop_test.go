package job_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
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

// A grand with live worm, or a cracked frame, that is to be hauled in and mended here: the haul-in
// is neither begun nor booked before somebody has answered for the move, whoever books it and in
// whatever way; what was booked wrongly is taken back all the same.
func TestAHaulInIsNotBookedBeforeTheMoveIsCleared(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	for _, x := range []struct {
		name, stop, says, until string
		found                   survey.Finding
		repair                  []catalogue.Code
	}{
		{
			"live worm", "worm-alive", "live woodworm", "it has been treated, or found to be dead",
			domaintest.Flag("SV-55", true),
			[]catalogue.Code{"CS-02", "CS-02L"},
		},
		{
			"a cracked frame", "frame-cracked", "the frame is cracked", "a specialist has looked at the crack",
			domaintest.Flag("SV-29", true),
			[]catalogue.Code{"FR-01"},
		},
	} {
		found := []survey.Finding{x.found}
		stops := domaintest.Stops(t, "GB", in, found)
		word := clearance.Clearance{Stop: x.stop, By: "Ada Fernwood", Says: "treated where it stood"}
		word, err := stops.Clear(word, domain.Manager, domaintest.JobDay)
		if err != nil {
			t.Fatal(err)
		}
		cleared := domaintest.Stops(t, "GB", in, found, word)
		var s scope.Scope
		for _, code := range append([]catalogue.Code{"IN-02", "IN-03", "TU-01"}, x.repair...) {
			s.Lines = append(s.Lines, scope.Line{Operation: code, Chance: domaintest.Dec("1")})
		}
		j, err := job.Accept(c, s, in, domaintest.JobDay)
		if err != nil {
			t.Fatal(err)
		}
		for way, book := range map[string]func(job.Job) (job.Job, error){
			"as hours": func(j job.Job) (job.Job, error) {
				j, _, err := j.PutIn(c, job.Labour{Operation: "IN-02", Minutes: 90})
				return j, err
			},
			"with progress": func(j job.Job) (job.Job, error) {
				j, _, err := j.Book(c, job.Progress{
					Operation: "IN-02", Minutes: 90, On: domaintest.JobDay,
				}, domaintest.JobDay)
				return j, err
			},
			"as finished, by a firm": func(j job.Job) (job.Job, error) {
				j, _, err := j.Book(c, job.Progress{
					Operation: "IN-02", Finished: true, On: domaintest.JobDay,
				}, domaintest.JobDay)
				return j, err
			},
		} {
			_, err := book(j.StoppedBy(stops))
			f := domaintest.FaultOf(err)
			if f == nil || f.Kind != domain.Conflict || !strings.Contains(f.Detail, "IN-02") ||
				len(f.Chain) != 1 || !strings.Contains(f.Chain[0], x.says) ||
				!strings.Contains(f.Chain[0], "this bars moving it until "+x.until) {
				t.Errorf("%s, %s: got %+v, want a conflict that names the stop and what lifts it", x.name, way, f)
			}
			if _, err := book(j.StoppedBy(cleared)); err != nil {
				t.Errorf("%s, %s, once it is cleared: %v", x.name, way, err)
			}
		}
		// To say what is left of the haul-in isn't to work on it, and nothing else is barred.
		stopped := j.StoppedBy(stops)
		if _, _, err := stopped.Book(c, job.Progress{
			Operation: "IN-02", Left: domaintest.Dec("7"), On: domaintest.JobDay,
		}, domaintest.JobDay); err != nil {
			t.Errorf("%s: what is left of the haul-in: %v", x.name, err)
		}
		if stopped = stopped.TakeBack("IN-02", 30); stopped.Task("IN-02").Minutes != -30 {
			t.Errorf("%s: nothing was taken back: %+v", x.name, stopped.Task("IN-02"))
		}
		// Fetched before anybody had found it: hours that were forgotten are a fact.
		at := domaintest.JobHour
		j.Task("IN-02").FinishedAt = &at
		if _, _, err := j.StoppedBy(stops).Book(c, job.Progress{
			Operation: "IN-02", Finished: true, Minutes: 60, Note: "the van", On: domaintest.JobDay,
		}, domaintest.JobDay); err != nil {
			t.Errorf("%s: late hours of a haul-in that is over: %v", x.name, err)
		}
	}
}

// Other hours are booked all the same, since they are a fact, but before the treatment they are
// before their time, and say why.
func TestHoursBeforeTheTreatmentSayWhy(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Stock
	stops := domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Flag("SV-55", true)})
	var s scope.Scope
	for _, code := range []catalogue.Code{"CS-02", "CS-02L", "KY-01"} {
		s.Lines = append(s.Lines, scope.Line{Operation: code, Chance: domaintest.Dec("1")})
	}
	j, err := job.Accept(c, s, in, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	keys := job.Labour{Operation: "KY-01", Minutes: 60}
	if _, _, err := j.PutIn(c, keys); err != nil {
		t.Errorf("with nothing found: %v", err)
	}
	j = j.StoppedBy(stops)
	_, _, err = j.PutIn(c, keys)
	if f := domaintest.FaultOf(err); f == nil || len(f.Fields) != 1 ||
		f.Fields[0].Pointer != "#/reason" || !strings.Contains(f.Fields[0].Detail, "CS-02") {
		t.Errorf("keys before the worm is treated: got %v, want a reason asked for", err)
	}
	keys.Reason = "the keys are at home, apart from it"
	if _, _, err := j.PutIn(c, keys); err != nil {
		t.Errorf("with a reason: %v", err)
	}
	for _, code := range []catalogue.Code{"CS-02", "CS-02L"} {
		at := domaintest.JobHour
		j.Task(code).FinishedAt = &at
	}
	keys.Reason = ""
	if _, _, err := j.PutIn(c, keys); err != nil {
		t.Errorf("once it is treated: %v", err)
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
