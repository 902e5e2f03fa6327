package stock

import (
	"errors"

	"bentside/domain"
	"bentside/domain/job"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// check returns what is wrong in a draft, and its quantity in units of stock.
func (d Draft) check(b Before) (decimal.Decimal, error) {
	var f domain.Faults
	units := d.checkFigures(&f, b)
	if n := d.On.DaysUntil(b.Today); n < 0 || n > domain.MaxDaysBack {
		f.Add("#/on", "must be today, %s, or earlier, at most 50 years ago", b.Today)
	}
	if d.Kind != Adjustment && !b.BeganOn.IsZero() && d.On.Compare(b.BeganOn) < 0 {
		f.Add("#/on", "must be %s or later, not %s: the books began then, and what was there of the part "+
			"holds all that was moved before", b.BeganOn, d.On)
	}
	d.checkPlace(&f, b)
	d.checkCountsAs(&f)
	f.CheckLength("#/reference", d.Reference, domain.MaxName)
	f.CheckLength("#/note", d.Note, domain.MaxText)
	if d.Note == "" && d.needsNote() {
		f.Add("#/note", "must say %s", map[Kind]string{
			Issue: "what it is for, where it goes to no job", Scrap: "why it is scrapped",
			Adjustment: "what the adjustment is for", Reversal: "why the move is reversed",
		}[d.Kind])
	}
	if err := f.Err(); err != nil {
		return units, err
	}
	return units, d.checkState(b)
}

func (d Draft) needsNote() bool {
	switch d.Kind {
	case Scrap, Adjustment, Reversal:
		return true
	case Issue:
		return d.Job == uuid.Nil
	case Receipt, Return, SentBack, Count, Recosting:
	}
	return false
}

// checkFigures checks quantity, unit and value: which of them the kind takes, and what they may be.
func (d Draft) checkFigures(f *domain.Faults, b Before) decimal.Decimal {
	units := decimal.Zero
	switch {
	case d.Kind == Adjustment || d.Kind == Reversal:
		if d.Quantity != nil || d.Unit != "" {
			f.Add("#/quantity", "must be left out of a move of the kind %s", d.Kind)
		}
	case d.Quantity == nil:
		f.Add("#/quantity", "must be given")
	case d.Kind == Count && d.Quantity.IsZero():
		b.Part.inUnits(f, units, d.Unit)
	case d.Kind == Count && d.Quantity.IsNegative():
		f.Add("#/quantity", "must be what was counted, 0 or more, not %s", *d.Quantity)
	case checkQuantity(f, "#/quantity", *d.Quantity):
		units = b.Part.inUnits(f, *d.Quantity, d.Unit)
	}
	d.checkValue(f, b.Stock.Value().Currency())
	return units
}

func (d Draft) checkValue(f *domain.Faults, c money.Currency) {
	asked := d.Kind == Receipt || d.Kind == Adjustment
	switch v := d.Value; {
	case v == nil && asked:
		f.Add("#/value", "must be given")
	case v == nil:
	case !asked && d.Kind != Count:
		f.Add("#/value", "must be left out of a move of the kind %s, which costs what the stock says", d.Kind)
	case v.Currency() != c:
		f.Add("#/value/currency", "must be %s, the workshop's currency", c)
	case v.Minor() > money.Limit || v.Minor() < -money.Limit:
		f.Add("#/value/amount", "%s is too much", v)
	case d.Kind == Adjustment && v.IsZero():
		f.Add("#/value/amount", "must not be 0")
	case d.Kind != Adjustment && v.Sign() < 0:
		f.Add("#/value/amount", "must be 0 or more, not %s", v)
	}
}

// checkPlace checks where an issue goes and which move a draft refers to.
func (d Draft) checkPlace(f *domain.Faults, b Before) {
	if d.Kind != Issue && d.Job != uuid.Nil {
		f.Add("#/job", "must be left out of a move of the kind %s", d.Kind)
	}
	if d.Job != uuid.Nil && b.Job == nil {
		f.Add("#/job", "no job found with this id")
	}
	if d.Operation != "" && d.Job == uuid.Nil {
		f.Add("#/operation", "must be left out where no job is named")
	}
	if d.Kind != Receipt && d.Supplier != uuid.Nil {
		f.Add("#/supplier", "must be left out of a move of the kind %s", d.Kind)
	}
	refers := d.Kind == Return || d.Kind == SentBack || d.Kind == Adjustment || d.Kind == Reversal ||
		d.Kind == Issue && d.Of != uuid.Nil
	switch of := b.Of; {
	case !refers && d.Of != uuid.Nil:
		f.Add("#/of", "must be left out of a move of the kind %s", d.Kind)
	case !refers:
	case d.Of == uuid.Nil:
		f.Add("#/of", "must name the move that it refers to")
	case of == nil:
		f.Add("#/of", "no move of this part found with this id")
	case d.On.Compare(of.On) < 0:
		f.Add("#/on", "must be %s, the day of what it refers to, or later", of.On)
	case d.Kind == Return && of.Kind != Issue:
		f.Add("#/of", "must be an issue; this is a move of the kind %s", of.Kind)
	case (d.Kind == SentBack || d.Kind == Adjustment || d.Kind == Issue) && of.Kind != Receipt:
		f.Add("#/of", "must be a receipt; this is a move of the kind %s", of.Kind)
	case d.Kind == Reversal && of.Kind == Reversal:
		f.Add("#/of", "is a reversal; enter the move again instead")
	case d.Kind == Reversal && of.Kind == Recosting:
		f.Add("#/of", "follows from a receipt that was entered late; reverse that or what it should be")
	case d.Kind == Reversal && of.Kind == Adjustment:
		f.Add("#/of", "is an adjustment; enter one of the opposite amount, which goes where the parts are by now")
	case d.Kind == Reversal && len(of.Entries) == 0:
		f.Add("#/of", "moved nothing")
	}
}

// checkCountsAs checks what becomes of the cost. Whoever scraps says whether it is a normal loss.
func (d Draft) checkCountsAs(f *domain.Faults) {
	loss := d.CountsAs == NormalLoss || d.CountsAs == AbnormalLoss
	switch {
	case d.Kind == Scrap && !loss:
		f.Add("#/counts_as", "must be %s or %s, for what is scrapped", NormalLoss, AbnormalLoss)
	case d.Kind == Scrap || d.CountsAs == "":
	case d.Kind != Issue:
		f.Add("#/counts_as", "must be left out of a move of the kind %s", d.Kind)
	case d.Job == uuid.Nil && d.CountsAs != Overhead:
		f.Add("#/counts_as", "must be %s where an issue goes to no job, or left out", Overhead)
	case d.Job != uuid.Nil && !loss:
		f.Add("#/counts_as", "must be %s or %s where an issue to a job takes the place of what was "+
			"spoilt, or left out", NormalLoss, AbnormalLoss)
	case d.CountsAs == AbnormalLoss && d.Note == "":
		f.Add("#/note", "must say what went wrong, for an abnormal loss")
	}
}

// checkState returns a Conflict Fault where what the draft refers to forbids it.
func (d Draft) checkState(b Before) error {
	if b.Reversed {
		return domain.RefuseAt(domain.Conflict, "#/of", "the move has been reversed")
	}
	if d.Kind == Adjustment && b.LayerCost.Add(*d.Value).Sign() < 0 {
		return domain.RefuseAt(domain.Conflict, "#/value/amount", "the receipt has cost no more than %s", b.LayerCost)
	}
	if d.Kind == Reversal && b.Of.takesOut() && !b.allOut() {
		return domain.RefuseAt(domain.Conflict, "#/of",
			"some of the issue has come back, so that it can't be reversed; return the rest")
	}
	toJob := d.Kind == Issue || d.Kind == Reversal && b.Of.Kind == Return
	if !toJob || b.Job == nil {
		return nil
	}
	if _, err := b.Job.State.After(job.CommandBook); err != nil {
		return domain.RefuseAt(domain.Conflict, "#/job", "the job is closed and gets no more parts")
	}
	operation := d.Operation
	if d.Kind == Reversal {
		operation = b.Of.Operation
	}
	if operation == "" {
		return nil
	}
	switch t := b.Job.Task(operation); {
	case t == nil:
		return domain.RefuseAt(domain.Invalid, "#/operation", "the job has no operation %s", operation)
	case t.Dropped:
		return domain.RefuseAt(domain.Conflict, "#/operation", "%s was taken out of the job", operation)
	case t.FinishedAt != nil:
		return domain.RefuseAt(domain.Conflict, "#/operation", "%s is finished and gets no more parts", operation)
	}
	return nil
}

// allOut reports whether everything that Of took is still out.
func (b Before) allOut() bool {
	quantity, _ := valuation.Total(b.Stock.Value().Currency(), b.Out)
	return quantity.Equal(b.Of.Quantity.Neg())
}

// checkAfter returns a fault where a move would leave less than nothing on a day that has passed,
// or more than can be added up.
func (b Before) checkAfter(d Draft, m Move) error {
	if m.Quantity.IsNegative() && b.LeastHeld.Add(m.Quantity).IsNegative() {
		return domain.RefuseAt(domain.Conflict, d.pointer(),
			"only %s %s were there on %s or a later day", b.LeastHeld, b.Part.Unit, d.On)
	}
	if m.HeldValue.Minor() > money.Limit {
		return domain.RefuseAt(domain.Invalid, "#/value/amount", "%s in stock is too much", m.HeldValue)
	}
	if err := money.Quantity.Check(m.Held); err != nil {
		return domain.RefuseAt(domain.Invalid, "#/quantity", "%v", err)
	}
	return nil
}

// pointer returns the field that decides how much is moved.
func (d Draft) pointer() string {
	if d.Kind == Reversal {
		return "#/of"
	}
	return "#/quantity"
}

// refusal says what a finding of the valuation means for a draft.
func refusal(err error, d Draft, b Before) error {
	var short *valuation.ShortError
	var spent *valuation.SpentError
	var nothing *valuation.QuantityError
	var tooLarge *money.RangeError
	switch {
	case errors.As(err, &tooLarge):
		return domain.RefuseAt(domain.Invalid, "#/quantity", "would be worth too much: %v", tooLarge)
	case errors.As(err, &short) && d.Kind == Return:
		return domain.RefuseAt(domain.Conflict, "#/quantity",
			"only %s %s of this issue are still out", short.Held, b.Part.Unit)
	case errors.As(err, &short) && d.Of != uuid.Nil && (d.Kind == SentBack || d.Kind == Issue):
		return domain.RefuseAt(domain.Conflict, "#/quantity",
			"only %s %s of this receipt are still in stock", short.Held, b.Part.Unit)
	case errors.As(err, &short):
		return domain.RefuseAt(domain.Conflict, "#/quantity",
			"only %s %s are in stock", short.Held, b.Part.Unit)
	case errors.As(err, &spent) && d.Kind == Adjustment:
		return domain.RefuseAt(domain.Conflict, "#/value/amount",
			"what is in stock would be worth less than nothing")
	case errors.As(err, &spent):
		return domain.RefuseAt(domain.Conflict, "#/of",
			"what the move brought in has moved on or its cost was adjusted, so that it can't be reversed")
	case errors.As(err, &nothing) && d.Kind == Adjustment:
		return domain.RefuseAt(domain.Conflict, "#/of", "nothing of this receipt is left anywhere")
	}
	return err
}
