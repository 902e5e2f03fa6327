package domain

// EventKind says what happened, in the feed of a workshop's events: the subject's noun, a dot and a
// verb. Events are kept for ever, so a kind that is renamed must be translated where the feed is
// read.
type EventKind string

// The kinds of event, by subject.
const (
	AbsenceAdded     EventKind = "absence.added"
	AbsenceWithdrawn EventKind = "absence.withdrawn"

	BidWorkedOut EventKind = "bid.worked_out"

	CatalogueEdited         EventKind = "catalogue.edited"
	CatalogueImported       EventKind = "catalogue.imported"
	CatalogueOffersAnswered EventKind = "catalogue.offers_answered"
	CatalogueRevised        EventKind = "catalogue.revised"

	BooksClosed   EventKind = "books.closed"   // through a day
	BooksReopened EventKind = "books.reopened" // from a day on

	CostRecorded EventKind = "cost.recorded" // a purchase, outside work, another direct cost
	CostReversed EventKind = "cost.reversed"

	CounterSaleMade     EventKind = "counter_sale.made" // parts, over the counter
	CounterSaleReturned EventKind = "counter_sale.returned"

	DepositForfeited EventKind = "deposit.forfeited"
	DepositRefunded  EventKind = "deposit.refunded"
	DepositReversed  EventKind = "deposit.reversed" // with the opening that it came in with
	DepositTaken     EventKind = "deposit.taken"

	FindingAdded  EventKind = "finding.added"
	FindingStruck EventKind = "finding.struck"

	InstrumentAdded       EventKind = "instrument.added"
	InstrumentChanged     EventKind = "instrument.changed"
	InstrumentCleared     EventKind = "instrument.cleared"   // of a stop, or a clearance withdrawn
	InstrumentConsigned   EventKind = "instrument.consigned" // to us, for its owner
	InstrumentUnconsigned EventKind = "instrument.consignment_ended"
	InstrumentCosted      EventKind = "instrument.costed"      // lines of cost were posted
	InstrumentHandedOver  EventKind = "instrument.handed_over" // to its buyer
	InstrumentLost        EventKind = "instrument.lost"        // without a sale
	InstrumentMeasured    EventKind = "instrument.measured"
	InstrumentPartedOut   EventKind = "instrument.parted_out" // its parts came into stock
	// what is asked for it, or that it is no longer offered
	InstrumentPriced        EventKind = "instrument.priced"
	InstrumentReturned      EventKind = "instrument.returned" // by its buyer
	InstrumentScaleMeasured EventKind = "instrument.scale_measured"
	InstrumentValued        EventKind = "instrument.valued" // in stock
	InstrumentSold          EventKind = "instrument.sold"

	InvoiceCredited EventKind = "invoice.credited" // a credit note takes an invoice back
	InvoiceRaised   EventKind = "invoice.raised"   // to a client

	JobAccepted       EventKind = "job.accepted"
	JobChangeDecided  EventKind = "job.change_decided"
	JobChangeProposed EventKind = "job.change_proposed"
	JobClosed         EventKind = "job.closed"
	JobJoined         EventKind = "job.joined"
	JobLimitAgreed    EventKind = "job.limit_agreed"
	JobMoved          EventKind = "job.moved"
	JobResumed        EventKind = "job.resumed"
	JobSettled        EventKind = "job.settled" // which was given up
	JobSuspended      EventKind = "job.suspended"

	KitAdded   EventKind = "kit.added"
	KitChanged EventKind = "kit.changed"

	OpeningMade     EventKind = "opening.made"     // of the books, with what there was by then
	OpeningReversed EventKind = "opening.reversed" // as a whole

	OrderCancelled EventKind = "order.cancelled" // what was outstanding of it
	OrderChanged   EventKind = "order.changed"
	OrderDelivered EventKind = "order.delivered"
	OrderExpected  EventKind = "order.expected" // on a new day
	OrderPlaced    EventKind = "order.placed"
	OrderReturned  EventKind = "order.returned" // something went back to the supplier

	OverheadDisposed EventKind = "overhead.disposed"
	OverheadRestored EventKind = "overhead.restored" // a disposition was taken back
	OverheadSpent    EventKind = "overhead.spent"

	PartAdded        EventKind = "part.added"
	PartAdjusted     EventKind = "part.adjusted" // what a receipt has cost
	PartChanged      EventKind = "part.changed"
	PartCounted      EventKind = "part.counted"
	PartIssued       EventKind = "part.issued"
	PartMoveReversed EventKind = "part.move_reversed"
	PartReceived     EventKind = "part.received"
	PartRecosted     EventKind = "part.recosted" // by a receipt that was entered late
	PartReturned     EventKind = "part.returned" // from a job into stock
	PartScrapped     EventKind = "part.scrapped"
	PartSentBack     EventKind = "part.sent_back"

	PartClassAdded   EventKind = "part_class.added"
	PartClassChanged EventKind = "part_class.changed"

	PartyAdded   EventKind = "party.added"
	PartyChanged EventKind = "party.changed"

	PersonAdded         EventKind = "person.added"
	PersonChanged       EventKind = "person.changed"
	PersonHoursApproved EventKind = "person.hours_approved" // of a week
	PersonOnDuty        EventKind = "person.on_duty"        // hours that belong to no job

	PlanMade EventKind = "plan.made"

	PromiseEnded EventKind = "promise.ended"
	PromiseMade  EventKind = "promise.made"

	QuotationAnswered EventKind = "quotation.answered"
	QuotationMade     EventKind = "quotation.made"
	QuotationReplaced EventKind = "quotation.replaced"

	RatesCorrected EventKind = "rates.corrected" // posted hours were costed anew
	RatesSet       EventKind = "rates.set"       // what an hour costs from a day on

	ScopeDrawn  EventKind = "scope.drawn"
	ScopeEdited EventKind = "scope.edited"
	ScopeMoved  EventKind = "scope.moved"

	SendingEnded    EventKind = "sending.ended"    // what was out is back, or lost
	SendingExpected EventKind = "sending.expected" // back on another day
	SendingMade     EventKind = "sending.made"     // something went to an outside firm

	StationAdded   EventKind = "station.added"
	StationChanged EventKind = "station.changed"

	SupplierBillCredited EventKind = "supplier_bill.credited" // by a credit note
	SupplierBillEntered  EventKind = "supplier_bill.entered"
	SupplierBillPaid     EventKind = "supplier_bill.paid"

	SurveyTaken EventKind = "survey.taken"

	TaskProgressed EventKind = "task.progressed"
	TaskWorked     EventKind = "task.worked" // hours entered, or taken back

	TokenIssued  EventKind = "token.issued"
	TokenRevoked EventKind = "token.revoked"

	WorkshopChanged   EventKind = "workshop.changed"
	WorkshopConfirmed EventKind = "workshop.confirmed"
	WorkshopFounded   EventKind = "workshop.founded"
	WorkshopJoined    EventKind = "workshop.joined"
)

// OfferRecorded returns the kind of event of a step in the negotiation about a price.
func OfferRecorded(step string) EventKind { return EventKind("offer." + step) }

// PartMoved returns the kind of event of a move of a part, by what the move does.
func PartMoved(move string) EventKind {
	return map[string]EventKind{
		"receipt": PartReceived, "issue": PartIssued, "return": PartReturned,
		"sent_back": PartSentBack, "count": PartCounted, "scrap": PartScrapped,
		"adjustment": PartAdjusted, "reversal": PartMoveReversed, "recosting": PartRecosted,
	}[move]
}
