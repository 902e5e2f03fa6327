package app

import (
	"context"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// Decide accepts or refuses a proposal. Accepting it changes the job's tasks; either decision ends
// the hold that waited for it.
func (a *App) Decide(
	ctx context.Context, actor Actor, j, proposal uuid.UUID, d job.Decision,
) (ShownProposal, error) {
	var decided ShownProposal
	_, err := a.changeJob(ctx, actor, domain.WriteJobs, j, func(c jobChange) error {
		if _, err := c.job.State.After(job.CommandChange); err != nil {
			return err
		}
		p, err := c.tx.Reader.Proposal(ctx, j, proposal)
		if err != nil {
			return err
		}
		if decided, err = withSpendingLimit(ctx, c.tx.Reader, p); err != nil {
			return err
		}
		file, err := a.loadJob(ctx, c.tx.Reader, c.job)
		if err != nil {
			return err
		}
		d.DecidedBy, d.DecidedAt = actor.User, c.tx.Now()
		made := domain.DateOf(p.ProposedAt.In(file.zone))
		if decided.Proposal, err = p.Decide(
			d, decided.Allowance, file.instrument.Party, c.today, made,
		); err != nil {
			return err
		}
		decided.NeedsConsent = false
		if err := c.tx.AddDecision(ctx, proposal, *decided.Decision); err != nil {
			return err
		}
		c.tx.Note(
			domain.JobChangeDecided, j, decisionNoted(c.job.Instrument, decided.Proposal),
		)
		return applyDecision(ctx, c, file, decided.Proposal)
	})
	return decided, err
}

// applyDecision ends the proposal's hold and, if it was accepted, changes the job's tasks.
func applyDecision(ctx context.Context, c jobChange, file jobData, p job.Proposal) error {
	if p.Hold != uuid.Nil &&
		slices.ContainsFunc(c.job.Suspensions, func(s job.Suspension) bool { return s.ID == p.Hold }) {
		free, err := c.job.Resume(p.Hold)
		if err != nil {
			return err
		}
		if err := c.tx.EndSuspension(
			ctx, free, p.Hold, "the client has answered", c.version,
		); err != nil {
			return err
		}
		c.tx.Note(
			domain.JobResumed, c.job.ID,
			resumptionNoted(free, *c.job.Suspension(p.Hold), "the client has answered"),
		)
		c.version++
		file.job.State, file.job.Suspensions = free.State, free.Suspensions
	}
	if !p.Decision.Accepted {
		return nil
	}
	changed, err := file.job.Apply(file.catalogue, p.Change)
	if err != nil {
		return err
	}
	if changed, err = changed.Reopen(p); err != nil {
		return err
	}
	return c.tx.ChangeTasks(ctx, changed, c.version)
}

// ProposalStops returns, for each proposal of a job, what its findings stop as things stand now.
func (a *App) ProposalStops(
	ctx context.Context, actor Actor, jobID uuid.UUID, list []ShownProposal,
) ([]clearance.List, error) {
	r := a.Read(ctx, actor)
	j, err := r.Job(ctx, jobID)
	if err != nil {
		return nil, err
	}
	stops, err := a.JobStops(ctx, actor, j.Value)
	if err != nil {
		return nil, err
	}
	d, err := r.Scope(ctx, j.Value.Scope)
	if err != nil {
		return nil, err
	}
	s, err := r.Survey(ctx, d.Value.Survey)
	if err != nil {
		return nil, err
	}
	out := make([]clearance.List, len(list))
	for i, p := range list {
		var points []catalogue.PointCode
		for _, f := range s.Value.Findings {
			if slices.Contains(p.Change.Findings, f.ID) {
				points = append(points, f.Point)
			}
		}
		out[i] = stops.At(points)
	}
	return out, nil
}
