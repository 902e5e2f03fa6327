package cost

import (
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// OtherDraft is a direct cost that no other record says, as it is entered.
type OtherDraft struct {
	Document
	// Kind is Other, TransportIn or Duty where it came after the purchase, or ScrapSold, of which
	// Amount is what was got and lowers the cost.
	Kind Kind
	// Inventory is in which view it is meant to count; nil: as its purpose says.
	Inventory *bool
	// InStock is what the instrument has cost so far as stock is counted, which bounds ScrapSold.
	InStock money.Amount
}

// afterHandOver are the purposes of what an instrument costs once it has left us.
var afterHandOver = []Purpose{Delivery, AfterSale, Commission, Warranty, Finance, Storage}

// Enter returns the document of another direct cost with its line. What abnormal waste, storage,
// selling and the like come to is an expense, and never gets into the cost of stock (IAS 2,
// paragraph 16).
func (o OtherDraft) Enter(s Stands) (Document, []Line, error) {
	d := o.Document
	d.Kind, d.Instrument = OtherCost, s.Instrument.ID
	var f domain.Faults
	d.checkCommon(&f, s)
	checkPositive(&f, "#/amount", &d.Amount, s.Currency)
	d.checkOperation(&f, s)
	o.checkPurpose(&f)
	if d.Operation != "" && d.Job == uuid.Nil {
		f.Add("#/operation", "must be left out where no job is named")
	}
	if s.Job != nil && s.Job.Instrument != s.Instrument.ID {
		f.Add("#/job", "must be a job of this instrument")
	}
	if strings.TrimSpace(d.Note) == "" {
		f.Add("#/note", "must say what it was")
	}
	if err := f.Err(); err != nil {
		return d, nil, err
	}
	if err := d.mayEnter(s); err != nil {
		return d, nil, err
	}
	if o.Kind == ScrapSold {
		if d.Amount.Cmp(o.InStock) > 0 {
			return d, nil, domain.RefuseAt(domain.Conflict, "#/amount/amount",
				"the instrument has cost no more than %s", o.InStock)
		}
		d.Amount = d.Amount.Neg()
	}
	return d, numbered([]Line{d.line(o.Kind, d.Purpose, d.Amount)}), nil
}

func (o OtherDraft) checkPurpose(f *domain.Faults) {
	p := o.Purpose
	acquired := o.Kind == TransportIn || o.Kind == Duty
	switch {
	case o.Kind != Other && o.Kind != ScrapSold && !acquired:
		f.Add("#/kind", "must be other, transport_in, duty or scrap_sold, not %q", o.Kind)
	case !slices.Contains(Purposes, p):
		f.Add("#/purpose", "must be one of %v, not %q; what no instrument causes is overhead", Purposes, p)
	case acquired && p != Acquisition:
		f.Add("#/purpose", "must be acquisition for carriage to us and duty")
	case o.Kind == ScrapSold && p != Work:
		f.Add("#/purpose", "must be work for what was got for scrap, which lowers what the work cost")
	case o.Inventory != nil && *o.Inventory && !InInventory(o.Kind, p):
		f.Add("#/inventory", "must be false for %s, which is an expense and no cost of stock (IAS 2, "+
			"paragraph 16)", p)
	case o.Inventory != nil && !*o.Inventory && InInventory(o.Kind, p):
		f.Add("#/inventory", "must be true for %s, which is a cost of stock (IAS 2, paragraph 10)", p)
	}
}

func (d Document) mayEnter(s Stands) error {
	after := slices.Contains(afterHandOver, d.Purpose)
	// a bill for what came before
	late := isOut(s.Theirs) && !WereTheirs(s.Theirs, d.On) ||
		!s.LostOn.IsZero() && d.On.Compare(s.LostOn) <= 0
	switch {
	case s.Instrument.State == instrument.Gone && !after && !late:
		return domain.RefuseAt(domain.Conflict, "#/purpose",
			"the instrument has left us: what it costs from then on is for one of %v", afterHandOver)
	case !isOut(s.Theirs) && IsWork(d.Purpose) && WereTheirs(s.Theirs, d.On):
		return domain.RefuseAt(domain.Conflict, "#/on", "the instrument was its buyer's on %s, so that "+
			"work on it costs our stock nothing: what we bore of it is for one of %v", d.On, afterHandOver)
	case d.Purpose == Acquisition && !s.Ours():
		return domain.RefuseAt(domain.Conflict, "#/purpose", "the instrument isn't ours, so that nothing "+
			"is paid to acquire it; carriage for its owner is work")
	case s.Job != nil && s.Job.State == job.Closed && !after:
		return domain.RefuseAt(domain.Conflict, "#/job",
			"the job is closed: leave the job out, so that it is a cost of the instrument")
	}
	return nil
}
