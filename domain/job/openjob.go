package job

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/instrument"

	"github.com/google/uuid"
)

// CheckNoneOpen returns a Conflict Fault that names the job where a scope is a job already, or
// where another job is open on its instrument. on are all jobs on the instrument.
func CheckNoneOpen(on []Job, scope uuid.UUID) error {
	for _, j := range on {
		if j.Scope == scope {
			return alreadyAJob(j)
		}
	}
	for _, j := range on {
		if j.State == Closed {
			continue
		}
		f := domain.Refuse(
			domain.Conflict,
			"another job is open on the instrument: propose a change of it, or close it first",
		)
		f.Chain = []string{openJob(j)}
		return f
	}
	return nil
}

// CheckKeepsHands returns a Conflict Fault that names the open job under which a client's
// instrument would become somebody else's or ours: quotation, spending limit and consents are the
// client's. on are all jobs on the instrument. A client who wasn't recorded can be entered.
func CheckKeepsHands(on []Job, was, is instrument.Instrument) error {
	kept := is.Owner == instrument.Client && (is.Party == was.Party || was.Party == uuid.Nil)
	if was.Owner != instrument.Client || kept {
		return nil
	}
	for _, j := range on {
		if j.State == Closed {
			continue
		}
		f := domain.Refuse(
			domain.Conflict,
			"the instrument can't change hands under its open job %s: what was quoted and agreed is its "+
				"client's; close the job first", j.ID,
		)
		f.Chain = []string{openJob(j)}
		return f
	}
	return nil
}

// openJob describes an open job that stands in the way.
func openJob(j Job) string {
	return fmt.Sprintf(
		"the job %s was accepted on %s and is %s; its scope is %s", j.ID, j.AcceptedOn, j.State, j.Scope,
	)
}

// alreadyAJob returns the refusal of a scope that a job was made of.
func alreadyAJob(j Job) *domain.Fault {
	f := domain.Refuse(
		domain.Conflict,
		"the scope is a job already: propose a change of the job, or draw another scope",
	)
	f.Chain = []string{fmt.Sprintf("it was accepted as the job %s on %s", j.ID, j.AcceptedOn)}
	return f
}
