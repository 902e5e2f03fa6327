package domain

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"

	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// crew is the people of a workshop as a plan counts them. Nobody is told which
// task is whose: a task takes so many people off each pool that its skill
// belongs to.
//
// A pool is everybody who has one of some skills. With one pool for each skill
// and one for each set of skills that people share, no person is booked twice
// at any time: demands can be met exactly when no set of skills is asked for
// more people than have one of them (Hall 1935; from memory). That somebody
// stays with a task to its end follows only where a person has one skill.
type crew struct {
	pools  []pool
	people map[string]int             // by skill
	shares map[string]decimal.Decimal // by skill, the mean productive share of those who have it
}

// pool is people who have one of some skills.
type pool struct {
	skills []string
	people int
}

func (p pool) name() string {
	if len(p.skills) == 1 {
		return "people for " + p.skills[0]
	}
	last := len(p.skills) - 1
	return "people for " + strings.Join(p.skills[:last], ", ") + " or " + p.skills[last]
}

// has reports whether somebody belongs to the pool.
func (p pool) has(x Person) bool {
	return slices.ContainsFunc(x.Skills, func(s string) bool { return slices.Contains(p.skills, s) })
}

const (
	// maxShared is how many skills that hang together by people who have several
	// are counted in all their connected sets, in the order of their names; the
	// rest are counted one by one, and with all of them.
	maxShared = 12
	// maxPools bounds what a plan has to look at: the smaller sets first.
	maxPools = 40
)

func crewOf(people []Person) crew {
	c := crew{people: map[string]int{}, shares: map[string]decimal.Decimal{}}
	var skills []string
	for _, p := range people {
		for _, s := range slices.Compact(slices.Sorted(slices.Values(p.Skills))) {
			if c.people[s]++; c.people[s] == 1 {
				skills = append(skills, s)
			}
			c.shares[s] = c.shares[s].Add(p.ProductiveShare)
		}
	}
	slices.Sort(skills)
	for _, s := range skills {
		c.shares[s] = c.shares[s].DivRound(decimal.NewFromInt(int64(c.people[s])), canonicalPlaces)
	}
	for _, together := range sharing(skills, people) {
		c.pools = append(c.pools, poolsOf(together, people)...)
	}
	return c
}

// sharing groups skills that hang together by people who have several.
func sharing(skills []string, people []Person) [][]string {
	var groups [][]string
	seen := map[string]bool{}
	for _, first := range skills {
		if seen[first] {
			continue
		}
		seen[first] = true
		group := []string{first}
		for k := 0; k < len(group); k++ {
			for _, p := range people {
				if !slices.Contains(p.Skills, group[k]) {
					continue
				}
				for _, s := range p.Skills {
					if !seen[s] {
						seen[s] = true
						group = append(group, s)
					}
				}
			}
		}
		slices.Sort(group)
		groups = append(groups, group)
	}
	return groups
}

// poolsOf are the sets of skills that must be counted: those that hang together
// and that no skill can join without bringing people along. What is asked of
// any other set is bounded by these.
func poolsOf(skills []string, people []Person) []pool {
	counted := skills[:min(len(skills), maxShared)]
	has := make([]uint, len(people)) // of counted, a bit each
	for i, p := range people {
		for k, s := range counted {
			if slices.Contains(p.Skills, s) {
				has[i] |= 1 << k
			}
		}
	}
	var list []pool
	for set := uint(1); set < 1<<len(counted); set++ {
		if bits.OnesCount(set) == 1 || together(set, has) && closed(set, 1<<len(counted)-1, has) {
			list = append(list, poolOf(skillsIn(set, counted), people))
		}
	}
	for _, s := range skills[len(counted):] {
		list = append(list, poolOf([]string{s}, people))
	}
	slices.SortStableFunc(list, func(a, b pool) int { return cmp.Compare(len(a.skills), len(b.skills)) })
	list = list[:min(len(list), max(maxPools, len(skills)))]
	if !slices.ContainsFunc(list, func(p pool) bool { return len(p.skills) == len(skills) }) {
		list = append(list, poolOf(skills, people))
	}
	return list
}

func skillsIn(set uint, skills []string) []string {
	var list []string
	for k, s := range skills {
		if set>>k&1 != 0 {
			list = append(list, s)
		}
	}
	return list
}

func poolOf(skills []string, people []Person) pool {
	p := pool{skills: skills}
	for _, x := range people {
		if p.has(x) {
			p.people++
		}
	}
	return p
}

// together reports whether the skills of a set hang together by people who have
// several of them.
func together(set uint, has []uint) bool {
	reached := set & -set
	for grown := true; grown; {
		grown = false
		for _, h := range has {
			if h&reached != 0 && h&set&^reached != 0 {
				reached |= h & set
				grown = true
			}
		}
	}
	return reached == set
}

// closed reports whether every skill beyond the set would bring somebody along.
func closed(set, all uint, has []uint) bool {
	brings := uint(0)
	for _, h := range has {
		if h&set == 0 {
			brings |= h
		}
	}
	return all&^set&^brings == 0
}

// attended is how long so many person-hours take those who do them, in paid
// time: the productive share of their hours is what they get done.
func (c crew) attended(hours decimal.Decimal, skill string) decimal.Decimal {
	share, known := c.shares[skill]
	if !known {
		return hours
	}
	return hours.DivRound(share, canonicalPlaces)
}

// crewNeeds are the people that work of a skill takes while it is attended to.
// Where it wants more people at once than have the skill, it takes all of them
// and whoever else the wider pools have. A skill that nobody has is noted, and
// nothing waits for it.
func (n *Network) crewNeeds(skill string, people int) []schedule.Need {
	if len(n.crew.pools) == 0 {
		return nil
	}
	if n.crew.people[skill] == 0 {
		if !slices.Contains(n.Unstaffed, skill) {
			n.Unstaffed = append(n.Unstaffed, skill)
		}
		return nil
	}
	var list []schedule.Need
	for _, p := range n.crew.pools {
		if slices.Contains(p.skills, skill) {
			list = append(list, schedule.Need{Station: n.station(stationKey{true, p.name()}, p.people), Quantity: min(max(people, 1), p.people), Hold: schedule.HoldWorking})
		}
	}
	return list
}
