package schedule

import "math"

// mixed is the state of a station that facts need in several at once. It suits nothing else.
const mixed int32 = -1

// checkStates refuses a station of which only some uses name a state.
func (p *Problem) checkStates() error {
	const (
		unused = iota
		plain
		stated
	)
	uses := make([]int, len(p.Stations))
	agrees := func(station, state int) bool {
		kind := plain
		if state != 0 {
			kind = stated
		}
		if uses[station] == unused {
			uses[station] = kind
		}
		return uses[station] == kind
	}
	for i := range p.Network.activities {
		for _, d := range p.Network.activities[i].Needs {
			if !agrees(d.Station, d.State) {
				return refuse(p.Network.activities[i].Name, "needs",
					"must name a state of %s like all others, or none", p.Stations[d.Station].Name)
			}
		}
	}
	for _, r := range p.Reservations {
		if r.State < 0 || r.State > math.MaxInt32 || !agrees(r.Station, r.State) {
			return refuse("reservation "+r.Name, "state",
				"must be one of %s like all others, or 0", p.Stations[r.Station].Name)
		}
	}
	return nil
}

// stated reports for each station whether its uses name states.
func (p *Problem) stated() []bool {
	list := make([]bool, len(p.Stations))
	for i := range p.Network.activities {
		for _, d := range p.Network.activities[i].Needs {
			list[d.Station] = list[d.Station] || d.State != 0
		}
	}
	return list
}
