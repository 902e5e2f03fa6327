package app

import (
	"context"
	"slices"

	"bentside/api/postgres"
	"bentside/domain/caution"
	"bentside/domain/scope"

	"github.com/google/uuid"
)

// SaleCautions returns the cautions to read before an instrument is offered, bought or sold, based
// on its newest survey and on what its jobs left out on somebody's word.
func (a *App) SaleCautions(
	ctx context.Context, actor Actor, instrument uuid.UUID,
) ([]caution.Caution, error) {
	t, err := a.TakeOff(ctx, actor, instrument)
	if err != nil {
		return nil, err
	}
	r := a.Read(ctx, actor)
	w, err := r.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	stops, err := a.stopsOf(ctx, r, t.Value.Instrument, w.Value)
	if err != nil {
		return nil, err
	}
	list := caution.CautionsOfSale(
		t.Value.Catalogue, t.Value.Instrument, t.Value.Judgements, w.Value.Terms.TaxRegime, stops,
	)
	waivers, err := a.waiversOf(ctx, r, instrument)
	return append(list, caution.LeftOut(waivers)...), err
}

// waiversOf returns what the jobs of an instrument left out on somebody's word, in the order of the
// jobs.
func (a *App) waiversOf(
	ctx context.Context, r postgres.Reader, instrument uuid.UUID,
) ([]scope.Waiver, error) {
	jobs, err := r.JobsOn(ctx, instrument)
	if err != nil {
		return nil, err
	}
	var list []scope.Waiver
	for _, j := range jobs {
		d, err := r.Scope(ctx, j.Value.Scope)
		if err != nil {
			return nil, err
		}
		c, err := a.catalogueAt(ctx, r, d.Value.Revision)
		if err != nil {
			return nil, err
		}
		edits := slices.Concat(d.Value.Edits, j.Value.Edits)
		list = append(list, scope.WaiversOf(c.Catalogue, edits)...)
	}
	return list, nil
}

// JobCautions returns the cautions for the work of a job, based on the survey and catalogue of its
// scope.
func (a *App) JobCautions(
	ctx context.Context, actor Actor, job uuid.UUID,
) ([]caution.Caution, error) {
	r := a.Read(ctx, actor)
	j, err := r.Job(ctx, job)
	if err != nil {
		return nil, err
	}
	d, err := r.Scope(ctx, j.Value.Scope)
	if err != nil {
		return nil, err
	}
	of, err := a.undrawn(ctx, r, d.Value)
	if err != nil {
		return nil, err
	}
	work, err := of.giveLines(j.Value)
	if err != nil {
		return nil, err
	}
	return caution.CautionsOfJob(
		of.Catalogue, of.Instrument, of.Judgements, work.Work(), work.Stops(of.Stops),
	), nil
}
