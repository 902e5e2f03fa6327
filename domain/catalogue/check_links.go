package catalogue

func (k *checking) checkLinks() {
	for i, l := range k.Links {
		at := rowPosition{linksTable, i}
		k.resolve(at, "from", l.From)
		k.resolve(at, "to", l.To)
		switch l.Type {
		case FinishStart, StartStart, FinishFinish, StartFinish:
		default:
			k.report(at, "unknown type of link %q; use FS, SS, FF or SF", l.Type)
		}
		if l.LagHours != nil && l.LagHours.IsNegative() {
			k.report(at, "a lag must not be negative")
		}
		if l.Lapses && !l.Hard {
			k.report(at, "only a hard link can lapse; a soft one binds nothing")
		}
		if l.Reason == "" {
			k.report(at, "must have a reason")
		}
		k.checkStandingIfGiven(at, l.Standing)
	}
	k.checkCycles()
}

// checkCycles finds cycles of hard links by depth-first search: O(links). Each link that closes a
// cycle is reported once, with the whole cycle.
func (k *checking) checkCycles() {
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
				k.reportErr(rowPosition{linksTable, i}, &CycleError{Path: cycleFrom(path, to)})
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

// cycleFrom returns the part of a path from a code to its end, and the code again.
func cycleFrom(path []Code, code Code) []Code {
	for i, c := range path {
		if c == code {
			return append(append([]Code{}, path[i:]...), code)
		}
	}
	return []Code{code, code}
}
