package domain

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain/catalogue"
	"bentside/domain/money"

	"github.com/shopspring/decimal"
)

// Join is what a workshop brings with it that has pianos in pieces already: in
// the order of its queue, first come first.
type Join struct {
	JoinedOn Date
	Pianos   []JoiningPiano
}

// JoiningPiano is an instrument whose work is under way, with what the old
// records say of it. Empty and nil fields are not known.
type JoiningPiano struct {
	Line          int    // of the file that it was read from; 0: none
	Ref           string // what its tasks name it by in the file
	Instrument    Instrument
	Client        string // the name of a client
	Depth         catalogue.Depth
	AcceptedOn    Date
	OriginalPrice *decimal.Decimal
	CostSoFar     *decimal.Decimal
	Deposit       *decimal.Decimal
	PromisedOn    Date // the day that is promised, and not on which
	Tasks         []JoiningTask
}

// JoiningTask is one operation of it: what was done, and what is left as it
// looks now. With nothing left it is finished.
type JoiningTask struct {
	Line      int
	Operation catalogue.Code
	Done      decimal.Decimal
	Left      decimal.Decimal
}

// Bounds of one join.
const (
	MaxJoinPianos = 2_000
	MaxJoinTasks  = 20_000
)

// Check tests everything that a workshop brings against its catalogue and its
// currency; taken are the stock numbers that it has given already. It returns an
// Invalid Fault with all that is wrong, by JSON pointers such as
// "#/pianos/2/tasks/0/hours_left", or nil.
func (j Join) Check(c *catalogue.Catalogue, currency money.Currency, today Date, taken []string) error {
	var f Faults
	checkPast(&f, "#/joined_on", j.JoinedOn, today)
	tasks := 0
	for _, p := range j.Pianos {
		tasks += len(p.Tasks)
	}
	if n := len(j.Pianos); n == 0 || n > MaxJoinPianos || tasks > MaxJoinTasks {
		f.Add("#/pianos", "%d pianos with %d operations; it wants 1 to %d with at most %d in all", n, tasks, MaxJoinPianos, MaxJoinTasks)
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
			f.Add(at+"/stock_number", "%q is the stock number of piano %d too", number, first+1)
		case slices.Contains(taken, number):
			f.Add(at+"/stock_number", "another instrument of the workshop has the stock number %q", number)
		default:
			seen[number] = i
		}
	}
	return f.Err()
}

func (p JoiningPiano) check(f *Faults, at string, c *catalogue.Catalogue, currency money.Currency, today Date) {
	if fault, ok := p.Instrument.Check().(*Fault); ok && fault != nil { //nolint:errorlint // it is made there
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
		if len(x.text) > maxName {
			f.Add(at+"/"+x.name, "has more than %d characters", maxName)
		}
	}
	switch p.Instrument.Owner {
	case Stock:
		if p.Instrument.StockNumber == "" {
			f.Add(at+"/stock_number", "a piano of our own has one")
		}
		if p.Client != "" {
			f.Add(at+"/client", "a piano of our own has no client")
		}
	case Client:
		if strings.TrimSpace(p.Client) == "" || len(p.Client) > maxName {
			f.Add(at+"/client", "must name the client, in at most %d characters", maxName)
		}
	case Offered:
		f.Add(at+"/owner", "work is under way on our own pianos (stock) and on clients' (client)")
	}
	if !slices.Contains(catalogue.Depths, p.Depth) {
		f.Add(at+"/depth", "is none of as_found, recondition, restore")
	}
	checkPast(f, at+"/accepted_on", p.AcceptedOn, today)
	if d := p.PromisedOn; !d.IsZero() && (p.AcceptedOn.DaysUntil(d) < 0 || today.DaysUntil(d) > furthest) {
		f.Add(at+"/promised_on", "must lie after the acceptance and at most 20 years ahead")
	}
	for _, x := range []struct {
		name   string
		amount *decimal.Decimal
	}{{"original_price", p.OriginalPrice}, {"cost_so_far", p.CostSoFar}, {"deposit", p.Deposit}} {
		checkOldAmount(f, at+"/"+x.name, x.amount, currency)
	}
	p.checkTasks(f, at, c)
}

// maxOldAmount is more than any sum of an old record.
var maxOldAmount = decimal.NewFromInt(100_000_000)

func checkOldAmount(f *Faults, at string, a *decimal.Decimal, currency money.Currency) {
	switch {
	case a == nil:
	case !withinStore(*a) || a.IsNegative() || a.GreaterThan(maxOldAmount):
		f.Add(at, "must be a sum from 0 to %s", maxOldAmount)
	case !a.Equal(a.Truncate(currency.Decimals())):
		f.Add(at, "%s has more decimals than %s", a, currency)
	}
}

func (p JoiningPiano) checkTasks(f *Faults, at string, c *catalogue.Catalogue) {
	if len(p.Tasks) == 0 {
		f.Add(at+"/tasks", "has no operation, done or left")
	}
	seen := map[catalogue.Code]bool{}
	for i, t := range p.Tasks {
		at := fmt.Sprintf("%s/tasks/%d", at, i)
		op := c.Operation(t.Operation)
		switch {
		case op == nil:
			f.Add(at+"/operation", "%q is no operation of the catalogue", t.Operation)
		case jobOperation(c, Line{Operation: t.Operation}) == nil:
			f.Add(at+"/operation", "%s (%s) is no part of a job", op.Code, op.Name)
		case !doneOn(op, p.Instrument.Kind):
			f.Add(at+"/operation", "%s (%s) is not done on a %s", op.Code, op.Name, p.Instrument.Kind)
		case seen[t.Operation]:
			f.Add(at+"/operation", "%s stands there twice for this piano", t.Operation)
		}
		seen[t.Operation] = true
		for _, x := range []struct {
			name  string
			hours decimal.Decimal
		}{{"hours_done", t.Done}, {"hours_left", t.Left}} {
			if !sane(x.hours) || !x.hours.Equal(x.hours.Truncate(hoursPlaces)) {
				f.Add(at+"/"+x.name, "wants hours from 0 to %s with at most %d decimals", maxFigure, hoursPlaces)
			}
		}
	}
}

// doneOn reports whether an operation is done on a kind of piano.
func doneOn(op *catalogue.Operation, kind catalogue.Kind) bool {
	_, ok := op.Hours[kind]
	return ok
}

// joinRule is the Rule of a Reason that comes from a workshop's old records.
const joinRule = "join"

// Job is the job that a piano's work goes on as. Its lines are the operations
// that were brought, with hours done and left in the place of the catalogue's:
// nothing is drawn up from rules, since what was agreed was agreed before.
func (p JoiningPiano) Job(c *catalogue.Catalogue, at Progress) Job {
	j := Job{
		Instrument: p.Instrument.ID, AcceptedOn: p.AcceptedOn, State: JobOpen, Depth: p.Depth, Settled: map[string]string{},
	}
	takeOff := TakeOffOf(c, p.Instrument, nil)
	for _, x := range p.Tasks {
		op := c.Operation(x.Operation)
		q := takeOff.For(op, p.Instrument.Kind)
		all := x.Done.Add(x.Left)
		l := Line{
			Operation: op.Code, Name: op.Name, Skill: op.Skill, Driver: op.Driver, Quantity: q.Value, Basis: q.Basis, Formula: q.Formula,
			Hours: catalogue.ThreePoint{Low: all, Likely: all, High: all}, Making: op.Making, Chance: one,
			Sessions: sittings(op.Sessions, q.Value), Cautions: slices.Clone(op.Hazards), Standing: op.Standing,
			Reasons: []Reason{{Rule: joinRule, Says: "under way when the workshop joined"}},
		}
		switch l.Making {
		case catalogue.Outside:
			l.Hours = catalogue.ThreePoint{}
		case catalogue.Either:
			l.Making = catalogue.InHouse
		case catalogue.InHouse:
		}
		t := taskFor(c, l)
		t.Planned, t.Done, t.Left = all, x.Done, x.Left
		if x.Left.IsZero() {
			recorded := at.RecordedAt
			t.FinishedAt = &recorded
		}
		for _, ref := range c.OptionsWith(op.Code) {
			j.Settled[ref.Group] = ref.Option
		}
		j.Tasks = append(j.Tasks, t)
	}
	slices.SortStableFunc(j.Tasks, func(a, b Task) int { return a.Place - b.Place })
	return j
}

// Edits are what a scope of the same work would be edited with.
func (p JoiningPiano) Edits() []Edit {
	edits := make([]Edit, len(p.Tasks))
	for i, t := range p.Tasks {
		edits[i] = Edit{Kind: AddOperation, Operation: t.Operation, Why: "under way when the workshop joined"}
	}
	return edits
}
