package plan

import "bentside/domain"

// RestsOn are the kinds of event that change what a plan of the whole shop is made from.
var RestsOn = append([]domain.EventKind{domain.PromiseMade, domain.PromiseEnded}, DatesRestOn...)

// DatesRestOn are the kinds of event that change the dates of the work in the queue and of whatever
// comes behind it.
var DatesRestOn = []domain.EventKind{
	domain.AbsenceAdded, domain.AbsenceWithdrawn,
	domain.JobAccepted, domain.JobChangeDecided, domain.JobClosed, domain.JobJoined, domain.JobMoved,
	domain.JobResumed, domain.JobSuspended,
	domain.PersonAdded, domain.PersonChanged,
	domain.SendingEnded, domain.SendingExpected, domain.SendingMade,
	domain.StationAdded, domain.StationChanged,
	domain.TaskProgressed, domain.TaskWorked,
	domain.WorkshopChanged,
}

// DatesRestOnParts are the kinds of event that may change when the parts of the work in the queue
// are there, where they are about one of those parts, or about an order that is made for a task.
var DatesRestOnParts = []domain.EventKind{
	domain.OrderCancelled, domain.OrderChanged, domain.OrderDelivered, domain.OrderExpected,
	domain.OrderPlaced, domain.OrderReturned,
	domain.PartAdded, domain.PartChanged, domain.PartCounted, domain.PartIssued,
	domain.PartMoveReversed, domain.PartReceived, domain.PartReturned, domain.PartScrapped,
	domain.PartSentBack,
}

// DatesRestOnQueued are the kinds of event that may change what stops an instrument, and so the
// dates of the work in the queue where a job in it is on that instrument.
var DatesRestOnQueued = []domain.EventKind{
	domain.FindingAdded, domain.FindingStruck, domain.InstrumentCleared, domain.SurveyTaken,
}
