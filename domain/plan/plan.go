package plan

import (
	"encoding/json"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Inputs is everything that a plan of the whole shop is computed from. Stored as a document, it
// gives the same plan again, unless the search was cut off by the clock: how far it gets in a given
// time isn't a function of the inputs.
type Inputs struct {
	Engine    string           `json:"engine"`
	At        time.Time        `json:"at"`
	Schedules int              `json:"schedules"` // the effort to spend
	Seed      uint64           `json:"seed"`
	Seconds   int              `json:"seconds,omitempty"` // longest time to search; 0: no limit
	Workshop  domain.Workshop  `json:"workshop"`
	Stations  []domain.Station `json:"stations"`
	People    []domain.Person  `json:"people"`
	Absences  []domain.Absence `json:"absences,omitempty"`
	Jobs      []JobInput       `json:"jobs"` // in the order of the queue
}

// JobInput is what is left of a job, and what waiting for it costs.
type JobInput struct {
	Job       uuid.UUID  `json:"job"`
	Catalogue string     `json:"catalogue"` // SHA-256 of the catalogue's document, in hex
	Left      QueuedWork `json:"left"`
	// TiedUp is the money in the job when it is ready, as expected at the acceptance.
	TiedUp decimal.Decimal `json:"tied_up"`
	Due    domain.Date     `json:"due,omitzero"` // the earliest promise that stands
}

// Result is a plan of all jobs together.
type Result struct {
	Jobs  []JobDate  `json:"jobs"`
	Tasks []Task     `json:"tasks"`
	Links []TaskLink `json:"links"`
	Loads []Load     `json:"loads"`
	// Objective is what waiting costs in this plan, and Bound a lower bound on what it costs in any
	// plan. The difference is the most that a better plan could save.
	Objective money.Amount `json:"objective"`
	Bound     money.Amount `json:"bound"`
	Proven    bool         `json:"proven"` // no plan costs less
	Schedules int          `json:"schedules"`
	Unlimited []string     `json:"unlimited,omitempty"` // stations that the workshop doesn't list
	Unstaffed []string     `json:"unstaffed,omitempty"` // skills that nobody of the crew has
}

// JobDate is when a job is ready in the plan.
type JobDate struct {
	Job        uuid.UUID   `json:"job"`
	Instrument string      `json:"instrument"`
	Ready      time.Time   `json:"ready"`
	Due        domain.Date `json:"due,omitzero"`
}

// Task is one sitting of an operation in the plan.
type Task struct {
	Job        uuid.UUID       `json:"job"`
	Instrument string          `json:"instrument"`
	Step       Step            `json:"step"`
	Holds      []Hold          `json:"holds"`
	Slack      decimal.Decimal `json:"slack_hours"`         // the step's free float, in working hours
	UnderWay   bool            `json:"under_way,omitempty"` // begun, so that it goes on first
	// After is the index of the task that this one waited for; -1 where it waited for none. Why
	// says so in the words of the trade.
	After int    `json:"after"`
	Why   string `json:"why"`
}

// Hold is what a task occupies, and until when.
type Hold struct {
	Station  string    `json:"station"`
	Quantity int       `json:"quantity"`
	Until    time.Time `json:"until"`
	// Working means only while the task is worked on, as people are.
	Working bool `json:"working,omitempty"`
}

// TaskLink is a link between two tasks by their indexes.
type TaskLink struct {
	From int    `json:"from"`
	To   int    `json:"to"`
	Text string `json:"says"` // why the one waits for the other
}

// Load is the demand for a station, or for the people with a skill, in a week, in working hours.
type Load struct {
	Kind string          `json:"kind"` // station or skill
	Name string          `json:"name"`
	Week domain.Date     `json:"week"` // its Monday
	Held decimal.Decimal `json:"held_hours"`
	Open decimal.Decimal `json:"open_hours"`
}

// Canonical returns the inputs as the document that is stored.
func (in Inputs) Canonical() []byte { return domain.CanonicalJSON(in) }

// Canonical returns the plan as the document that is stored.
func (r Result) Canonical() []byte { return domain.CanonicalJSON(r) }

// ParseInputs reads what Inputs.Canonical wrote.
func ParseInputs(b []byte) (Inputs, error) {
	var in Inputs
	err := json.Unmarshal(b, &in)
	return in, err
}

// ParseResult reads what Result.Canonical wrote.
func ParseResult(b []byte) (Result, error) {
	var r Result
	err := json.Unmarshal(b, &r)
	return r, err
}

// Why returns the chain that drives the last sitting of a task, first step first: what each step
// waited for, back to now. It returns a NotFound Fault where the plan has no such task.
func (r Result) Why(job uuid.UUID, operation catalogue.Code) ([]PathStep, error) {
	last := -1
	for i, t := range r.Tasks {
		if t.Job == job && t.Step.Operation == operation {
			last = i
		}
	}
	if last < 0 {
		return nil, domain.Refuse(domain.NotFound, "the plan has no task %s of that job", operation)
	}
	var path []PathStep
	seen := map[int]bool{}
	for i := last; i >= 0 && !seen[i]; i = r.Tasks[i].After {
		seen[i] = true
		t := r.Tasks[i]
		path = append(path, PathStep{
			Instrument: t.Instrument, Operation: t.Step.Operation, Name: t.Step.Name,
			Start: t.Step.Start, Why: t.Why,
		})
	}
	slices.Reverse(path)
	return path, nil
}
