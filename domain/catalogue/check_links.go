package catalogue

func (k *checking) checkLinks() {
	for i, l := range k.Links {
		at := place{linksTable, i}
		k.resolve(at, "from", l.From)
		k.resolve(at, "to", l.To)
		switch l.Type {
		case FinishStart, StartStart, FinishFinish, StartFinish:
		default:
			k.say(at, "%q is no type of link", l.Type)
		}
		if l.LagHours != nil && l.LagHours.IsNegative() {
			k.say(at, "a lag is not negative")
		}
		if l.Reason == "" {
			k.say(at, "has no reason")
		}
	}
	k.checkRounds()
}

// checkRounds looks for rounds of hard links by depth-first search: O(links).
// Each link that closes a round is blamed once, with the whole round.
func (k *checking) checkRounds() {
	const (
		fresh = iota
		open
		done
	)
	state := map[Code]int{}
	out := map[Code][]int{}
	for i, l := range k.Links {
		if l.Hard {
			out[l.From] = append(out[l.From], i)
		}
	}
	var path []Code
	var visit func(Code)
	visit = func(code Code) {
		state[code] = open
		path = append(path, code)
		for _, i := range out[code] {
			switch to := k.Links[i].To; state[to] {
			case fresh:
				visit(to)
			case open:
				k.blame(place{linksTable, i}, &CycleError{Path: roundFrom(path, to)})
			}
		}
		path = path[:len(path)-1]
		state[code] = done
	}
	for _, l := range k.Links {
		if state[l.From] == fresh {
			visit(l.From)
		}
	}
}

// roundFrom is the part of a path from a code to its end, and the code again.
func roundFrom(path []Code, code Code) []Code {
	for i, c := range path {
		if c == code {
			return append(append([]Code{}, path[i:]...), code)
		}
	}
	return []Code{code, code}
}
