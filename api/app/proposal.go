package app

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// NewProposal asks for a change of a job: because of findings, new or already in its survey, by
// edits, or by another depth.
type NewProposal struct {
	ID       uuid.UUID
	Job      uuid.UUID
	Says     string
	Findings []survey.Finding // new, to be added to the survey
	Recorded []uuid.UUID      // findings already in the survey
	Edits    []scope.Edit
	Depth    catalogue.Depth  // empty: the job's
	Price    *decimal.Decimal // of the variation, including tax; nil: computed from its cost
	AnswerBy domain.Date      // zero: two weeks from today
}

// ShownProposal is a proposal with what the client lets us spend without asking.
type ShownProposal struct {
	job.Proposal
	Allowance    job.Allowance
	NeedsConsent bool
}

// Propose computes what a change would do to a job and stores it for decision. If it needs the
// client's consent, the job goes on hold until the answer.
func (a *App) Propose(ctx context.Context, actor Actor, n NewProposal) (ShownProposal, error) {
	var made ShownProposal
	load := func(ctx context.Context, s postgres.Snapshot) (proposalFile, error) {
		j, err := s.Job(ctx, n.Job)
		if err != nil {
			return proposalFile{}, err
		}
		return a.loadProposal(ctx, s.Reader, actor, s.At, j, n)
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteProgress, brief, load, propose, func(
		tx *postgres.Tx, c computed[proposalFile, proposed],
	) error {
		j, err := lockForChange(ctx, tx, n.Job)
		if err != nil {
			return err
		}
		now, err := a.loadProposal(
			ctx, tx.Reader, actor, tx.Now(), Versioned[job.Job]{Value: j.job, Version: j.version}, n,
		)
		if err != nil {
			return err
		}
		if err := c.in.checkStands(now); err != nil {
			return err
		}
		for _, f := range c.out.fresh {
			tx.Note(domain.FindingAdded, now.survey.ID, findingNoted(j.job.Instrument, f))
			if err := tx.AddFinding(ctx, now.survey.ID, f); err != nil {
				return err
			}
		}
		p := c.out.Proposal
		p.ProposedBy, p.ProposedAt = actor.User, tx.Now()
		if made, err = withSpendingLimit(ctx, tx.Reader, p); err != nil {
			return err
		}
		if err := holdJob(ctx, j, &made); err != nil {
			return err
		}
		tx.Note(domain.JobChangeProposed, n.Job, proposalNoted(j.job.Instrument, made))
		return tx.AddProposal(ctx, made.Proposal)
	})
	return made, err
}

// proposalFile is what a proposal rests on.
type proposalFile struct {
	jobData
	asked   NewProposal
	version int64 // of the job
	today   domain.Date
	at      time.Time
	shop    shopState
	stops   clearance.Record // of the instrument, without what is proposed
	actor   Actor
}

// loadProposal loads what a proposal rests on and refuses what can't be proposed at all.
func (a *App) loadProposal(
	ctx context.Context, r postgres.Reader, actor Actor, at time.Time, j Versioned[job.Job],
	n NewProposal,
) (proposalFile, error) {
	f := proposalFile{asked: n, version: j.Version, at: at, actor: actor}
	if _, err := j.Value.State.After(job.CommandChange); err != nil {
		return f, err
	}
	if n.Price != nil && !actor.Role.May(domain.ReadMoney) {
		return f, domain.Refuse(
			domain.Forbidden, "the role %s may not see money, so it may not set a price", actor.Role,
		)
	}
	var err error
	if f.jobData, err = a.loadJob(ctx, r, j.Value); err != nil {
		return f, err
	}
	f.today = domain.DateOf(at.In(f.zone))
	if f.shop, err = a.loadShop(ctx, r); err != nil {
		return f, err
	}
	f.stops, err = a.stopRecord(ctx, r, f.instrument, f.workshop)
	return f, err
}

// stoppedBy returns what stops the instrument once something more was found.
func (f proposalFile) stoppedBy(fresh []survey.Finding) (clearance.List, error) {
	record, s := f.stops, f.survey
	s.Findings = slices.Clone(fresh)
	for i := range s.Findings {
		s.Findings[i].Entered = survey.Authorship{By: f.actor.User, As: f.actor.Role, At: f.at}
	}
	record.Surveys = slices.Clone(record.Surveys)
	at := slices.IndexFunc(
		record.Surveys, func(x survey.Survey) bool { return x.ID == s.ID },
	)
	if at < 0 {
		record.Surveys = append(record.Surveys, s)
	} else {
		all := slices.Concat(record.Surveys[at].Findings, s.Findings)
		record.Surveys[at].Findings = all
	}
	return clearance.StopsOf(record)
}

// checkStands returns a movedError if what a change was worked out from has changed since it was
// read, under the lock of the job. Hours booked on other jobs meanwhile leave it as it is: its
// effect on dates is that of its moment.
func (f proposalFile) checkStands(now proposalFile) error {
	switch {
	case f.version != now.version || f.today != now.today:
		return &movedError{"the job"}
	case !reflect.DeepEqual(f.survey, now.survey):
		return &movedError{"the survey"}
	case !reflect.DeepEqual(f.jobData, now.jobData):
		return &movedError{"what the job is worked out from"}
	}
	return f.shop.checkStands(now.shop)
}

// proposed is a proposal that was worked out, with the findings that are to be added to the
// survey.
type proposed struct {
	job.Proposal
	fresh []survey.Finding
}

// propose works a proposal out.
func propose(ctx context.Context, f proposalFile) (p proposed, err error) {
	n := f.asked
	p.Proposal = job.Proposal{ID: newID(n.ID), Job: n.Job, Text: n.Says}
	if p.Change, p.fresh, err = changeOf(ctx, f); err != nil {
		return p, err
	}
	if f.instrument.Owner == instrument.Client {
		err = setPrice(&p.Proposal, n, f.workshop.Terms, f.today)
	}
	return p, err
}

// changeOf returns the change that is asked for, with its effect, and the findings that are new.
func changeOf(ctx context.Context, f proposalFile) (job.Change, []survey.Finding, error) {
	n := f.asked
	found := job.Grounds{Edits: n.Edits, Depth: n.Depth, New: slices.Clone(n.Recorded)}
	var unknown domain.Faults
	for i, id := range n.Recorded {
		if !slices.ContainsFunc(f.survey.Findings, func(f survey.Finding) bool { return f.ID == id }) {
			unknown.Add(fmt.Sprintf("#/recorded/%d", i), "%s isn't a finding of the job's survey", id)
		}
	}
	fresh, err := survey.CheckFindings(f.catalogue, f.instrument.Kind, n.Findings)
	var late error
	if f.instrument.Owner == instrument.Client {
		_, late = job.AnswerBy(n.AnswerBy, f.today)
	}
	if err := domain.JoinFaults(unknown.Err(), err, late); err != nil {
		return job.Change{}, nil, err
	}
	for i := range fresh {
		fresh[i].ID = newID(fresh[i].ID)
		found.New = append(found.New, fresh[i].ID)
	}
	for _, x := range f.survey.Findings {
		if !slices.Contains(n.Recorded, x.ID) {
			found.Before = append(found.Before, x)
		}
	}
	found.After = slices.Concat(f.survey.Findings, fresh)
	change, err := job.ChangeOf(
		f.catalogue, f.instrument, f.job, f.scope.Edits, found, f.workshop.Terms.PointOdds(),
	)
	if err != nil {
		return change, nil, err
	}
	dearer := n.Price != nil && f.instrument.Owner == instrument.Client
	if change.Empty() && len(fresh) == 0 && !dearer {
		return change, nil, domain.Faults{
			{
				Pointer: "#",
				Detail:  "changes nothing; give a new finding, a change of the work or, for a client, a price",
			},
		}.Err()
	}
	change.Effect, err = effectOf(ctx, f, change, fresh)
	return change, fresh, err
}

// effectOf returns the effect of a change on hours, cost and dates.
func effectOf(
	ctx context.Context, f proposalFile, change job.Change, fresh []survey.Finding,
) (job.Effect, error) {
	after, err := f.job.Apply(f.catalogue, change)
	if err != nil {
		return job.Effect{}, err
	}
	stops, err := f.stoppedBy(fresh)
	if err != nil {
		return job.Effect{}, err
	}
	after = after.StoppedBy(stops)
	was, err := job.CostToGo(f.catalogue, f.instrument, f.judgements, f.job, f.workshop.Terms)
	if err != nil {
		return job.Effect{}, err
	}
	is, err := job.CostToGo(f.catalogue, f.instrument, f.judgements, after, f.workshop.Terms)
	if err != nil {
		return job.Effect{}, err
	}
	effect := job.EffectOf(f.job, after, was.Costs.Total, is.Costs.Total)
	before, err := datesIfAny(f.shop.forecast(ctx, f.at))
	if err != nil {
		return effect, err
	}
	shop := f.shop
	shop.queue = slices.Clone(shop.queue)
	for i := range shop.queue {
		if q := &shop.queue[i]; q.job.ID == after.ID {
			q.work.Left = q.remaining(after, f.instrument, f.zone)
		}
	}
	now, err := datesIfAny(shop.forecast(ctx, f.at))
	effect.ReadyBefore, effect.ReadyAfter = before[after.ID].Ready, now[after.ID].Ready
	for _, q := range shop.queue {
		if id := q.job.ID; id != after.ID && !before[id].Ready.Equal(now[id].Ready) {
			effect.Others = append(
				effect.Others, job.Shift{Job: id, Before: before[id].Ready, After: now[id].Ready},
			)
		}
	}
	return effect, err
}

// datesIfAny turns the Conflict of work that can't be dated into no dates.
func datesIfAny(dates map[uuid.UUID]plan.Timeline, err error) (map[uuid.UUID]plan.Timeline, error) {
	if faultIs(err, domain.Conflict) {
		return nil, nil
	}
	return dates, err
}

// setPrice sets the price of a client's proposal and the date by which to answer.
func setPrice(p *job.Proposal, n NewProposal, t domain.Terms, today domain.Date) error {
	cost := p.Change.Effect.Cost.Expected
	price, err := job.VariationPrice(cost, t)
	if n.Price != nil {
		price, err = money.Round(*n.Price, cost.Currency(), money.HalfUp)
	}
	if err != nil {
		return domain.Faults{{Pointer: "#/price/amount", Detail: err.Error()}}.Err()
	}
	p.Price = &price
	p.AnswerBy, err = job.AnswerBy(n.AnswerBy, today)
	return err
}

// holdJob puts an open job on hold until the client has answered, if the proposal needs consent.
func holdJob(ctx context.Context, c jobChange, p *ShownProposal) error {
	if !p.NeedsConsent || c.job.State != job.Open {
		return nil
	}
	s := job.Suspension{
		ID: newID(uuid.Nil), Why: "waiting for the client's answer: " + p.Text, Since: c.tx.Now(),
		Until: p.AnswerBy,
	}
	held, err := c.job.Suspend(s, c.today)
	if err != nil {
		return err
	}
	p.Hold = s.ID
	c.tx.Note(domain.JobSuspended, c.job.ID, suspensionNoted(held, s))
	return c.tx.AddSuspension(ctx, held, s, c.version)
}

// Proposals returns a page of the proposals of a job in the order in which they were made.
func (a *App) Proposals(
	ctx context.Context, actor Actor, jobID uuid.UUID, p postgres.Page,
) ([]ShownProposal, error) {
	r := a.Read(ctx, actor)
	if _, err := r.Job(ctx, jobID); err != nil {
		return nil, err
	}
	list, err := r.Proposals(ctx, jobID, p)
	if err != nil {
		return nil, err
	}
	shown := make([]ShownProposal, len(list))
	for i, p := range list {
		if shown[i], err = withSpendingLimit(ctx, r, p); err != nil {
			return nil, err
		}
	}
	return shown, nil
}
