package app_test

import (
	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/hours"

	"github.com/google/uuid"
)

// hand adds somebody to the crew.
func (s shop) hand() uuid.UUID {
	s.Helper()
	p, err := s.app.AddPerson(s.Context(), s.who, somebody())
	s.ok(err)
	return p.Value.ID
}

// worked enters hours of somebody new on a task, round the clock up to this morning.
func (s shop) worked(j uuid.UUID, code catalogue.Code, minutes int, reason string) {
	s.Helper()
	hand := s.hand()
	for day := domain.DateOf(morning); minutes > 0; day = day.AddDays(-1) {
		_, err := s.app.EnterHours(s.Context(), s.who, app.HoursDraft{Entry: hours.Entry{
			Person: hand, Job: j, Operation: code, On: day, Minutes: min(minutes, hours.MaxMinutesADay),
			Reason: reason,
		}})
		s.ok(err)
		minutes -= hours.MaxMinutesADay
	}
}
