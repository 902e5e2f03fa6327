package app

import (
	"encoding/hex"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/domain/survey"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// What the feed tells of an event is enough to act on without asking back: the ids of what it is
// about and of what that belongs to, amounts, dates, and how it stands now. A party or a member of
// the crew is named by id only; what people type, such as a reason, goes in as it is. x-kinds of
// openapi/openapi.yaml lists the keys of each kind; api/event_test.go compares. Where one kind is
// noted in several places, its data comes from here, so that it is the same everywhere.

// noted is what the feed tells of one event.
type noted map[string]any

// id adds an id, unless it is zero.
func (n noted) id(key string, id uuid.UUID) noted {
	if id != uuid.Nil {
		n[key] = id
	}
	return n
}

// day adds a day, unless there is none.
func (n noted) day(key string, d domain.Date) noted {
	if !d.IsZero() {
		n[key] = d
	}
	return n
}

// text adds a text, unless it is empty.
func (n noted) text(key, s string) noted {
	if s != "" {
		n[key] = s
	}
	return n
}

func instrumentNoted(i instrument.Instrument, version int64) noted {
	n := noted{
		"kind": i.Kind, "maker": i.Maker, "owner": i.Owner, "state": i.State, "size_mm": i.SizeMM,
		"version": version,
	}
	if i.Year != 0 {
		n["year"] = i.Year
	}
	return n.id("party", i.Party).text("model", i.Model).text("serial", i.Serial).
		text("stock_number", i.StockNumber).text("country", i.Country)
}

func surveyNoted(s survey.Survey) noted {
	return noted{"instrument": s.Instrument, "taken_on": s.TakenOn, "findings": len(s.Findings)}
}

func findingNoted(instrumentID uuid.UUID, f survey.Finding) noted {
	n := noted{"instrument": instrumentID, "finding": f.ID, "point": f.Point}
	if f.Value != nil {
		n["value"] = *f.Value
	}
	if f.Flag != nil {
		n["flag"] = *f.Flag
	}
	return n.text("unit", f.Unit).text("answer", f.Answer).text("where", f.Where)
}

func scopeNoted(d postgres.ScopeRecord) noted {
	return noted{
		"instrument": d.Instrument, "survey": d.Survey, "depth": d.Depth, "revision": d.Revision,
		"edits": len(d.Edits),
	}
}

func bidNoted(b WorkedBid) noted {
	ways := make([]noted, len(b.Result.Ways))
	for i, w := range b.Result.Ways {
		ways[i] = noted{"depth": w.Depth, "outcome": w.Outcome, "work": w.Estimate.Costs.Total.Likely}
		if n := w.Negotiation; n != nil {
			if n.Aim != nil {
				ways[i]["aim"] = n.Aim.Price
			}
			if n.WalkAway != nil {
				ways[i]["walk_away"] = n.WalkAway.Price
			}
		}
	}
	return noted{
		"instrument": b.Instrument, "survey": b.Survey, "engine": b.Engine,
		"inputs": hex.EncodeToString(b.Bid.Inputs[:]), "result": hex.EncodeToString(b.Bid.Result[:]),
		"ways": ways,
	}
}

func offerNoted(o postgres.StoredOffer, after instrument.State) (noted, error) {
	n := noted{"bid": o.Bid, "offer": o.ID, "on": o.On, "instrument_state": after}
	if o.Amount != nil {
		c, err := money.ParseCurrency(o.Currency)
		if err != nil {
			return nil, err
		}
		if n["amount"], err = money.Round(*o.Amount, c, money.HalfUp); err != nil {
			return nil, err
		}
	}
	return n.text("depth", string(o.Depth)).text("stock_number", o.StockNumber), nil
}

// jobNoted returns what the feed says of a job that comes into the queue, with the state of its
// instrument then.
func jobNoted(j job.Job, now instrument.State) noted {
	n := noted{
		"instrument": j.Instrument, "scope": j.Scope, "depth": j.Depth, "accepted_on": j.AcceptedOn,
		"state": j.State, "instrument_state": now, "tasks": len(j.Tasks),
	}
	done, left := j.Hours()
	n["hours_done"], n["hours_left"] = done, left
	return n
}

// opening adds the sums of old records.
func (n noted) opening(o Opening) noted {
	for key, a := range map[string]*money.Amount{
		"original_price": o.OriginalPrice, "cost_so_far": o.CostSoFar, "deposit": o.Deposit,
	} {
		if a != nil {
			n[key] = *a
		}
	}
	return n
}

func suspensionNoted(j job.Job, s job.Suspension) noted {
	n := noted{
		"instrument": j.Instrument, "suspension": s.ID, "until": s.Until, "why": s.Why,
		"state": j.State,
	}
	if s.KeepsStation {
		n["keeps_station"] = true
	}
	return n.text("operation", string(s.Operation))
}

// resumptionNoted returns what the feed says of a suspension that has ended; j is the job as it is
// then.
func resumptionNoted(j job.Job, s job.Suspension, why string) noted {
	n := noted{"instrument": j.Instrument, "suspension": s.ID, "state": j.State}
	return n.text("operation", string(s.Operation)).text("why", why)
}

func proposalNoted(instrumentID uuid.UUID, p ShownProposal) noted {
	n := noted{
		"instrument": instrumentID, "proposal": p.ID, "added": len(p.Change.Added),
		"removed": len(p.Change.Removed), "changed": len(p.Change.Changed),
		"hours": p.Change.Effect.Hours, "needs_consent": p.NeedsConsent,
	}
	if p.Price != nil {
		n["price"] = *p.Price
	}
	return n.day("answer_by", p.AnswerBy).id("hold", p.Hold)
}

func decisionNoted(instrumentID uuid.UUID, p job.Proposal) noted {
	n := noted{
		"instrument": instrumentID, "proposal": p.ID, "accepted": p.Decision.Accepted,
		"reason": p.Decision.Reason, "hours": p.Change.Effect.Hours,
	}
	if len(p.Decision.Again) > 0 {
		n["again"] = p.Decision.Again
	}
	if p.Price != nil {
		n["price"] = *p.Price
	}
	if c := p.Decision.Consent; c != nil {
		n["consent"] = noted{"party": c.Party, "given_on": c.On}
	}
	return n
}

func promiseNoted(instrumentID uuid.UUID, p job.Promise) noted {
	n := noted{
		"instrument": instrumentID, "promise": p.ID, "for": p.For, "due": p.Due,
		"promised_on": p.PromisedOn,
	}
	if p.Confidence != nil {
		n["confidence"] = *p.Confidence
	}
	return n.id("party", p.Party)
}

func progressNoted(j job.Job, p job.Progress) noted {
	n := noted{
		"instrument": j.Instrument, "entry": p.ID, "operation": p.Operation, "done": p.Done,
		"left": p.Left, "finished": p.Finished, "on": p.On,
	}
	if len(p.Ahead) > 0 {
		n["ahead"], n["reason"] = p.Ahead, j.Task(p.Operation).OutOfOrder.Reason
	}
	return n.id("person", p.Person)
}

func quotationNoted(q job.Quotation) noted {
	offered := make([]noted, len(q.Options))
	for i, o := range q.Options {
		offered[i] = noted{
			"option": o.Number, "scope": o.Scope, "depth": o.Depth, "net": o.Net, "tax": o.Tax,
			"total": o.Total,
		}
	}
	n := noted{
		"instrument": q.Instrument, "party": q.Party, "quoted_on": q.QuotedOn,
		"valid_until": q.ValidUntil, "deposit": q.Deposit, "options": len(q.Options),
		"offered": offered,
	}
	if len(q.Replaces) > 0 {
		n["replaces"] = q.Replaces
	}
	return n
}

// answerNoted returns what the feed says of the client's answer; jb is the job that a yes makes.
func answerNoted(q job.Quotation, jb uuid.UUID) noted {
	n := noted{
		"instrument": q.Instrument, "party": q.Party, "accepted": q.Answer.Accepted,
		"option": q.Answer.Option, "on": q.Answer.On,
	}
	if q.Answer.Accepted {
		o := q.Options[q.Answer.Option-1]
		n["scope"], n["net"], n["tax"], n["total"] = o.Scope, o.Net, o.Tax, o.Total
		n["deposit"] = q.Deposit
	}
	return n.id("job", jb)
}

func planNoted(p StoredPlan) noted {
	jobs := make([]noted, len(p.Result.Jobs))
	for i, j := range p.Result.Jobs {
		jobs[i] = readyNoted(j)
	}
	return noted{
		"engine": p.Engine, "schedules": p.Result.Schedules, "tasks": len(p.Result.Tasks), "jobs": jobs,
	}
}

func readyNoted(j plan.JobDate) noted {
	return noted{"job": j.Job, "ready_on": domain.DateOf(j.Ready)}.day("due", j.Due)
}

func absenceNoted(x domain.Absence) noted {
	n := noted{"first": x.First, "last": x.Last}
	if x.Places != 0 {
		n["places"] = x.Places
	}
	return n.id("person", x.Person).id("station", x.Station)
}

func personNoted(p domain.Person, version int64) noted {
	n := noted{
		"skills": p.Skills, "productive_share": p.ProductiveShare, "on_payroll": !p.OffPayroll,
		"version": version,
	}
	return n.id("user", p.User)
}

func stationNoted(s domain.Station, version int64) noted {
	return noted{"name": s.Name, "count": s.Count, "version": version}.text("room", s.Room)
}

func classNoted(c stock.Class, version int64) noted {
	return noted{"name": c.Name, "method": c.Method, "version": version}
}

func partNoted(p stock.Part, version int64) noted {
	n := noted{
		"code": p.Code, "name": p.Name, "class": p.Class, "unit": p.Unit, "minimum": p.Minimum,
		"version": version,
	}
	if p.PurchaseUnit != "" {
		n["purchase_unit"], n["content"] = p.PurchaseUnit, p.Content
	}
	if len(p.Serves) > 0 {
		n["serves"] = len(p.Serves)
	}
	return n.id("supplier", p.Supplier)
}

func moveNoted(m stock.Move) noted {
	n := noted{
		"move": m.ID, "number": m.Number, "quantity": m.Quantity, "value": m.Value, "held": m.Held,
		"held_value": m.HeldValue, "on": m.On, "posted_on": m.PostedOn,
	}
	if m.Kind == stock.Adjustment {
		n["amount"] = m.Amount()
	}
	return n.id("job", m.Job).text("operation", string(m.Operation)).id("of", m.Of).
		id("supplier", m.Supplier).text("counts_as", string(m.CountsAs))
}

func orderNoted(o supply.Order, version int64) noted {
	lines := make([]noted, len(o.Lines))
	for i, l := range o.Lines {
		lines[i] = noted{"line": l.Number, "part": l.Part, "units": l.Units, "price": l.Price}
		lines[i].id("job", l.Job).text("operation", string(l.Operation))
	}
	return noted{
		"supplier": o.Supplier, "rate": o.Rate, "ordered_on": o.OrderedOn, "expected_on": o.Expected,
		"state": o.State(), "lines": lines, "version": version,
	}
}

func newDayNoted(after supply.Order, d supply.NewDay) noted {
	return noted{
		"supplier": after.Supplier, "state": after.State(), "expected_on": d.Expected, "was": d.Was,
		"reason": d.Reason,
	}
}

func cancellationNoted(after supply.Order, c supply.Cancellation) noted {
	return noted{
		"supplier": after.Supplier, "state": after.State(), "cancelled": c.Units, "reason": c.Reason,
	}
}

func deliveryNoted(after supply.Order, d supply.Delivery) noted {
	lines := make([]noted, len(d.Lines))
	for i, a := range d.Lines {
		lines[i] = noted{
			"line": a.Line, "part": a.Part, "receipt": a.Receipt, "units": a.Units, "price": a.Price,
			"value": a.Value,
		}
		lines[i].id("issue", a.Issue)
	}
	return noted{
		"supplier": d.Supplier, "delivery": d.ID, "on": d.On, "posted_on": d.PostedOn, "lines": lines,
		"state": after.State(),
	}
}

func returnNoted(after supply.Order, x supply.Returned) noted {
	return noted{
		"supplier": after.Supplier, "receipt": x.Receipt, "move": x.Move, "line": x.Line,
		"units": x.Units, "replacement": x.Replacement, "reason": x.Reason, "on": x.On,
		"posted_on": x.PostedOn, "state": after.State(),
	}
}

func billNoted(b supply.Bill) noted {
	lines := make([]noted, len(b.Lines))
	for i, x := range b.Lines {
		lines[i] = noted{
			"kind": x.Kind, "receipt": x.Receipt, "units": x.Units, "amount": x.Amount, "value": x.Home,
			"accrued": x.Accrued,
		}
	}
	n := noted{
		"supplier": b.Supplier, "on": b.On, "posted_on": b.PostedOn, "rate": b.Rate, "net": b.Net,
		"tax":   b.Tax,
		"total": b.Total, "value": b.HomeNet, "lines": lines,
		"adjustments": adjustmentsNoted(b.Adjustments),
	}
	return n.id("credits", b.Credits).day("due", b.Due)
}

func adjustmentsNoted(all []supply.Adjustment) []noted {
	list := make([]noted, len(all))
	for i, x := range all {
		list[i] = noted{"receipt": x.Receipt, "part": x.Part, "amount": x.Amount, "apart": x.Apart}
		list[i].id("move", x.Move)
	}
	return list
}

func paymentNoted(b supply.Bill, p supply.Payment, left money.Amount) noted {
	return noted{
		"supplier": b.Supplier, "payment": p.ID, "on": p.On, "posted_on": p.PostedOn, "amount": p.Amount,
		"discount": p.Discount, "discount_tax": p.DiscountTax, "short": p.Short,
		"value": p.HomeAmount, "exchange": p.Exchange, "balance": left,
		"adjustments": adjustmentsNoted(p.Adjustments),
	}
}
