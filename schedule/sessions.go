package schedule

import "fmt"

// maxSessions bounds the sessions of one activity.
const maxSessions = 1000

// Sessions splits an activity into n sessions with at least gap of elapsed time between the end of
// attended work in one and the start of the next (shellac bodying, chipping up, tuning passes).
// They are named "name 1/n" to "name n/n"; a single session keeps the name. Work is shared as
// evenly as whole ticks allow, the longer sessions first. The first session carries Release,
// FixedStart and UnderWay, the last carries Tail and Deadline, and all carry Needs and Order. Link
// predecessors to the first and successors to the last. It returns a *ValueError if n isn't from 1
// to 1000, the work doesn't give every session a tick, or the gap is negative.
func Sessions(whole Activity, n int, gap Minutes) ([]Activity, []Link, error) {
	switch {
	case n < 1 || n > maxSessions:
		return nil, nil, refuse(whole.Name, "sessions", "must be from 1 to %d, not %d",
			maxSessions, n)
	case n > 1 && whole.Work < Ticks(n):
		return nil, nil, refuse(whole.Name, "sessions",
			"must have a tick of work each, not %d for %d", whole.Work, n)
	case gap < 0:
		return nil, nil, refuse(whole.Name, "gap", "must not be negative")
	case n == 1:
		return []Activity{whole}, nil, nil
	}
	sessions, links := make([]Activity, n), make([]Link, n-1)
	each, longer := whole.Work/Ticks(n), int(whole.Work%Ticks(n))
	for i := range sessions {
		s := &sessions[i]
		*s = Activity{
			Name: fmt.Sprintf("%s %d/%d", whole.Name, i+1, n), Work: each, Needs: whole.Needs,
			Order: whole.Order,
		}
		if i < longer {
			s.Work++
		}
		if i > 0 {
			links[i-1] = Link{From: sessions[i-1].Name, To: s.Name, Lag: ElapsedLag(gap)}
		}
	}
	first, last := &sessions[0], &sessions[n-1]
	first.Release, first.FixedStart, first.UnderWay = whole.Release, whole.FixedStart,
		whole.UnderWay
	last.Tail, last.Deadline = whole.Tail, whole.Deadline
	return sessions, links, nil
}
