package job

import (
	"bentside/domain"
	"bentside/domain/instrument"
)

// State is how a job stands.
type State string

// A job is Open while work on it goes on, Held while it is suspended as a whole (as a client's is
// until an answer comes), and Closed for good.
const (
	Open   State = "open"
	Held   State = "held"
	Closed State = "closed"
)

// Command is something done to a job that its state may forbid. Its text completes "the job can't
// be told to …".
type Command string

// The moves.
const (
	CommandBook    Command = "book work on it" // progress, also for days before it was held
	CommandChange  Command = "change it"       // its tasks, their suspensions, its promises
	CommandHold    Command = "put it on hold"
	CommandRelease Command = "take it up again"
	CommandClose   Command = "close it"
)

// transitions is the whole state machine: what it doesn't list is refused.
var transitions = map[State]map[Command]State{
	Open:   {CommandBook: Open, CommandChange: Open, CommandHold: Held, CommandClose: Closed},
	Held:   {CommandBook: Held, CommandChange: Held, CommandRelease: Open, CommandClose: Closed},
	Closed: {},
}

// After returns the state after a move, or a Conflict Fault where the state forbids it.
func (s State) After(m Command) (State, error) {
	if to, ok := transitions[s][m]; ok {
		return to, nil
	}
	switch s {
	case Closed:
		return s, domain.Refuse(domain.Conflict, "the job is closed and can no longer be changed")
	case Held:
		return s, domain.Refuse(domain.Conflict, "the job is on hold already")
	case Open:
		return s, domain.Refuse(domain.Conflict, "the job is not on hold")
	}
	return s, domain.Refuse(domain.Conflict, "the job is %q: nobody can %s", s, m)
}

// Outcome is how a closed job ended.
type Outcome string

// Finished: all its tasks are finished. Abandoned: the rest is left undone. PartedOut: the
// instrument was taken apart for its parts.
const (
	Finished  Outcome = "finished"
	Abandoned Outcome = "abandoned"
	PartedOut Outcome = "parted_out"
)

// Close ends a job, on no earlier day than worked, the last that hours were booked for (zero: none
// were). Nothing of the instrument may be out at a firm. Finished requires that every task is
// finished; any other outcome requires a reason.
func (j Job) Close(as Outcome, on, worked, today domain.Date, why string) (Job, error) {
	state, err := j.State.After(CommandClose)
	if err != nil {
		return j, err
	}
	var f domain.Faults
	checkPast(&f, "#/closed_on", on, today)
	if last := j.lastDay(worked); on.DaysUntil(last) > 0 {
		f.Add("#/closed_on",
			"must be %s, the last day on which the job was accepted or worked on, or something came back, or later", last)
	}
	switch as {
	case Finished:
	case Abandoned, PartedOut:
		if why == "" {
			f.Add("#/why", "must say why the rest is left undone")
		}
	default:
		f.Add("#/outcome", "must be finished, abandoned or parted_out, not %q", as)
	}
	if err := f.Err(); err != nil {
		return j, err
	}
	if err := j.nothingLeft(as); err != nil {
		return j, err
	}
	j.State, j.Outcome, j.ClosedOn, j.Suspensions = state, as, on, nil
	return j, nil
}

// nothingLeft returns a Conflict Fault where something of the instrument is out at a firm, or where
// a task of a job that ends as finished isn't.
func (j Job) nothingLeft(as Outcome) error {
	if as != Finished {
		return NothingOut([]Job{j}, "the job can't be closed")
	}
	unfinished := domain.Refuse(domain.Conflict, "the job is not finished")
	for _, t := range j.Tasks {
		if t.Open() {
			unfinished.Chain = append(unfinished.Chain, string(t.Operation)+" is not finished")
		}
	}
	for _, out := range j.Out() {
		unfinished.Chain = append(unfinished.Chain, "out: "+out)
	}
	if unfinished.Chain != nil {
		return unfinished
	}
	return nil
}

// lastDay returns the last day that something was said or booked for, or came back on, or the day
// of the acceptance.
func (j Job) lastDay(worked domain.Date) domain.Date {
	last := j.AcceptedOn
	if !worked.IsZero() && last.DaysUntil(worked) > 0 {
		last = worked
	}
	for _, t := range j.Tasks {
		if t.LastEntry != nil && last.DaysUntil(t.LastEntry.On) > 0 {
			last = t.LastEntry.On
		}
	}
	for _, s := range j.Sendings {
		if s.End != nil && last.DaysUntil(s.End.On) > 0 {
			last = s.End.On
		}
	}
	return last
}

// LeavesInstrument returns the state of the instrument of a job that has ended, given how it was
// until then and whether another job is open on it. One that is sold stays so until it is handed
// over; it can't be parted out, which is a Conflict Fault. One of ours is gone only once its parts
// are in stock (package sale); a client's goes with the job.
func (j Job) LeavesInstrument(i instrument.Instrument, othersOpen bool) (instrument.State, error) {
	was := i.State
	switch {
	case was == instrument.Sold && j.Outcome == PartedOut:
		return was, domain.RefuseAt(domain.Conflict, "#/outcome",
			"the instrument is sold and can't be parted out: record first that its sale was undone")
	case was == instrument.Sold, othersOpen:
		return was, nil
	case j.Outcome == Finished:
		return instrument.Ready, nil
	case j.Outcome == PartedOut && i.Owner == instrument.Client:
		return instrument.Gone, nil
	}
	return instrument.Waiting, nil
}

// StateInWork returns the state of an instrument on which a job was accepted. What is worked on
// between sale and hand-over stays sold.
func StateInWork(was instrument.State) instrument.State {
	if was == instrument.Sold {
		return was
	}
	return instrument.InWork
}
