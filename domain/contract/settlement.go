package contract

import (
	"time"

	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// Settlement says of a job that was given up that what is invoiced and not credited stays ours,
// with its tax, and that nothing more is claimed. Which of it we may keep is a matter of the
// agreement and the law: ask your adviser.
type Settlement struct {
	Job        uuid.UUID
	On         domain.Date
	PostedOn   domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Settle checks a settlement and completes it. Only what was given up is settled, and only once
// nothing of a deposit is held: what has become of it is a record of its own.
func (x Settlement) Settle(s Stands) (Settlement, error) {
	const refused = "the job can't be settled"
	x.Job = s.Job.ID
	if x.On.IsZero() {
		x.On = s.Today
	}
	var f domain.Faults
	f.CheckHappened("#/on", x.On, s.Today)
	checkText(&f, "#/why", x.Note, "what was agreed with the client", domain.MaxText)
	if s.Job.State == job.Closed {
		checkNotBefore(&f, x.On, s.Job.ClosedOn, "the end of the job")
	}
	for _, i := range s.Invoices {
		checkNotBefore(&f, x.On, i.On, "the last invoice")
	}
	if err := f.Err(); err != nil {
		return x, err
	}
	if err := s.checkClients(refused); err != nil {
		return x, err
	}
	if err := s.checkUnsettled(refused); err != nil {
		return x, err
	}
	switch {
	case s.Job.State != job.Closed:
		return x, domain.Refuse(domain.Conflict, "%s: work on it goes on. Close it first", refused)
	case s.Job.Outcome == job.Finished:
		return x, domain.Refuse(domain.Conflict,
			"%s: it was finished, so that all that was accepted is earned", refused)
	case !s.held().IsZero():
		return x, domain.Refuse(domain.Conflict,
			"%s: %s of the client's deposits is held. Refund it, or have it forfeited, first", refused,
			s.held())
	}
	days := []domain.Date{x.On, s.Job.ClosedOn}
	for _, i := range s.Invoices {
		days = append(days, i.PostedOn)
	}
	x.PostedOn = s.Books.PostingDay(days...)
	return x, nil
}
