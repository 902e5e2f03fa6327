package scope_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
)

// plannedLines returns a scope of lines "code", "code@chance", and "code@chance!" where a chance is
// planned.
func plannedLines(text, settled string) scope.Scope {
	s := scope.Scope{Settled: map[string]string{}}
	for _, word := range strings.Fields(text) {
		word, expected := strings.CutSuffix(word, "!")
		code, chance, ok := strings.Cut(word, "@")
		if !ok {
			chance = "1"
		}
		s.Lines = append(s.Lines, scope.Line{
			Operation: catalogue.Code(code), Chance: domaintest.Dec(chance), Expected: expected,
		})
	}
	for _, word := range strings.Fields(settled) {
		group, option, _ := strings.Cut(word, "=")
		s.Settled[group] = option
	}
	return s
}

// A new finding moves the plan only of what it bears on, and of a choice all options or none.
func TestAPlanIsKeptWhereNothingLearntMovesIt(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		name, earlier, settled, now, settledNow, want, wantSettled string
	}{
		{
			name: "nothing moved", earlier: "AC-07@0.6! TU-01", now: "AC-07@0.6 TU-01",
			want: "AC-07@0.6! TU-01",
		},
		{
			name: "what wasn't planned isn't now", earlier: "AC-07@0.4", now: "AC-07@0.4!",
			want: "AC-07@0.4",
		},
		{
			name: "its own chance moved", earlier: "AC-07@0.6!", now: "AC-07@0.3", want: "AC-07@0.3",
		},
		{name: "new work", earlier: "TU-01", now: "AC-07@0.6! TU-01", want: "AC-07@0.6! TU-01"},
		{
			name:    "the options of a choice stay",
			earlier: "ST-04@0.5! ST-02@0.5", settled: "STRING=in_place",
			now: "ST-04@0.5 ST-02@0.5!", settledNow: "STRING=restring",
			want: "ST-04@0.5! ST-02@0.5", wantSettled: "STRING=in_place",
		},
		{
			name:    "or go together",
			earlier: "ST-04@0.5! ST-02@0.4 DS-02@0.4", settled: "STRING=in_place",
			now: "ST-04@0.4 ST-02@0.6! DS-02@0.4!", settledNow: "STRING=restring",
			want: "ST-04@0.4 ST-02@0.6! DS-02@0.4!", wantSettled: "STRING=restring",
		},
		{
			name:    "also where an option's work is gone",
			earlier: "ST-04@0.5! DS-02@0.5 ST-02@0.5", settled: "STRING=in_place",
			now: "ST-04@0.5 DS-02@0.5!", settledNow: "STRING=restring",
			want: "ST-04@0.5 DS-02@0.5!", wantSettled: "STRING=restring",
		},
		{
			name: "one choice moves no other", earlier: "ST-04@0.5! ST-02@0.5 BD-04@0.3!",
			settled: "STRING=in_place PLANK=keep_oversize",
			now:     "ST-04@0.5 ST-02@0.5! BD-04@0.2", settledNow: "STRING=restring PLANK=replace",
			want: "ST-04@0.5! ST-02@0.5 BD-04@0.2", wantSettled: "STRING=in_place PLANK=replace",
		},
	} {
		now := plannedLines(row.now, row.settledNow)
		got := now.KeepPlan(plankShop(), plannedLines(row.earlier, row.settled))
		want := plannedLines(row.want, row.wantSettled)
		for i, l := range got.Lines {
			if l.Expected != want.Lines[i].Expected || !l.Chance.Equal(want.Lines[i].Chance) {
				t.Errorf("%s: %s at %s, planned %v", row.name, l.Operation, l.Chance, l.Expected)
			}
		}
		for _, group := range []string{"STRING", "PLANK"} {
			if got.Settled[group] != want.Settled[group] {
				t.Errorf("%s: %s=%s, want %q", row.name, group, got.Settled[group], want.Settled[group])
			}
		}
		for i, l := range plannedLines(row.now, row.settledNow).Lines {
			if now.Lines[i].Expected != l.Expected {
				t.Errorf("%s: the scope itself changed at %s", row.name, l.Operation)
			}
		}
	}
}

// The survey is spent before the job and the delivery belongs to the sale: a job's hours are those
// of the rest, as far as it is planned.
func TestAJobsHoursAreThoseOfItsPlannedWorkOnly(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, nil)
	sum, counted := domain.One.Sub(domain.One), 0
	for _, l := range s.Lines {
		if op := scope.JobOperation(c, l); (op == nil) != (l.CountedIn != "") {
			t.Errorf("%s is counted in %q, as an operation of the job %v", l.Operation, l.CountedIn, op)
		}
		if l.CountedIn == "" {
			sum = sum.Add(l.Hours.Likely)
		} else {
			counted++
		}
	}
	if got := scope.PlannedHours(c, s); !got.Equal(sum) || !got.IsPositive() || counted == 0 {
		t.Errorf("%s h planned, %s in the lines; %d lines counted elsewhere", got, sum, counted)
	}
	tune := lineOf(t, s, "TU-01")
	tune.Chance = domaintest.Dec("0.4")
	doubtful := scope.Scope{Lines: []scope.Line{tune}}
	if got := scope.PlannedHours(c, doubtful); !got.IsZero() {
		t.Errorf("%s h of work that isn't planned", got)
	}
	doubtful.Lines[0].Expected = true
	if got := scope.PlannedHours(c, doubtful); !got.Equal(tune.Hours.Likely) {
		t.Errorf("%s h, want %s", got, tune.Hours.Likely)
	}
	if op := scope.JobOperation(c, scope.Line{Operation: "XX-99"}); op != nil {
		t.Errorf("%v for a code that isn't in the catalogue", op)
	}
}

// Who fetches a piano pays carriage, not hours: the haul-in stays in the scope for the dates.
func TestAHaulInThatIsPaidAsTransportIsNotCountedTwice(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, nil)
	arrival := c.OperationMarked(catalogue.ArrivalMark)
	fetched := s.Fetched(c)
	for i, l := range fetched.Lines {
		want := s.Lines[i].CountedIn
		if l.Operation == arrival {
			want = scope.InTransport
		}
		if l.CountedIn != want {
			t.Errorf("%s is counted in %q, want %q", l.Operation, l.CountedIn, want)
		}
	}
	if lineOf(t, s, arrival).CountedIn != "" ||
		lineOf(t, fetched, arrival).CountedIn != scope.InTransport {
		t.Error("the haul-in is counted in the work of what isn't fetched, and only there")
	}
}
