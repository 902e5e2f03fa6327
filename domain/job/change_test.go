package job_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestWhatWasFoundChangesTheTasksThatTheScopeWouldChange(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	firm := domaintest.Dec("9")
	before := []survey.Finding{{Point: "SV-11", Value: &firm, Unit: "N·m"}}
	loose := domaintest.Dec("1")
	after := append(slices.Clone(before), survey.Finding{Point: "SV-11", Value: &loose, Unit: "N·m"})
	j := acceptedBy(t, c, before)
	ch, err := job.ChangeOf(
		c, domaintest.Grand(), j, nil, job.Grounds{Before: before, After: after}, domaintest.Odds,
	)
	if err != nil {
		t.Fatal(err)
	}
	if len(ch.Added) == 0 {
		t.Fatal("loose pins call for no work")
	}
	now, err := j.Apply(c, ch)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := codesOf(now), codesOf(acceptedBy(t, c, after)); !slices.Equal(got, want) {
		t.Errorf("the job has\n%v\na scope drawn with the finding\n%v", got, want)
	}
	if _, err := now.Apply(c, ch); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("the same change again: got %v, want a conflict", err)
	}
	none, err := job.ChangeOf(
		c, domaintest.Grand(), j, nil, job.Grounds{Before: before, After: before}, domaintest.Odds,
	)
	if err != nil || !none.Empty() {
		t.Errorf("nothing found changes %+v, %v", none, err)
	}
}

// acceptedBy returns a job by findings, at the middle depth.
func acceptedBy(t *testing.T, c *catalogue.Catalogue, findings []survey.Finding) job.Job {
	t.Helper()
	js, err := survey.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	s, err := scope.Draw(c, domaintest.Grand(), js, catalogue.Recondition, nil, domaintest.Odds)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Accept(c, s, domaintest.Grand(), domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// codesOf returns the operations that a job still has.
func codesOf(j job.Job) []catalogue.Code {
	var list []catalogue.Code
	for _, x := range j.Tasks {
		if !x.Dropped {
			list = append(list, x.Operation)
		}
	}
	return list
}

// Where most is unknown, the plan is one of many that fit together, and any look tips it. What was
// found still changes only the work whose odds it moves.
func TestAFindingAtThePedalsLeavesTheDampersInTheJob(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	doubtful := domaintest.SameOdds("0.7", "0.2", "0.1")
	unseen := mustJudge(t, c)
	for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
		before := domaintest.Draw(t, c, domaintest.Grand(), unseen, depth, doubtful)
		j, err := job.Accept(c, before, domaintest.Grand(), domaintest.JobDay)
		if err != nil {
			t.Fatal(err)
		}
		for point, value := range map[catalogue.PointCode]string{
			"SV-49": "25", "SV-11": "1", "SV-12": "0", "SV-35": "30",
		} {
			found := survey.Finding{Point: point, Value: domaintest.Ptr(domaintest.Dec(value))}
			with := domaintest.Draw(t, c, domaintest.Grand(), mustJudge(t, c, found), depth, doubtful)
			ch, err := job.ChangeOf(
				c, domaintest.Grand(), j, nil, job.Grounds{After: []survey.Finding{found}},
				doubtful,
			)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range slices.Concat(ch.Added, ch.Removed) {
				moved := func(code catalogue.Code) bool {
					return !chanceIn(before, code).Equal(chanceIn(with, code))
				}
				if !slices.ContainsFunc(rivals(c, l.Operation), moved) {
					t.Errorf(
						"%s: %s found %s changes %s, whose odds it does not move", depth, point,
						value, l.Operation,
					)
				}
			}
			now, err := j.Apply(c, ch)
			if err != nil {
				t.Fatal(err)
			}
			for _, a := range now.Tasks {
				for _, b := range now.Tasks {
					if a.Open() && b.Open() && domaintest.Exclusive(c, a.Operation, b.Operation) {
						t.Errorf(
							"%s: %s found %s: the job has both %s and %s", depth, point, value,
							a.Operation, b.Operation,
						)
					}
				}
			}
		}
	}
}

func mustJudge(t *testing.T, c *catalogue.Catalogue, findings ...survey.Finding) survey.Judgements {
	t.Helper()
	js, err := survey.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	return js
}

func chanceIn(s scope.Scope, code catalogue.Code) decimal.Decimal {
	for _, l := range s.Lines {
		if l.Operation == code {
			return l.Chance
		}
	}
	return decimal.Zero
}

// rivals returns an operation and all that stand in one choice with it.
func rivals(c *catalogue.Catalogue, code catalogue.Code) []catalogue.Code {
	list := []catalogue.Code{code}
	for _, choice := range c.Choices {
		var all []catalogue.Code
		for _, o := range choice.Options {
			all = append(all, o.Admits()...)
		}
		if slices.Contains(all, code) {
			list = append(list, all...)
		}
	}
	return list
}

func TestWhatIsDoneStaysDoneWhateverTheChange(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	j := acceptedBy(t, c, nil)
	rapid.Check(t, func(r *rapid.T) {
		now := j
		now.Tasks = slices.Clone(j.Tasks)
		for i := range now.Tasks {
			if rapid.Bool().Draw(r, "finished") {
				at := domaintest.JobHour
				now.Tasks[i].Done, now.Tasks[i].Left, now.Tasks[i].FinishedAt = now.Tasks[i].Left,
					domaintest.Dec("0"), &at
			}
		}
		depth := rapid.SampledFrom(catalogue.Depths).Draw(r, "depth")
		ch, err := job.ChangeOf(
			c, domaintest.Grand(), now, nil, job.Grounds{Depth: depth}, domaintest.Odds,
		)
		if err != nil {
			r.Fatal(err)
		}
		after, err := now.Apply(c, ch)
		if err != nil {
			r.Fatal(err)
		}
		for _, was := range now.Tasks {
			if is := after.Task(was.Operation); was.FinishedAt != nil &&
				(is.Dropped || is.FinishedAt == nil || !is.Done.Equal(was.Done)) {
				r.Fatalf("%s was finished and is %+v", was.Operation, is)
			}
		}
	})
}

// Nobody looked at the hammers, the pins or the case. An edit is refused for what was found, not
// for what may be found; and what was found after an edit was taken is never refused over it.
func TestAnEditOfAJobIsTakenAlthoughWhatNobodyLookedAtMayForbidIt(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	sound := domaintest.SoundSurvey(c, catalogue.Grand)
	for _, x := range []struct {
		op           catalogue.Code
		point, value string // what forbids it; empty: nothing does
	}{
		{"AC-05", "SV-32", "1.5"}, {"BD-05", "SV-15", "3"}, {"CS-09", "SV-50", "3"},
	} {
		looked := slices.DeleteFunc(slices.Clone(sound), func(f survey.Finding) bool {
			return slices.Contains([]catalogue.PointCode{
				"SV-11", "SV-12", "SV-13", "SV-15", "SV-32", "SV-33", "SV-34", "SV-35", "SV-50",
			}, f.Point)
		})
		j := acceptedBy(t, c, looked)
		edit := job.Grounds{
			Before: looked, After: looked,
			Edits: []scope.Edit{{Kind: scope.AddOperation, Operation: x.op}},
		}
		ch, err := job.ChangeOf(c, domaintest.Grand(), j, nil, edit, domaintest.Odds)
		if err != nil {
			t.Errorf("%s: refused: %v %v", x.op, err, domaintest.FaultOf(err).Chain)
			continue
		}
		now, err := j.Apply(c, ch)
		if err != nil || !slices.Contains(codesOf(now), x.op) {
			t.Errorf("%s: the job has %v, %v", x.op, codesOf(now), err)
		}
		for _, found := range [][2]string{{"SV-39", "1.7"}, {x.point, x.value}} {
			f := domaintest.Number(found[0], found[1], "")
			f.ID = uuid.New()
			g := job.Grounds{
				Before: looked, After: append(slices.Clone(looked), f), New: []uuid.UUID{f.ID},
			}
			if _, err := job.ChangeOf(c, domaintest.Grand(), now, nil, g, domaintest.Odds); err != nil {
				t.Errorf("%s is in the job: %s = %s is refused: %v", x.op, found[0], found[1], err)
			}
			g = job.Grounds{Before: g.After, After: g.After, Edits: edit.Edits}
			_, err := job.ChangeOf(c, domaintest.Grand(), j, nil, g, domaintest.Odds)
			if forbidden := domaintest.KindOf(err) == domain.Conflict; forbidden != (found[0] == x.point) {
				t.Errorf("%s with %s = %s found: got %v", x.op, found[0], found[1], err)
			}
		}
	}
}
