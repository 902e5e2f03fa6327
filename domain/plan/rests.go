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
	domain.StationAdded, domain.StationChanged,
	domain.TaskProgressed, domain.TaskWorked,
	domain.WorkshopChanged,
}
