package cost

import (
	"strings"

	"bentside/domain"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Outside returns the document of outside work on a task, with its lines. An agreement is a
// commitment and no cost; an accrual is a cost until the bill takes its place.
func (d Document) Outside(s Stands) (Document, []Line, error) {
	d.Instrument, d.Purpose = s.Instrument.ID, Work
	if of := s.Of; of != nil {
		if d.Operation == "" {
			d.Operation = of.Operation
		}
		if d.Party == uuid.Nil {
			d.Party = of.Party
		}
	}
	var f domain.Faults
	d.checkCommon(&f, s)
	checkPositive(&f, "#/amount", &d.Amount, s.Currency)
	d.checkOperation(&f, s)
	if d.Operation == "" {
		f.Add("#/operation", "must name the task of the job that the firm works on")
	}
	if d.Party == uuid.Nil {
		f.Add("#/firm", "must name the firm, which is a party")
	}
	if d.Kind != OutsideBilled && !d.Tax.IsZero() {
		f.Add("#/tax", "must be left out until the bill shows it")
	}
	if d.Kind == OutsideBilled && strings.TrimSpace(d.Reference) == "" {
		f.Add("#/reference", "must name the bill")
	}
	d.checkReplaced(&f, s)
	if err := f.Err(); err != nil {
		return d, nil, err
	}
	if err := d.mayWorkOutside(s); err != nil {
		return d, nil, err
	}
	lines := d.takeBack(s)
	if d.Kind != OutsideAgreed {
		lines = append(lines, d.line(OutsideWork, Work, d.Amount))
	}
	return d, numbered(lines), nil
}

// checkReplaced notes what is wrong in the document whose place d takes.
func (d Document) checkReplaced(f *domain.Faults, s Stands) {
	of := s.Of
	switch {
	case d.Of == uuid.Nil:
	case of == nil || of.Job != d.Job || !isOutside(of.Kind):
		f.Add("#/of", "must be an agreement or an accrual of outside work on this job")
	case of.Kind == OutsideBilled:
		f.Add("#/of", "is a bill; reverse it to enter it anew")
	case of.Kind == OutsideAccrued && d.Kind == OutsideAgreed:
		f.Add("#/of", "is an accrual, of work that is done; it can't become an agreement again")
	case of.Operation != d.Operation:
		f.Add("#/operation", "must be %s, as before, or left out", of.Operation)
	case of.Party != d.Party:
		f.Add("#/firm", "must be the firm of before, or left out")
	case d.On.Compare(of.On) < 0:
		f.Add("#/on", "must be %s, the day of what it takes the place of, or later", of.On)
	}
}

func isOutside(k DocumentKind) bool {
	return k == OutsideAgreed || k == OutsideAccrued || k == OutsideBilled
}

// mayWorkOutside returns a Conflict Fault where how things stand forbids the document.
func (d Document) mayWorkOutside(s Stands) error {
	switch {
	case s.Reversed:
		return domain.RefuseAt(domain.Conflict, "#/of", "it has been reversed")
	case s.Replaced:
		return domain.RefuseAt(domain.Conflict, "#/of", "another document has taken its place already")
	case s.Of != nil:
		return nil // what was agreed is billed, whatever has become of the job since
	case s.Job.State == job.Closed:
		return domain.RefuseAt(domain.Conflict, "#/job", "the job is closed: enter what came after it as "+
			"another cost of the instrument, with what it was for")
	case s.Job.Task(d.Operation).Dropped:
		return domain.RefuseAt(domain.Conflict, "#/operation",
			"%s was taken out of the job: propose a change that brings it back", d.Operation)
	}
	return nil
}

// takeBack returns the lines that take back what the document has the place of.
func (d Document) takeBack(s Stands) []Line {
	if s.Of == nil {
		return nil
	}
	sum := money.Zero(s.Currency)
	for _, l := range s.OfLines {
		sum = sum.Add(l.Amount)
	}
	l := d.line(OutsideWork, Work, sum.Neg())
	l.Origin = s.Of.ID
	return []Line{l}
}
