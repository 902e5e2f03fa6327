package app

import (
	"context"

	"bentside/domain"

	"github.com/google/uuid"
)

// SaleCautions are what to know before an instrument is offered, bought or
// sold, by its newest survey.
func (a *App) SaleCautions(ctx context.Context, actor Actor, instrument uuid.UUID) ([]domain.Caution, error) {
	t, err := a.TakeOff(ctx, actor, instrument)
	if err != nil {
		return nil, err
	}
	w, err := a.Read(ctx, actor).Workshop(ctx)
	if err != nil {
		return nil, err
	}
	return domain.CautionsOfSale(t.Value.Catalogue, t.Value.Instrument, t.Value.Judgements, w.Value.Terms.TaxRegime), nil
}

// JobCautions are what to know before the work of a job, by the survey and the
// catalogue that its scope was drawn from.
func (a *App) JobCautions(ctx context.Context, actor Actor, job uuid.UUID) ([]domain.Caution, error) {
	r := a.Read(ctx, actor)
	j, err := r.Job(ctx, job)
	if err != nil {
		return nil, err
	}
	d, err := r.Scope(ctx, j.Value.Scope)
	if err != nil {
		return nil, err
	}
	drawn, err := a.draw(ctx, r, d.Value)
	if err != nil {
		return nil, err
	}
	work := j.Value
	if !work.KeepsLines() {
		work = work.WithLines(drawn.Scope)
	}
	return domain.CautionsOfJob(drawn.Catalogue, drawn.Instrument, drawn.Judgements, work.Work()), nil
}
