package app

import (
	"context"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/survey"
)

// jobData is a job with everything that its work is drawn and costed from.
type jobData struct {
	job        job.Job
	scope      postgres.ScopeRecord
	instrument instrument.Instrument
	survey     survey.Survey
	judgements survey.Judgements
	workshop   domain.Workshop
	catalogue  *catalogue.Catalogue // the revision that the job pins
	zone       *time.Location
}

// loadJob loads what a job's work is drawn and costed from. A job with lines of its own holds what
// it holds, whatever its scope would come to by now, so the scope isn't drawn.
func (a *App) loadJob(ctx context.Context, r postgres.Reader, j job.Job) (jobData, error) {
	d, err := r.Scope(ctx, j.Scope)
	if err != nil {
		return jobData{}, err
	}
	drawn, err := a.undrawn(ctx, r, d.Value)
	if err != nil {
		return jobData{}, err
	}
	if j, err = drawn.giveLines(j); err != nil {
		return jobData{}, err
	}
	j = j.StoppedBy(drawn.Stops)
	s, err := r.Survey(ctx, d.Value.Survey)
	if err != nil {
		return jobData{}, err
	}
	zone, err := zoneOf(drawn.Workshop)
	return jobData{
		job: j, scope: d.Value, instrument: drawn.Instrument, survey: s.Value,
		judgements: drawn.Judgements,
		workshop:   drawn.Workshop, catalogue: drawn.Catalogue, zone: zone,
	}, err
}

// giveLines returns a job with its lines; one that has none of its own gets those of its scope.
func (s DrawnScope) giveLines(j job.Job) (job.Job, error) {
	if j.HasLines() {
		return j, nil
	}
	drawn, err := s.drawing().DrawAdding()
	return j.WithLines(drawn), err
}
