package job_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
)

func TestAClientsPianoStaysTheirsUnderItsOpenJob(t *testing.T) {
	t.Parallel()
	open := job.Job{ID: uuid.UUID{8}, State: job.Held}
	of := func(owner instrument.Ownership, party uuid.UUID) instrument.Instrument {
		return instrument.Instrument{Owner: owner, Party: party}
	}
	theirs := of(instrument.Client, aClient)
	for _, c := range []struct {
		name    string
		on      []job.Job
		was, is instrument.Instrument
		want    domain.FaultKind
	}{
		{"corrected otherwise", []job.Job{open}, theirs, theirs, ""},
		{"another client", []job.Job{open}, theirs, of(instrument.Client, uuid.UUID{2}), domain.Conflict},
		{"no client", []job.Job{open}, theirs, of(instrument.Client, uuid.Nil), domain.Conflict},
		{"ours", []job.Job{open}, theirs, of(instrument.Stock, aClient), domain.Conflict},
		{"on offer", []job.Job{open}, theirs, of(instrument.Offered, aClient), domain.Conflict},
		{"entered late", []job.Job{open}, of(instrument.Client, uuid.Nil), theirs, ""},
		{"no job", nil, theirs, of(instrument.Stock, uuid.Nil), ""},
		{"closed", []job.Job{{State: job.Closed}}, theirs, of(instrument.Stock, uuid.Nil), ""},
		{"ours before", []job.Job{open}, of(instrument.Stock, uuid.Nil), theirs, ""},
	} {
		err := job.CheckKeepsHands(c.on, c.was, c.is)
		if domaintest.KindOf(err) != c.want ||
			err != nil && !strings.Contains(err.Error(), open.ID.String()) {
			t.Errorf("%s: got %v, want %q that names the job", c.name, err, c.want)
		}
	}
}
