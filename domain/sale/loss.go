package sale

import (
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// LossKind is how an instrument of ours is gone without a sale.
type LossKind string

// The kinds of loss.
const (
	Missing   LossKind = "missing"
	Stolen    LossKind = "stolen"
	Destroyed LossKind = "destroyed" // by fire, water, a fall
	Scrapped  LossKind = "scrapped"  // given up as not worth its work
)

// LossKinds lists every kind.
var LossKinds = []LossKind{Missing, Stolen, Destroyed, Scrapped}

// Loss is that an instrument of ours is gone without a sale: all that it stands at is an expense
// (IAS 2, paragraph 34), and so is what is posted later. What an insurer pays isn't known here.
type Loss struct {
	Instrument uuid.UUID
	Kind       LossKind
	Carrying   money.Amount // what it stood at when that was recorded
	On         domain.Date
	PostedOn   domain.Date
	Note       string
	// Parts are what it gave where it was parted out. What they cost isn't an expense.
	Parts      []RecoveredPart
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Write checks a loss and completes it. File is that of the instrument. The instrument is gone
// afterwards; its jobs are closed before, and nobody is promised it.
func (l Loss) Write(s Stands, f File) (Loss, error) {
	var faults domain.Faults
	l = l.begin(&faults, s)
	if !slices.Contains(LossKinds, l.Kind) {
		faults.Add("#/how", "must be one of %v, not %q", LossKinds, l.Kind)
	}
	if err := faults.Err(); err != nil {
		return l, err
	}
	if err := l.mayEnd(s, "the instrument can't be written off"); err != nil {
		return l, err
	}
	l.Carrying = f.Unsold()
	return l, nil
}

// begin completes the days of a loss, and notes what is wrong in what every kind of loss says.
func (l Loss) begin(faults *domain.Faults, s Stands) Loss {
	l.Instrument = s.Instrument.ID
	if l.On.IsZero() {
		l.On = s.Today
	}
	l.PostedOn = s.postingDay(l.On)
	faults.CheckHappened("#/on", l.On, s.Today)
	checkNotBefore(faults, l.On, s.lastReturn(), "its return")
	checkNotBefore(faults, l.On, lastValuation(s.Valuations), "the last valuation")
	s.checkOurs(faults, l.On)
	s.checkJobsEnded(faults, l.On)
	checkWhy(faults, "#/why", l.Note, "what happened")
	return l
}

// mayEnd returns a Conflict Fault where an instrument isn't stock of ours, is promised to somebody
// or has a job open.
func (l Loss) mayEnd(s Stands, refused string) error {
	if err := s.mayWriteDown(refused); err != nil {
		return err
	}
	if err := s.nothingHeld(refused); err != nil {
		return err
	}
	return s.noOpenJob(refused, "Close it first")
}

// mayWriteDown returns a Conflict Fault unless the instrument is stock of ours.
func (s Stands) mayWriteDown(refusal string) error {
	if s.Instrument.Owner == instrument.Client && Current(s.Sales) == nil {
		return domain.Refuse(domain.Conflict, "%s: it is its owner's, and no stock of ours", refusal)
	}
	return s.mayDeal(refusal)
}
