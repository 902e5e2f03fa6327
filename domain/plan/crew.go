package plan

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// crew is the people of a workshop as a plan counts them. A plan doesn't say who does which task: a
// task takes so many people from each pool that its skill belongs to.
//
// A pool is everybody who has at least one of a set of skills. With one pool for each skill and one
// for each set of skills that people share, nobody is booked twice at any time: demands can be met
// exactly when no set of skills is asked for more people than have one of them (Hall 1935; from
// memory). That one person stays with a task to its end follows only where people have one skill
// each.
type crew struct {
	pools  []pool
	people map[string]int             // by skill
	shares map[string]decimal.Decimal // by skill, the mean productive share of those who have it
}

// pool is the people who have at least one of some skills.
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

// has reports whether a person belongs to the pool.
func (p pool) has(x domain.Person) bool {
	return slices.ContainsFunc(x.Skills, func(s string) bool { return slices.Contains(p.skills, s) })
}

const (
	// maxConnected is how many connected skills, in the order of their names, have a pool for each
	// of their connected sets. Further skills have one pool each, and one with all the others.
	maxConnected = 12
	// maxPools bounds the pools of connected skills; the smallest sets are kept.
	maxPools = 40
)

func crewOf(people []domain.Person) crew {
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
		n := decimal.NewFromInt(int64(c.people[s]))
		c.shares[s] = c.shares[s].DivRound(n, domain.DecimalPlaces)
	}
	for _, group := range connectedSkills(skills, people) {
		c.pools = append(c.pools, poolsOf(group, people)...)
	}
	return c
}

// connectedSkills groups skills that are connected by people who have several.
func connectedSkills(skills []string, people []domain.Person) [][]string {
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

// poolsOf returns a pool for each set of skills that must be counted: the connected and complete
// ones. They bound the demand on all other sets.
func poolsOf(skills []string, people []domain.Person) []pool {
	counted := skills[:min(len(skills), maxConnected)]
	has := make([]uint, len(people)) // the skills of each person as a set of bits
	for i, p := range people {
		for k, s := range counted {
			if slices.Contains(p.Skills, s) {
				has[i] |= 1 << k
			}
		}
	}
	var list []pool
	for set := uint(1); set < 1<<len(counted); set++ {
		if bits.OnesCount(set) == 1 || connected(set, has) &&
			complete(set, 1<<len(counted)-1, has) {
			list = append(list, poolOf(skillsIn(set, counted), people))
		}
	}
	for _, s := range skills[len(counted):] {
		list = append(list, poolOf([]string{s}, people))
	}
	slices.SortStableFunc(list, func(a, b pool) int {
		return cmp.Compare(len(a.skills), len(b.skills))
	})
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

func poolOf(skills []string, people []domain.Person) pool {
	p := pool{skills: skills}
	for _, x := range people {
		if p.has(x) {
			p.people++
		}
	}
	return p
}

// connected reports whether the skills of a set are connected by people who have several of them.
func connected(set uint, has []uint) bool {
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

// complete reports whether adding any other skill to the set would add a person to its pool.
func complete(set, all uint, has []uint) bool {
	adds := uint(0)
	for _, h := range has {
		if h&set == 0 {
			adds |= h
		}
	}
	return all&^set&^adds == 0
}

// paidHours converts person-hours of work to the paid time that they take, by the productive share
// of those who have the skill.
func (c crew) paidHours(hours decimal.Decimal, skill string) decimal.Decimal {
	share, known := c.shares[skill]
	if !known {
		return hours
	}
	return hours.DivRound(share, domain.DecimalPlaces)
}

// crewNeeds returns the people that work of a skill takes while it is attended to. Where it asks
// for more people at once than have the skill, it takes all of them and whoever else the wider
// pools have. A skill that nobody has is noted in Unstaffed, and no task waits for it.
func (n *Network) crewNeeds(skill string, people int) []schedule.Need {
	if n.crew.people[skill] == 0 {
		if !slices.Contains(n.Unstaffed, skill) {
			n.Unstaffed = append(n.Unstaffed, skill)
		}
		return nil
	}
	var list []schedule.Need
	for _, p := range n.crew.pools {
		if slices.Contains(p.skills, skill) {
			list = append(list, schedule.Need{
				Station:  n.stationFor(stationKey{true, p.name()}, p.people),
				Quantity: min(max(people, 1), p.people),
				Hold:     schedule.HoldWorking,
			})
		}
	}
	return list
}
