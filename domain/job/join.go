package job

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Join is the work that a workshop brings with it when it joins: its pianos in pieces, in the order
// of its queue.
type Join struct {
	JoinedOn domain.Date
	Pianos   []JoiningPiano
}

// JoiningPiano is an instrument whose work is under way, as the old records have it. Empty and nil
// fields are not known.
type JoiningPiano struct {
	Line          int    // of the file that it was read from; 0: none
	Ref           string // how its tasks refer to it in the file
	Instrument    instrument.Instrument
	Client        string // the client's name
	Depth         catalogue.Depth
	AcceptedOn    domain.Date
	OriginalPrice *decimal.Decimal
	CostSoFar     *decimal.Decimal
	Deposit       *decimal.Decimal
	PromisedOn    domain.Date // the day that was promised, not the day of the promise
	Tasks         []JoiningTask
}

// JoiningTask is one operation on it: the person-hours done, and those left as it looks now. A task
// with none left is finished.
type JoiningTask struct {
	Line      int
	Operation catalogue.Code
	Done      decimal.Decimal
	Left      decimal.Decimal
}

// The most that one join may bring.
const (
	MaxJoinPianos = 2_000
	MaxJoinTasks  = 20_000
)

// Check returns an Invalid Fault with everything wrong in what a workshop brings, or nil; taken are
// the stock numbers that it uses already. The pointers are like "#/pianos/2/tasks/0/hours_left".
func (j Join) Check(
	c *catalogue.Catalogue, currency money.Currency, today domain.Date, taken []string,
) error {
	var f domain.Faults
	checkPast(&f, "#/joined_on", j.JoinedOn, today)
	tasks := 0
	for _, p := range j.Pianos {
		tasks += len(p.Tasks)
	}
	if n := len(j.Pianos); n == 0 || n > MaxJoinPianos || tasks > MaxJoinTasks {
		f.Add("#/pianos", "must be 1 to %d pianos with at most %d operations in all, not %d with %d",
			MaxJoinPianos, MaxJoinTasks, n, tasks)
		return f.Err()
	}
	seen := map[string]int{}
	for i, p := range j.Pianos {
		at := fmt.Sprintf("#/pianos/%d", i)
		p.check(&f, at, c, currency, today)
		number := p.Instrument.StockNumber
		first, twice := seen[number]
		switch {
		case number == "":
		case twice:
			f.Add(at+"/stock_number", "must be different for each piano: %q is that of piano %d too",
				number, first+1)
		case slices.Contains(taken, number):
			f.Add(at+"/stock_number",
				"must be new: another instrument of the workshop has the number %q", number)
		default:
			seen[number] = i
		}
	}
	return f.Err()
}

func (p JoiningPiano) check(
	f *domain.Faults, at string, c *catalogue.Catalogue, currency money.Currency, today domain.Date,
) {
	var fault *domain.Fault
	if errors.As(p.Instrument.Check(today.Year), &fault) {
		for _, x := range fault.Fields {
			f.Add(at+strings.TrimPrefix(x.Pointer, "#"), "%s", x.Detail)
		}
	}
	for _, x := range []struct{ name, text string }{
		{"model", p.Instrument.Model},
		{"serial", p.Instrument.Serial},
		{"colour", p.Instrument.Colour},
		{"stock_number", p.Instrument.StockNumber},
	} {
		if utf8.RuneCountInString(x.text) > domain.MaxName {
			f.Add(at+"/"+x.name, "has more than %d characters", domain.MaxName)
		}
	}
	p.checkOwner(f, at)
	if !slices.Contains(catalogue.Depths, p.Depth) {
		f.Add(at+"/depth", "must be as_found, recondition or restore, not %q", p.Depth)
	}
	checkPast(f, at+"/accepted_on", p.AcceptedOn, today)
	if d := p.PromisedOn; !d.IsZero() &&
		(p.AcceptedOn.DaysUntil(d) < 0 || today.DaysUntil(d) > domain.MaxDaysAhead) {
		f.Add(at+"/promised_on", "must be the day of the acceptance or later, at most 20 years ahead")
	}
	for _, x := range []struct {
		name   string
		amount *decimal.Decimal
	}{{"original_price", p.OriginalPrice}, {"cost_so_far", p.CostSoFar}, {"deposit", p.Deposit}} {
		checkOldAmount(f, at+"/"+x.name, x.amount, currency)
	}
	p.checkTasks(f, at, c)
}

func (p JoiningPiano) checkOwner(f *domain.Faults, at string) {
	switch p.Instrument.Owner {
	case instrument.Stock:
		if p.Instrument.StockNumber == "" {
			f.Add(at+"/stock_number", "must be given for a piano of our own")
		}
		if p.Client != "" {
			f.Add(at+"/client", "must be left out for a piano of our own")
		}
	case instrument.Client:
		if strings.TrimSpace(p.Client) == "" || utf8.RuneCountInString(p.Client) > domain.MaxName {
			f.Add(at+"/client", "must name the client, in at most %d characters", domain.MaxName)
		}
	case instrument.Offered:
		f.Add(at+"/owner", "must be stock or client: only their work is under way")
	}
}

// maxOldAmount is more than any amount in old records.
var maxOldAmount = decimal.NewFromInt(100_000_000)

func checkOldAmount(f *domain.Faults, at string, a *decimal.Decimal, currency money.Currency) {
	switch {
	case a == nil:
	case !domain.WithinDigits(*a) || a.IsNegative() || a.GreaterThan(maxOldAmount):
		f.Add(at, "must be an amount from 0 to %s", maxOldAmount)
	case !a.Equal(a.Truncate(currency.Decimals())):
		f.Add(at, "%s has more decimals than %s", a, currency)
	}
}

func (p JoiningPiano) checkTasks(f *domain.Faults, at string, c *catalogue.Catalogue) {
	if len(p.Tasks) == 0 {
		f.Add(at+"/tasks", "must name at least one operation, done or left")
	}
	seen := map[catalogue.Code]bool{}
	for i, t := range p.Tasks {
		at := fmt.Sprintf("%s/tasks/%d", at, i)
		op := c.Operation(t.Operation)
		switch {
		case op == nil:
			f.Add(at+"/operation", "%q isn't an operation of the catalogue", t.Operation)
		case scope.JobOperation(c, scope.Line{Operation: t.Operation}) == nil:
			f.Add(at+"/operation", "%s (%s) isn't done within a job", op.Code, op.Name)
		case !doneOn(op, p.Instrument.Kind):
			f.Add(at+"/operation", "%s (%s) is not done on a %s", op.Code, op.Name, p.Instrument.Kind)
		case seen[t.Operation]:
			f.Add(at+"/operation", "%s is given twice for this piano", t.Operation)
		}
		seen[t.Operation] = true
		checkHours(f, at+"/hours_done", t.Done)
		checkHours(f, at+"/hours_left", t.Left)
	}
}

// doneOn reports whether an operation is done on a kind of piano.
func doneOn(op *catalogue.Operation, kind catalogue.Kind) bool {
	_, ok := op.Hours[kind]
	return ok
}

// The rule and the text of the reason for lines from a workshop's old records. Both are stored with
// the job.
const (
	joinRule   = "join"
	joinReason = "under way when the workshop joined"
)

// Job returns the job in which a piano's work goes on. Its lines are the operations that were
// brought, with the hours done and left instead of the catalogue's. Rules add nothing, since the
// work was agreed before.
func (p JoiningPiano) Job(c *catalogue.Catalogue, at Progress) Job {
	j := Job{
		Instrument: p.Instrument.ID, AcceptedOn: p.AcceptedOn, State: Open, Depth: p.Depth,
	}
	takeOff := instrument.TakeOffOf(c, p.Instrument, nil)
	var operations []catalogue.Code
	for _, x := range p.Tasks {
		op := c.Operation(x.Operation)
		t := newTask(c, joiningLine(op, takeOff.For(op, p.Instrument.Kind), x))
		t.Planned, t.Done, t.Left = x.Done.Add(x.Left), x.Done, x.Left
		if x.Left.IsZero() {
			recorded := at.RecordedAt
			t.FinishedAt = &recorded
		}
		j.Tasks = append(j.Tasks, t)
		operations = append(operations, op.Code)
	}
	j.Settled = scope.OptionsOf(c, operations)
	sortTasks(j.Tasks)
	return j
}

func joiningLine(op *catalogue.Operation, q instrument.Quantity, t JoiningTask) scope.Line {
	all := t.Done.Add(t.Left)
	l := scope.Line{
		Operation: op.Code, Name: op.Name, Skill: op.Skill,
		Driver: op.Driver, Quantity: q.Value, Basis: q.Basis, Formula: q.Formula,
		Hours:  catalogue.ThreePoint{Low: all, Likely: all, High: all},
		Making: op.Making, Chance: domain.One, Sessions: scope.Sittings(op.Sessions, q.Value),
		Cautions: slices.Clone(op.Hazards), Standing: op.Standing,
		Reasons: []scope.Reason{{Rule: joinRule, Text: joinReason}},
	}
	switch l.Making {
	case catalogue.Outside:
		l.Hours = catalogue.ThreePoint{}
	case catalogue.Either:
		l.Making = catalogue.InHouse
	case catalogue.InHouse:
	}
	return l
}

// Edits returns the edits that make a scope of the same work.
func (p JoiningPiano) Edits() []scope.Edit {
	edits := make([]scope.Edit, len(p.Tasks))
	for i, t := range p.Tasks {
		edits[i] = scope.Edit{Kind: scope.AddOperation, Operation: t.Operation, Why: joinReason}
	}
	return edits
}
