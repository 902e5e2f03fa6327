package app

import (
	"context"
	"fmt"
	"slices"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// NewProposal asks for a change of a job: because of findings, which are added
// to its survey, or were already; by edits; or by another depth.
type NewProposal struct {
	ID       uuid.UUID
	Job      uuid.UUID
	Says     string
	Findings []domain.Finding // to be added to the survey
	Recorded []uuid.UUID      // findings that were added before
	Edits    []domain.Edit
	Depth    catalogue.Depth  // empty: as deep as the job
	Price    *decimal.Decimal // of the variation, tax included; nil: reckoned from its cost
	AnswerBy domain.Date      // zero: in two weeks
}

// ShownProposal is a proposal with what the client lets us spend without asking.
type ShownProposal struct {
	domain.Proposal
	Limit        money.Amount
	Unasked      money.Amount
	NeedsConsent bool
}

// jobFile is a job with all that its work is drawn up and costed from.
type jobFile struct {
	job        domain.Job
	scope      postgres.Decision
	instrument domain.Instrument
	survey     domain.Survey
	judgements domain.Judgements
	workshop   domain.Workshop
	catalogue  *catalogue.Catalogue // the revision that the job is pinned to
	zone       *time.Location
}

// openFile loads a job's file.
func (a *App) openFile(ctx context.Context, r postgres.Reader, j domain.Job) (jobFile, error) {
	d, err := r.Scope(ctx, j.Scope)
	if err != nil {
		return jobFile{}, err
	}
	drawn, err := a.draw(ctx, r, d.Value)
	if err != nil {
		return jobFile{}, err
	}
	s, err := r.Survey(ctx, d.Value.Survey)
	if err != nil {
		return jobFile{}, err
	}
	zone, err := zoneOf(drawn.Workshop)
	if !j.KeepsLines() {
		j = j.WithLines(drawn.Scope)
	}
	return jobFile{
		job: j, scope: d.Value, instrument: drawn.Instrument, survey: s.Value, judgements: drawn.Judgements,
		workshop: drawn.Workshop, catalogue: drawn.Catalogue, zone: zone,
	}, err
}

// Propose works out what a change would do to a job, and asks for it. A
// client's job goes on hold while an answer is awaited that we need.
func (a *App) Propose(ctx context.Context, actor Actor, n NewProposal) (ShownProposal, error) {
	var made ShownProposal
	_, err := a.changeJob(ctx, actor, domain.WriteProgress, n.Job, func(c jobChange) error {
		if _, err := c.job.State.After(domain.ChangeJob); err != nil {
			return err
		}
		if n.Price != nil && !actor.Role.May(domain.ReadMoney) {
			return domain.Refuse(domain.Forbidden, "the role %s sees no money, so it names no price", actor.Role)
		}
		file, err := a.openFile(ctx, c.tx.Reader, c.job)
		if err != nil {
			return err
		}
		change, err := a.changeOf(ctx, c, file, n)
		if err != nil {
			return err
		}
		p := domain.Proposal{
			ID: newID(n.ID), Job: n.Job, Says: n.Says, Change: change, ProposedBy: actor.User, ProposedAt: c.tx.Now(),
		}
		if file.instrument.Owner == domain.Client {
			if err := priced(&p, n, file.workshop.Terms, c.today); err != nil {
				return err
			}
		}
		if made, err = withLimit(ctx, c.tx.Reader, p); err != nil {
			return err
		}
		if err := holdFor(ctx, c, &made); err != nil {
			return err
		}
		c.tx.Note("job.change_proposed", n.Job, map[string]any{
			"proposal": p.ID, "added": len(change.Added), "removed": len(change.Removed), "changed": len(change.Changed),
		})
		return c.tx.AddProposal(ctx, made.Proposal)
	})
	return made, err
}

// changeOf adds what was found to the job's survey and works out the change
// with its effect.
func (a *App) changeOf(ctx context.Context, c jobChange, file jobFile, n NewProposal) (domain.Change, error) {
	found := domain.Found{Edits: n.Edits, Depth: n.Depth, New: slices.Clone(n.Recorded)}
	for i, id := range n.Recorded {
		if !slices.ContainsFunc(file.survey.Findings, func(f domain.Finding) bool { return f.ID == id }) {
			return domain.Change{}, domain.Faults{{Pointer: fmt.Sprintf("#/recorded/%d", i), Detail: "is no finding of the job's survey"}}.Err()
		}
	}
	fresh, err := domain.CheckFindings(file.catalogue, file.instrument.Kind, n.Findings)
	if err != nil {
		return domain.Change{}, err
	}
	for i := range fresh {
		fresh[i].ID = newID(fresh[i].ID)
		found.New = append(found.New, fresh[i].ID)
		c.tx.Note("finding.added", file.survey.ID, map[string]any{"finding": fresh[i].ID, "point": fresh[i].Point})
		if err := c.tx.AddFinding(ctx, file.survey.ID, fresh[i]); err != nil {
			return domain.Change{}, err
		}
	}
	for _, f := range file.survey.Findings {
		if !slices.Contains(n.Recorded, f.ID) {
			found.Before = append(found.Before, f)
		}
	}
	found.After = slices.Concat(file.survey.Findings, fresh)
	change, err := domain.ChangeOf(file.catalogue, file.instrument, file.job, file.scope.Edits, found, file.workshop.Terms.UnknownOdds)
	if err != nil {
		return change, err
	}
	dearer := n.Price != nil && file.instrument.Owner == domain.Client
	if change.Empty() && len(fresh) == 0 && !dearer {
		return change, domain.Faults{{Pointer: "#", Detail: "changes nothing: the job is as this would have it, no finding is new and no client is asked for a price"}}.Err()
	}
	change.Effect, err = a.effectOf(ctx, c, file, change)
	return change, err
}

// effectOf is what a change comes to in hours, money and dates.
func (a *App) effectOf(ctx context.Context, c jobChange, file jobFile, change domain.Change) (domain.Effect, error) {
	after, err := file.job.With(file.catalogue, change)
	if err != nil {
		return domain.Effect{}, err
	}
	was, err := domain.ToGo(file.catalogue, file.instrument, file.judgements, file.job, file.workshop.Terms)
	if err != nil {
		return domain.Effect{}, err
	}
	is, err := domain.ToGo(file.catalogue, file.instrument, file.judgements, after, file.workshop.Terms)
	if err != nil {
		return domain.Effect{}, err
	}
	effect := domain.EffectOf(file.job, after, was.Costs.Total, is.Costs.Total)
	shop, err := a.shopNow(ctx, c.tx.Reader)
	if err != nil {
		return effect, err
	}
	before, err := dated(shop.forecast(c.tx.Now()))
	if err != nil {
		return effect, err
	}
	for i := range shop.queue {
		if q := &shop.queue[i]; q.job.ID == after.ID {
			q.work.Left = domain.LeftOf(after, file.instrument, file.zone)
		}
	}
	now, err := dated(shop.forecast(c.tx.Now()))
	effect.ReadyBefore, effect.ReadyAfter = before[after.ID].Ready, now[after.ID].Ready
	for _, q := range shop.queue {
		if id := q.job.ID; id != after.ID && !before[id].Ready.Equal(now[id].Ready) {
			effect.Others = append(effect.Others, domain.Shift{Job: id, Before: before[id].Ready, After: now[id].Ready})
		}
	}
	return effect, err
}

// dated leaves the dates out where the work cannot be dated.
func dated(dates map[uuid.UUID]domain.Timeline, err error) (map[uuid.UUID]domain.Timeline, error) {
	if faultIs(err, domain.Conflict) {
		return nil, nil
	}
	return dates, err
}

// priced gives a client's proposal its price and the day of the answer.
func priced(p *domain.Proposal, n NewProposal, t domain.Terms, today domain.Date) error {
	cost := p.Change.Effect.Cost.Likely
	price, err := domain.VariationPrice(cost, t)
	if n.Price != nil {
		price, err = money.Round(*n.Price, cost.Currency(), money.HalfUp)
	}
	if err != nil {
		return domain.Faults{{Pointer: "#/price/amount", Detail: err.Error()}}.Err()
	}
	p.Price = &price
	p.AnswerBy, err = domain.AnswerBy(n.AnswerBy, today)
	return err
}

// holdFor puts a job on hold until the client has answered, where the proposal
// needs an answer and the job is not on hold yet.
func holdFor(ctx context.Context, c jobChange, p *ShownProposal) error {
	if !p.NeedsConsent || c.job.State != domain.JobOpen {
		return nil
	}
	s := domain.Suspension{ID: newID(uuid.Nil), Why: "the client's answer is awaited: " + p.Says, Since: c.tx.Now(), Until: p.AnswerBy}
	held, err := c.job.Suspend(s, c.today)
	if err != nil {
		return err
	}
	p.Hold = s.ID
	c.tx.Note("job.suspended", c.job.ID, map[string]any{"suspension": s.ID, "until": s.Until})
	return c.tx.AddSuspension(ctx, held, s, c.version)
}

// Proposals are the proposals of a job in order of making.
func (a *App) Proposals(ctx context.Context, actor Actor, job uuid.UUID) ([]ShownProposal, error) {
	r := a.Read(ctx, actor)
	if _, err := r.Job(ctx, job); err != nil {
		return nil, err
	}
	list, err := r.Proposals(ctx, job)
	if err != nil {
		return nil, err
	}
	shown := make([]ShownProposal, len(list))
	for i, p := range list {
		if shown[i], err = withLimit(ctx, r, p); err != nil {
			return nil, err
		}
	}
	return shown, nil
}

// withLimit holds a proposal against what the client lets us spend.
func withLimit(ctx context.Context, r postgres.Reader, p domain.Proposal) (ShownProposal, error) {
	shown := ShownProposal{Proposal: p}
	if p.Price == nil {
		return shown, nil
	}
	limits, err := r.SpendingLimits(ctx, p.Job)
	if err != nil {
		return shown, err
	}
	all, err := r.Proposals(ctx, p.Job)
	if err != nil {
		return shown, err
	}
	shown.Limit = money.Zero(p.Price.Currency())
	if n := len(limits); n > 0 {
		shown.Limit = limits[n-1].Limit
	}
	shown.Unasked = domain.Unasked(p.Price.Currency(), all)
	shown.NeedsConsent = p.Decision == nil && p.NeedsConsent(shown.Limit, shown.Unasked)
	return shown, nil
}

// Decide accepts or refuses a proposal. An accepted one changes the job's tasks;
// the hold that awaited the answer ends either way.
func (a *App) Decide(ctx context.Context, actor Actor, job, proposal uuid.UUID, d domain.Decision) (ShownProposal, error) {
	var decided ShownProposal
	_, err := a.changeJob(ctx, actor, domain.WriteJobs, job, func(c jobChange) error {
		if _, err := c.job.State.After(domain.ChangeJob); err != nil {
			return err
		}
		p, err := c.tx.Reader.Proposal(ctx, job, proposal)
		if err != nil {
			return err
		}
		if decided, err = withLimit(ctx, c.tx.Reader, p); err != nil {
			return err
		}
		file, err := a.openFile(ctx, c.tx.Reader, c.job)
		if err != nil {
			return err
		}
		d.DecidedBy, d.DecidedAt = actor.User, c.tx.Now()
		made := domain.DateOf(p.ProposedAt.In(file.zone))
		if decided.Proposal, err = p.Decide(d, decided.Limit, decided.Unasked, c.today, made); err != nil {
			return err
		}
		decided.NeedsConsent = false
		if err := c.tx.AddDecision(ctx, proposal, *decided.Decision); err != nil {
			return err
		}
		c.tx.Note("job.change_decided", job, map[string]any{"proposal": proposal, "accepted": d.Accepted, "reason": d.Reason})
		return settle(ctx, c, file, decided.Proposal)
	})
	return decided, err
}

// settle does what a decision asks for.
func settle(ctx context.Context, c jobChange, file jobFile, p domain.Proposal) error {
	if p.Hold != uuid.Nil && slices.ContainsFunc(c.job.Suspensions, func(s domain.Suspension) bool { return s.ID == p.Hold }) {
		free, err := c.job.Resume(p.Hold)
		if err != nil {
			return err
		}
		if err := c.tx.EndSuspension(ctx, free, p.Hold, "the client has answered", c.version); err != nil {
			return err
		}
		c.tx.Note("job.resumed", c.job.ID, map[string]any{"suspension": p.Hold})
		c.version++
		file.job.State, file.job.Suspensions = free.State, free.Suspensions
	}
	if !p.Decision.Accepted {
		return nil
	}
	changed, err := file.job.With(file.catalogue, p.Change)
	if err != nil {
		return err
	}
	return c.tx.ChangeTasks(ctx, changed, c.version)
}

// AgreeLimit records what a client lets us spend on variations without asking.
func (a *App) AgreeLimit(ctx context.Context, actor Actor, job uuid.UUID, l domain.SpendingLimit) (domain.SpendingLimit, error) {
	_, err := a.changeJob(ctx, actor, domain.WriteJobs, job, func(c jobChange) error {
		if _, err := c.job.State.After(domain.ChangeJob); err != nil {
			return err
		}
		i, err := c.tx.Instrument(ctx, c.job.Instrument)
		if err != nil {
			return err
		}
		if i.Value.Owner != domain.Client {
			return domain.Refuse(domain.Conflict, "the instrument is no client's, so there is nobody to agree with")
		}
		l.ID, l.At = newID(l.ID), c.tx.Now()
		if err := l.Check(c.today); err != nil {
			return err
		}
		c.tx.Note("job.limit_agreed", job, map[string]any{"limit": l.Limit, "party": l.Party})
		return c.tx.AddSpendingLimit(ctx, job, l)
	})
	return l, err
}
