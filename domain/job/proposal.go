package job

import (
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Proposal is a change of a job that somebody asks for, because of what was found while working or
// for another reason. By itself it changes nothing: the manager accepts or refuses it, with a
// reason. An accepted proposal changes the tasks, and never the baseline.
type Proposal struct {
	ID     uuid.UUID
	Job    uuid.UUID
	Text   string // what was found, or why else it is proposed
	Change Change
	// Price is what a client would pay for the variation, tax included; nil for an instrument of
	// our own.
	Price    *money.Amount
	AnswerBy domain.Date // the last day for an answer; zero for an instrument of our own
	Hold     uuid.UUID   // the suspension until the answer comes; zero: none

	ProposedBy uuid.UUID
	ProposedAt time.Time
	Decision   *Decision // nil: still open
}

// Decision is the answer to a proposal.
type Decision struct {
	Accepted bool
	Reason   string
	Consent  *Consent // of the client
	// Again is undone work that is to be done again. What else the change undoes stands as done.
	Again     []catalogue.Code
	DecidedBy uuid.UUID
	DecidedAt time.Time
}

// Consent is how a client agreed.
type Consent struct {
	Party uuid.UUID
	On    domain.Date
	How   string // by letter, on the telephone to whom, …
}

// answerDays is how long a client has to answer unless somebody says otherwise (common practice,
// no source).
const answerDays = 14

// AnswerBy returns the last day for an answer: the one given, or the usual one where none is.
func AnswerBy(given, today domain.Date) (domain.Date, error) {
	if given.IsZero() {
		return today.AddDays(answerDays), nil
	}
	if d := today.DaysUntil(given); d < 0 || d > domain.MaxRestDays {
		var f domain.Faults
		f.Add("#/answer_by", "must be today or later, at most %d days away", domain.MaxRestDays)
		return given, f.Err()
	}
	return given, nil
}

// Decide answers a proposal, once. client is whose instrument it is.
func (p Proposal) Decide(
	d Decision, a Allowance, client uuid.UUID, today, proposedOn domain.Date,
) (Proposal, error) {
	if p.Decision != nil {
		word := "refused"
		if p.Decision.Accepted {
			word = "accepted"
		}
		return p, domain.Refuse(
			domain.Conflict, "the proposal was %s already: %s", word, p.Decision.Reason,
		)
	}
	if err := p.checkDecision(d, client, today, proposedOn); err != nil {
		return p, err
	}
	if d.Accepted && d.Consent == nil && p.NeedsConsent(a) {
		return p, p.mustAsk(a)
	}
	p.Decision = &d
	return p, nil
}

// mustAsk returns the refusal of a variation about which the client has to be asked.
func (p Proposal) mustAsk(a Allowance) error {
	f := domain.Refuse(
		domain.Conflict, "the client's recorded consent is needed: %s", p.whyAsk(a),
	)
	f.Chain = []string{"the variation comes to " + p.Price.String()}
	if a.Limit != nil {
		f.Chain = append(f.Chain, "the limit agreed beforehand is "+a.Limit.String())
	}
	f.Chain = append(f.Chain,
		"variations of "+a.Spent.String()+" were accepted without asking before",
	)
	for _, l := range p.Change.Removed {
		f.Chain = append(f.Chain, fmt.Sprintf("%s, %s, would be left out", l.Operation, l.Name))
	}
	return f
}

func (p Proposal) checkDecision(
	d Decision, client uuid.UUID, today, proposedOn domain.Date,
) error {
	var f domain.Faults
	if d.Reason == "" {
		f.Add("#/reason", "must say why")
	}
	p.checkAgain(&f, d)
	switch c := d.Consent; {
	case c != nil && p.Price == nil:
		f.Add("#/consent", "must be left out: this was proposed for an instrument that isn't a client's")
	case c != nil:
		checkClient(&f, "#/consent/party", c.Party, client)
		checkPast(&f, "#/consent/given_on", c.On, today)
		if c.On.DaysUntil(proposedOn) > 0 {
			f.Add("#/consent/given_on", "must be the day of the proposal, %s, or later", proposedOn)
		}
		if c.How == "" {
			f.Add("#/consent/how", "must say how it was given")
		}
	}
	return f.Err()
}
