package plan

import (
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"
)

// SentWork is an operation whose things are out at a firm: the keyboard, the hardware.
type SentWork struct {
	Operation catalogue.Code `json:"operation"`
	Since     time.Time      `json:"since"` // they were sent
	Until     time.Time      `json:"until"` // they can be worked with again
	Why       string         `json:"why"`   // what is out, where and how long
}

// sentOut returns how work on an operation is out at a firm; nil where nothing is.
func (b *networkBuilder) sentOut(code catalogue.Code) *SentWork {
	i := slices.IndexFunc(b.job.sent, func(s SentWork) bool { return s.Operation == code })
	if l := b.lines[code]; i < 0 || l == nil || l.Making != catalogue.Outside {
		return nil
	}
	return &b.job.sent[i]
}

// waitForSent ends work that is out at a firm when that is due back, no sooner and no later: it has
// left, whatever should have been done before. Until then the parts that it is done on are away,
// and the instrument too if it is done in its body.
func (b *networkBuilder) waitForSent(code catalogue.Code) {
	s := b.sentOut(code)
	b.release(code, s.Until, "out: "+s.Why)
	name := b.Activities[b.chains[code].first].Name + " (" + s.Why + ")"
	for _, need := range b.needs(b.c.Operation(code), b.lines[code]) {
		if need.Hold == schedule.HoldThroughTail && s.Until.After(s.Since) {
			b.reserve(name, need, s.Since, s.Until)
		}
	}
}
