package job

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/plan"

	"github.com/google/uuid"
)

// Sending is something of an instrument that went to an outside firm for work on it: the keyboard
// to whoever re-covers the keys, hardware to the plater.
type Sending struct {
	ID         uuid.UUID
	Job        uuid.UUID
	Operations []catalogue.Code // the tasks that the firm does
	Firm       uuid.UUID        // a party
	FirmName   string
	What       string // keyboard, pins and hardware, …
	SentOn     domain.Date
	FirstDue   domain.Date // the day on which it was due back at first
	Due        domain.Date // and is now
	Country    string      // code of the country where the firm has it; empty: not said
	Note       string
	End        *SendingEnd // nil: it is out
	RecordedBy uuid.UUID
	RecordedAt time.Time

	// The instrument that it is of, and whose that is now.
	Instrument uuid.UUID
	Owner      instrument.Ownership
	Client     uuid.UUID // the party that owns it; zero: ours, or not said
}

// SendingOutcome is how it ended that something was out.
type SendingOutcome string

// A thing comes back Done, or Undone where the firm hasn't done its work, or has to do it again.
// Lost: it won't come back.
const (
	SendingDone   SendingOutcome = "done"
	SendingUndone SendingOutcome = "undone"
	SendingLost   SendingOutcome = "lost"
)

// SendingEnd is that something that was sent out is back, or won't come back.
type SendingEnd struct {
	Sending    uuid.UUID
	Outcome    SendingOutcome
	On         domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// SendingDay is a new day on which something that is out is due back.
type SendingDay struct {
	Sending    uuid.UUID
	Number     int // from 1
	Was        domain.Date
	Due        domain.Date
	Reason     string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// MaxSentTasks is the most tasks for which something is sent out at once.
const MaxSentTasks = 50

// Send checks something that is sent to a firm for tasks of the job, and completes it. Each task
// must be the work of an outside firm, with nothing out for it yet. A day of sending before the
// acceptance is taken: a job may join with its keyboard out.
func (j Job) Send(s Sending, today domain.Date) (Sending, error) {
	if _, err := j.State.After(CommandBook); err != nil {
		return s, err
	}
	if s.SentOn.IsZero() {
		s.SentOn = today
	}
	var f domain.Faults
	s.check(&f, today)
	j.checkSent(&f, s.Operations)
	if err := f.Err(); err != nil {
		return s, err
	}
	for i, code := range s.Operations {
		at, t := operationAt(i), j.Task(code)
		switch {
		case t.Dropped:
			return s, domain.RefuseAt(domain.Conflict, at, "%s was taken out of the job", code)
		case t.ours():
			return s, domain.RefuseAt(domain.Conflict, at, "%s is done in house: only work of an "+
				"outside firm leaves the shop", code)
		case !t.Open():
			return s, domain.RefuseAt(domain.Conflict, at, "nothing is left to do on %s", code)
		}
		if out := j.sentFor(code); out != nil {
			return s, domain.RefuseAt(domain.Conflict, at, "something is out for %s already: %s", code,
				out.Text())
		}
	}
	s.Job, s.Instrument, s.FirstDue = j.ID, j.Instrument, s.Due
	return s, nil
}

// check notes what is wrong in a sending by itself.
func (s Sending) check(f *domain.Faults, today domain.Date) {
	if strings.TrimSpace(s.What) == "" || utf8.RuneCountInString(s.What) > domain.MaxName {
		f.Add("#/what", "must say what is sent, in at most %d characters", domain.MaxName)
	}
	if s.Firm == uuid.Nil {
		f.Add("#/firm", "must name the firm, which is a party")
	}
	f.CheckHappened("#/sent_on", s.SentOn, today)
	switch ahead := today.DaysUntil(s.Due); {
	case s.Due.IsZero() || s.Due.Compare(s.SentOn) < 0:
		f.Add("#/due_on", "must be %s, the day of sending, or later", s.SentOn)
	case ahead > domain.MaxRestDays:
		f.Add("#/due_on", "must be at most %d days away", domain.MaxRestDays)
	}
	domain.CheckCountry(f, "#/country", s.Country)
	f.CheckLength("#/note", s.Note, domain.MaxText)
}

// checkSent notes a fault unless operations are tasks of the job, each once.
func (j Job) checkSent(f *domain.Faults, operations []catalogue.Code) {
	if n := len(operations); n == 0 || n > MaxSentTasks {
		f.Add("#/operations", "must name from 1 to %d tasks that the firm works on", MaxSentTasks)
		return
	}
	for i, code := range operations {
		switch t := j.Task(code); {
		case t == nil || t.Line == nil:
			f.Add(operationAt(i), "the job has no task %s", code)
		case slices.Contains(operations[:i], code):
			f.Add(operationAt(i), "names %s twice", code)
		}
	}
}

func operationAt(i int) string { return fmt.Sprintf("#/operations/%d", i) }

// sentFor returns what is out for a task; nil: nothing.
func (j Job) sentFor(code catalogue.Code) *Sending {
	for i, s := range j.Sendings {
		if s.End == nil && slices.Contains(s.Operations, code) {
			return &j.Sendings[i]
		}
	}
	return nil
}

// Text says what is out, where, since when and how long. It is stored in plans and bids.
func (s Sending) Text() string {
	text := fmt.Sprintf("%s at %s since %s, due %s", s.What, s.FirmName, s.SentOn, s.FirstDue)
	if n := s.FirstDue.DaysUntil(s.Due); n > 0 {
		text += fmt.Sprintf(", now %s, %s late", s.Due, domain.Span(n))
	} else if n < 0 {
		text += fmt.Sprintf(", now %s", s.Due)
	}
	return text
}

// Expect returns what is out with a new day on which it is due back, from today on, and that day
// with the one before. It returns an Invalid Fault with everything wrong, and a Conflict Fault
// where it isn't out any more.
func (s Sending) Expect(d SendingDay, today domain.Date) (Sending, SendingDay, error) {
	var f domain.Faults
	if n := today.DaysUntil(d.Due); d.Due.IsZero() || n < 0 || n > domain.MaxRestDays {
		f.Add("#/due_on", "must be today, %s, or later, at most %d days away", today, domain.MaxRestDays)
	}
	f.CheckWhy("#/reason", d.Reason, "why it comes back on another day")
	if err := f.Err(); err != nil {
		return s, d, err
	}
	if err := s.stillOut(); err != nil {
		return s, d, err
	}
	if d.Due == s.Due {
		return s, d, domain.RefuseAt(domain.Conflict, "#/due_on", "it is due on %s already", s.Due)
	}
	d.Sending, d.Was = s.ID, s.Due
	s.Due = d.Due
	return s, d, nil
}

// Finish returns the sending with its end. What came back undone, or is lost, says why. Whoever
// comes second is told what was recorded.
func (s Sending) Finish(e SendingEnd, today domain.Date) (Sending, error) {
	if e.On.IsZero() {
		e.On = today
	}
	var f domain.Faults
	f.CheckHappened("#/on", e.On, today)
	if e.On.Compare(s.SentOn) < 0 {
		f.Add("#/on", "must be %s, the day of sending, or later, not %s", s.SentOn, e.On)
	}
	switch e.Outcome {
	case SendingDone:
		f.CheckLength("#/note", e.Note, domain.MaxText)
	case SendingUndone:
		f.CheckWhy("#/note", e.Note, "what is undone")
	case SendingLost:
		f.CheckWhy("#/note", e.Note, "how it was lost")
	default:
		f.Add("#/outcome", "must be done, undone or lost, not %q", e.Outcome)
	}
	if err := f.Err(); err != nil {
		return s, err
	}
	if err := s.stillOut(); err != nil {
		return s, err
	}
	e.Sending, s.End = s.ID, &e
	return s, nil
}

// stillOut returns a Conflict Fault where the thing isn't out any more.
func (s Sending) stillOut() error {
	switch {
	case s.End == nil:
		return nil
	case s.End.Outcome == SendingLost:
		return domain.Refuse(domain.Conflict, "it isn't out any more: recorded as lost on %s", s.End.On)
	}
	return domain.Refuse(domain.Conflict, "it isn't out any more: it came back on %s, its work %s",
		s.End.On, s.End.Outcome)
}

// Out returns what of the instrument is out for the job, in words.
func (j Job) Out() []string {
	var list []string
	for _, s := range j.Sendings {
		if s.End == nil {
			list = append(list, s.Text())
		}
	}
	return list
}

// NothingOut returns a Conflict Fault that names everything that is out for one of some jobs.
func NothingOut(jobs []Job, refusal string) error {
	out := domain.Refuse(domain.Conflict, "%s: something of the instrument is out at a firm", refusal)
	for _, j := range jobs {
		out.Chain = append(out.Chain, j.Out()...)
	}
	if out.Chain == nil {
		return nil
	}
	return out
}

// backFrom returns when the work of a task that a firm does came back, unless the task was sent or
// taken up again since. That is the end of the task, whether or not somebody has finished it since.
func (j Job) backFrom(t Task) (Booking, bool) {
	if t.ours() || t.Dropped {
		return Booking{}, false
	}
	var last *SendingEnd // of the newest; the next can't be sent before it has ended
	for _, s := range j.Sendings {
		if slices.Contains(s.Operations, t.Operation) {
			last = s.End
		}
	}
	switch {
	case last == nil || last.Outcome != SendingDone:
	case t.Again != nil && t.Again.At.After(last.RecordedAt):
	case t.FinishedAt == nil && t.LastEntry != nil && t.LastEntry.At.After(last.RecordedAt):
	default:
		return Booking{On: last.On, At: last.RecordedAt}, true
	}
	return Booking{}, false
}

// SentOut returns the tasks whose things are out, with when those can be worked with again: on the
// morning after the day on which they are due. What is overdue is counted on for tomorrow (both
// common practice, no source).
func SentOut(j Job, today domain.Date, zone *time.Location) []plan.SentWork {
	var list []plan.SentWork
	for _, s := range j.Sendings {
		if s.End != nil {
			continue
		}
		day, why := s.Due, s.Text()
		if late := s.Due.DaysUntil(today); late > 0 {
			day = today.AddDays(1)
			why += fmt.Sprintf(", %s overdue; counted on for %s", domain.Span(late), day)
		}
		for _, code := range s.Operations {
			list = append(list, plan.SentWork{
				Operation: code, Since: s.SentOn.In(zone), Until: day.AddDays(1).In(zone), Why: why,
			})
		}
	}
	return list
}
