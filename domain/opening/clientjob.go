package opening

import (
	"bentside/domain/cost"
	"bentside/domain/form"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// ClientJob is what a job on a client's instrument has cost and what was billed for it. The job is
// here already.
type ClientJob struct {
	Place
	id      string
	figures map[string]*decimal.Decimal

	// What checking adds.
	Job     uuid.UUID
	Known   KnownJob
	Amounts map[string]money.Amount
}

// KnownJob is what the service knows of a job.
type KnownJob struct {
	Instrument uuid.UUID
	Clients    bool // on a client's instrument
	Open       bool
	Costed     bool // something of before the opening was posted on it
}

const billed = "billed"

var (
	clientJobAmounts = []string{"parts", "labour", "overhead", "outside_work", billed}
	clientJobColumns = columns("job parts labour overhead outside_work billed")
)

func (b *Books) clientJob(r form.Row) {
	j := ClientJob{
		Place: Place{ClientJobsFile, r.Line}, id: r.Text("job"), figures: map[string]*decimal.Decimal{},
	}
	for _, c := range clientJobAmounts {
		j.figures[c] = r.Figure(c)
	}
	b.ClientJobs = append(b.ClientJobs, j)
}

// JobIDs returns the ids of the jobs that the rows name.
func (b *Books) JobIDs() []uuid.UUID {
	var ids []uuid.UUID
	add := func(text string) {
		if id, err := uuid.Parse(text); err == nil {
			ids = append(ids, id)
		}
	}
	for _, j := range b.ClientJobs {
		add(j.id)
	}
	for _, o := range b.Orders {
		for _, r := range o.rows {
			add(r.job)
		}
	}
	return ids
}

// checkClientJobs checks all clients' jobs.
func (b *Books) checkClientJobs(s Setting) error {
	first := map[uuid.UUID]int{}
	for i := range b.ClientJobs {
		j := &b.ClientJobs[i]
		id, err := uuid.Parse(j.id)
		known, there := s.Jobs[id]
		line, twice := first[id]
		switch {
		case err != nil || !there:
			b.wrong(j.Place, "job", "must be the id of a job, not %q: take the work over first", j.id)
		case !known.Clients:
			b.wrong(j.Place, "job", "must be on a client's piano; what one of our own has cost is in %s",
				PianosFile)
		case !known.Open:
			b.wrong(j.Place, "job", "must be open: the job is closed")
		case known.Costed:
			b.wrong(j.Place, "job", "must be a job without costs of before the opening: what it had "+
				"cost by then is recorded here already")
		case twice:
			b.wrong(j.Place, "job", "must be different in each row: line %d has it too", line)
		}
		first[id] = j.Line
		j.Job, j.Known, j.Amounts = id, known, map[string]money.Amount{}
		for _, c := range clientJobAmounts {
			j.Amounts[c] = b.amount(j.Place, c, j.figures[c], s.Currency)
		}
	}
	return nil
}

// Document returns what a job has cost, with its lines; none where that is nothing.
func (j ClientJob) Document(s Setting, id, by uuid.UUID) (cost.Document, []cost.Line) {
	return balance(s, id, j.Known.Instrument, j.Job, by, workShares(j.Amounts))
}

// Row returns what the row became, given what the job has cost.
func (j ClientJob) Row(s Setting, spent money.Amount) Row {
	return Row{
		Place: j.Place, Kind: AClientJob, Record: j.Job, On: s.Balances(), Value: spent,
		Billed: j.Amounts[billed],
	}
}
