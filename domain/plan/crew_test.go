package plan_test

import (
	"fmt"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/plan"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// matched reports whether each demand can be given a person of its own, by trying everybody.
func matched(demands []string, people []domain.Person, taken int) bool {
	if len(demands) == 0 {
		return true
	}
	for k, p := range people {
		if taken>>k&1 != 0 {
			continue
		}
		for _, s := range p.Skills {
			if s == demands[0] && matched(demands[1:], people, taken|1<<k) {
				return true
			}
		}
	}
	return false
}

func TestPoolsLetInWhatPeopleCanBeFoundForAndNothingElse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		skills := []string{"action", "belly", "cabinet", "finishing", "tuning"}
		people := make([]domain.Person, rapid.IntRange(1, 5).Draw(rt, "people"))
		for i := range people {
			people[i].Skills = rapid.SliceOfNDistinct(
				rapid.SampledFrom(skills), 1, 3, func(s string) string { return s },
			).Draw(rt, "skills")
			people[i].ProductiveShare = decimal.NewFromInt(1)
		}
		demands := rapid.SliceOfN(rapid.SampledFrom(skills), 0, 6).Draw(rt, "demands")
		want := matched(demands, people, 0)
		if got := plan.PoolsAllow(people, demands); got != want {
			rt.Fatalf("%v for %v: pools allow it %v, people can be found %v", people, demands, got, want)
		}
	})
}

// Ada does keys and actions, Bo actions and tuning, Cy tuning. One to bush keys and two on actions
// would need three who do either, and there are two (Hall 1935: sets of skills that one person
// joins must be counted together).
func TestSkillsThatAPersonJoinsAreCountedTogether(t *testing.T) {
	t.Parallel()
	one := domaintest.Dec("1")
	people := []domain.Person{
		{Name: "Ada", Skills: []string{"keys", "action"}, ProductiveShare: one},
		{Name: "Bo", Skills: []string{"action", "tuning"}, ProductiveShare: one},
		{Name: "Cy", Skills: []string{"tuning"}, ProductiveShare: one},
		{Name: "Di", Skills: []string{"cabinet"}, ProductiveShare: one},
	}
	for _, x := range []struct {
		demands []string
		want    bool
	}{
		{[]string{"keys", "action", "tuning", "cabinet"}, true},
		{[]string{"keys", "action", "action"}, false},
		{[]string{"action", "action", "tuning"}, true},
		{[]string{"action", "tuning", "tuning"}, true},
		{[]string{"keys", "tuning", "tuning"}, true},
		{[]string{"keys", "action", "tuning", "tuning"}, false},
		{[]string{"cabinet", "cabinet"}, false},
		{[]string{"gilding"}, false},
	} {
		if got := plan.PoolsAllow(people, x.demands); got != x.want {
			t.Errorf("%q at once: allowed %t, want %t", x.demands, got, x.want)
		}
	}
}

// A skill further on that none of the two joins makes no difference to how many they are.
func TestSkillsAreCountedTogetherWhereverTheyAreJoinedFurther(t *testing.T) {
	t.Parallel()
	var people []domain.Person
	for _, skills := range [][]string{{"a", "b"}, {"b", "c"}, {"c", "d"}, {"d"}} {
		people = append(people, domain.Person{Skills: skills, ProductiveShare: domaintest.Dec("1")})
	}
	for _, demands := range [][]string{
		{"a", "b", "b"},
		{"a", "b", "c"},
		{"b", "c", "c"},
		{"d", "d", "d"},
		{"a", "b", "c", "d"},
		{"c", "d", "d"},
		{"c", "c", "d", "d"},
		{"a", "b", "d", "d"},
	} {
		if got, want := plan.PoolsAllow(people, demands), matched(demands, people, 0); got != want {
			t.Errorf("%q at once: allowed %t, people can be found %t", demands, got, want)
		}
	}
}

// However many skills one person has, the demand on all of them together is counted.
func TestNobodyWithManySkillsIsBookedTwice(t *testing.T) {
	t.Parallel()
	var skills []string
	for k := range 20 {
		skills = append(skills, fmt.Sprintf("skill %02d", k))
	}
	people := []domain.Person{{Name: "Ada", Skills: skills, ProductiveShare: domaintest.Dec("1")}}
	for k, s := range skills {
		if !plan.PoolsAllow(people, []string{s}) {
			t.Errorf("Ada can't do %s", s)
		}
		if other := skills[(k+7)%20]; plan.PoolsAllow(people, []string{s, other}) {
			t.Errorf("Ada does %s and %s at once", s, other)
		}
	}
}

func TestPeopleAreCountedAndTheirShareLengthensTheWork(t *testing.T) {
	t.Parallel()
	c, s := asFound(t)
	where := shop(t)
	accepted := time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
	hours := func(d plan.Timeline) (sum time.Duration) {
		for _, x := range d.Steps {
			sum += x.Finish.Sub(x.Start)
		}
		return sum
	}
	var before plan.Dates
	for k, share := range []string{"", "1", "0.5"} {
		if share != "" {
			where.People = []domain.Person{
				{Name: "the one", Skills: skillsOf(c), ProductiveShare: domaintest.Dec(share)},
			}
		}
		d, err := plan.Situation{Shop: where, At: accepted}.DatesOf(t.Context(), c, s)
		if err != nil {
			t.Fatal(err)
		}
		if k == 1 &&
			(!d.Alone.Ready.Equal(before.Alone.Ready) || d.Queued.Ready.Before(d.Alone.Ready)) {
			t.Errorf(
				"alone %s and queued %s with one who does everything, %s alone without",
				d.Alone.Ready, d.Queued.Ready, before.Alone.Ready,
			)
		}
		if k == 2 &&
			(hours(d.Alone) <= hours(before.Alone) || !d.Queued.Ready.After(before.Queued.Ready)) {
			t.Errorf(
				"at half the share %s of work, ready %s; at the full one %s, ready %s",
				hours(d.Alone), d.Queued.Ready, hours(before.Alone), before.Queued.Ready,
			)
		}
		if k > 0 {
			oneAtATime(t, d.Queued)
		}
		before = d
	}
}

func skillsOf(c *catalogue.Catalogue) []string {
	seen, list := map[string]bool{}, []string{}
	for _, op := range c.Operations {
		if !seen[op.Skill] {
			seen[op.Skill] = true
			list = append(list, op.Skill)
		}
	}
	return list
}

// oneAtATime wants no two steps within the same working day to overlap: there is one person. Work
// done outside takes none of it.
func oneAtATime(t *testing.T, d plan.Timeline) {
	t.Helper()
	for i, a := range d.Steps {
		for _, b := range d.Steps[:i] {
			if a.Start.Before(b.Finish) && b.Start.Before(a.Finish) {
				t.Errorf(
					"one person does %s",
					fmt.Sprintf(
						"%s (%s to %s) and %s (%s to %s) at once", a.Operation, a.Start, a.Finish,
						b.Operation, b.Start, b.Finish,
					),
				)
			}
		}
	}
}
