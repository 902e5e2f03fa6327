package job

import (
	"fmt"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
)

// WorkConsent is a client's yes to a job that no accepted quotation of theirs covers: who said it,
// when, how, and to what.
type WorkConsent struct {
	Consent
	To      string    // what they said yes to, as it was put to them
	Version int64     // of the scope that they said yes to
	Instead uuid.UUID // the accepted quotation that the job departs from; zero: there is none

	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// CheckConsent checks that a job on a client's instrument is what its client said yes to: the
// option of a quotation, unedited since it was quoted, or the scope that a recorded consent is
// for. accepted is the quotation that the client accepted last, or nil. Once its option has
// become a job, it covers no other, and what a former client accepted covers nothing. client is
// whose instrument it is. The consent that is to be recorded comes back complete; nil where the
// quotation covers the job.
func CheckConsent(
	accepted *Quotation, client, scope uuid.UUID, version int64, given *WorkConsent,
	today domain.Date,
) (*WorkConsent, error) {
	if accepted != nil && (!accepted.binds() || accepted.Party != client) {
		accepted = nil
	}
	covered := accepted != nil && accepted.covers(scope, version)
	switch {
	case covered && given == nil:
		return nil, nil
	case covered:
		return nil, domain.Faults{{
			Pointer: "#/consent",
			Detail:  "must be left out: the client accepted this scope in the quotation " + accepted.ID.String(),
		}}.Err()
	case given == nil:
		return nil, noConsent(accepted, scope)
	}
	var f domain.Faults
	checkClient(&f, "#/consent/party", given.Party, client)
	checkPast(&f, "#/consent/given_on", given.On, today)
	if accepted != nil && given.On.DaysUntil(accepted.Answer.On) > 0 {
		f.Add("#/consent/given_on",
			"must be %s or later, when the client accepted a quotation for other work", accepted.Answer.On)
	}
	if given.How == "" {
		f.Add("#/consent/how", "must say how it was given")
	}
	if given.To == "" {
		f.Add("#/consent/to", "must say what the client said yes to")
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	c := *given
	c.Version = version
	if accepted != nil {
		c.Instead = accepted.ID
	}
	return &c, nil
}

// binds reports whether a quotation was accepted and its option hasn't become a job yet.
func (q Quotation) binds() bool { return q.Answer != nil && q.Answer.Accepted && q.Job == nil }

// covers reports whether a scope at a version is what the client accepted.
func (q Quotation) covers(scope uuid.UUID, version int64) bool {
	o := q.Options[q.Answer.Option-1]
	return o.Scope == scope && o.Version == version
}

// noConsent returns the refusal of a job that nobody recorded a yes to.
func noConsent(accepted *Quotation, scope uuid.UUID) error {
	f := domain.Refuse(
		domain.Conflict,
		"the client's consent is needed: quote for this scope and have it accepted, or record in "+
			"consent who said yes to it, when and how",
	)
	if accepted == nil {
		f.Chain = []string{"the instrument is a client's, and no quotation for this scope was accepted"}
		return f
	}
	o := accepted.Options[accepted.Answer.Option-1]
	if o.Scope == scope {
		f.Chain = append(f.Chain, fmt.Sprintf(
			"the scope has been edited since the client accepted it on %s", accepted.Answer.On,
		))
	}
	f.Chain = append(f.Chain,
		fmt.Sprintf("on %s the client accepted option %d, %q, at %s: the scope %s",
			accepted.Answer.On, o.Number, o.Title, o.Total, o.Scope),
		fmt.Sprintf("it is an option of the quotation %s of %s", accepted.ID, accepted.QuotedOn),
	)
	return f
}

// CheckNoConsent returns an Invalid Fault where a consent is given for an instrument that no
// client owns.
func CheckNoConsent(given *WorkConsent) error {
	var f domain.Faults
	if given != nil {
		f.Add("#/consent", "must be left out: the instrument isn't a client's")
	}
	return f.Err()
}
