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

	FindingAdded  EventKind = "finding.added"
	FindingStruck EventKind = "finding.struck"

	InstrumentAdded         EventKind = "instrument.added"
	InstrumentChanged       EventKind = "instrument.changed"
	InstrumentCleared       EventKind = "instrument.cleared" // of a stop, or a clearance withdrawn
	InstrumentMeasured      EventKind = "instrument.measured"
	InstrumentScaleMeasured EventKind = "instrument.scale_measured"

	JobAccepted       EventKind = "job.accepted"
	JobChangeDecided  EventKind = "job.change_decided"
	JobChangeProposed EventKind = "job.change_proposed"
	JobClosed         EventKind = "job.closed"
	JobJoined         EventKind = "job.joined"
	JobLimitAgreed    EventKind = "job.limit_agreed"
	JobMoved          EventKind = "job.moved"
	JobResumed        EventKind = "job.resumed"
	JobSuspended      EventKind = "job.suspended"

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

	ScopeDrawn  EventKind = "scope.drawn"
	ScopeEdited EventKind = "scope.edited"
	ScopeMoved  EventKind = "scope.moved"

	StationAdded   EventKind = "station.added"
	StationChanged EventKind = "station.changed"

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
