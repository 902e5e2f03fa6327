package domain

// JobState is how a job stands.
type JobState string

// A job is Open while work on it goes on, Held while it rests as a whole (as a
// client's does while an answer is awaited), and Closed for good.
const (
	JobOpen   JobState = "open"
	JobHeld   JobState = "held"
	JobClosed JobState = "closed"
)

// JobMove is something done to a job that its state may forbid.
type JobMove string

// The moves.
const (
	BookWork   JobMove = "book work on it" // progress; also for the days before it was held
	ChangeJob  JobMove = "change it"       // its tasks, their suspensions, what was promised of it
	HoldJob    JobMove = "put it on hold"
	ReleaseJob JobMove = "take it up again"
	CloseJob   JobMove = "close it"
)

// jobMoves is the whole machine: what is not listed is refused.
var jobMoves = map[JobState]map[JobMove]JobState{
	JobOpen:   {BookWork: JobOpen, ChangeJob: JobOpen, HoldJob: JobHeld, CloseJob: JobClosed},
	JobHeld:   {BookWork: JobHeld, ChangeJob: JobHeld, ReleaseJob: JobOpen, CloseJob: JobClosed},
	JobClosed: {},
}

// After is the state after a move; a Conflict Fault where the state forbids it.
func (s JobState) After(m JobMove) (JobState, error) {
	if to, ok := jobMoves[s][m]; ok {
		return to, nil
	}
	switch s {
	case JobClosed:
		return s, Refuse(Conflict, "the job is closed: nothing about it changes any more")
	case JobHeld:
		return s, Refuse(Conflict, "the job is on hold already")
	case JobOpen:
		return s, Refuse(Conflict, "the job is not on hold")
	}
	return s, Refuse(Conflict, "a job that is %q cannot be told to %s", s, m)
}

// JobOutcome is how a closed job ended.
type JobOutcome string

// Finished: all its tasks are. Abandoned: the rest is left undone. PartedOut:
// the instrument was taken apart for its parts.
const (
	JobFinished  JobOutcome = "finished"
	JobAbandoned JobOutcome = "abandoned"
	JobPartedOut JobOutcome = "parted_out"
)

// StateAfter is where an instrument stands when its last job has ended so.
func StateAfter(o JobOutcome) State {
	switch o {
	case JobFinished:
		return Ready
	case JobPartedOut:
		return Gone
	case JobAbandoned:
	}
	return Waiting
}
