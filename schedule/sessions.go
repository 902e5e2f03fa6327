package schedule

import "fmt"

// maxSessions bounds one split.
const maxSessions = 1000

// Sessions splits an activity into n sessions with at least gap of elapsed time between the end of attended work in one and the start of
// the next (shellac bodying, chipping up, tuning passes). They are named "name 1/n" to "name n/n"; a single session keeps the name. Work
// is shared as evenly as whole ticks allow, the longer sessions first. The first session carries Release, FixedStart and UnderWay, the last
// carries Tail and Deadline, and all carry Needs and Order. Link what comes before to the first and what comes after to the last. It returns a
// *ValueError when n is not from 1 to 1000, the work doesn't give every session a tick, or the gap is negative.
func Sessions(whole Activity, n int, gap Minutes) ([]Activity, []Link, error) {
	switch {
	case n < 1 || n > maxSessions:
		return nil, nil, &ValueError{whole.Name, "sessions", fmt.Sprintf("%d, want 1 to %d", n, maxSessions)}
	case n > 1 && whole.Work < Ticks(n):
		return nil, nil, &ValueError{whole.Name, "sessions", fmt.Sprintf("%d of them need at least as many ticks of work, got %d", n, whole.Work)}
	case gap < 0:
		return nil, nil, &ValueError{whole.Name, "gap", "negative"}
	case n == 1:
		return []Activity{whole}, nil, nil
	}
	sessions, links := make([]Activity, n), make([]Link, n-1)
	each, longer := whole.Work/Ticks(n), int(whole.Work%Ticks(n))
	for i := range sessions {
		s := &sessions[i]
		*s = Activity{Name: fmt.Sprintf("%s %d/%d", whole.Name, i+1, n), Work: each, Needs: whole.Needs, Order: whole.Order}
		if i < longer {
			s.Work++
		}
		if i > 0 {
			links[i-1] = Link{From: sessions[i-1].Name, To: s.Name, Lag: ElapsedLag(gap)}
		}
	}
	first, last := &sessions[0], &sessions[n-1]
	first.Release, first.FixedStart, first.UnderWay = whole.Release, whole.FixedStart, whole.UnderWay
	last.Tail, last.Deadline = whole.Tail, whole.Deadline
	return sessions, links, nil
}
