package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// TakeSurvey records a survey of an instrument with its findings so far.
func (a *App) TakeSurvey(ctx context.Context, actor Actor, s domain.Survey) (Versioned[domain.Survey], error) {
	var made Versioned[domain.Survey]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		s.ID = newID(s.ID)
		if s.TakenOn.IsZero() {
			return domain.Faults{{Pointer: "#/taken_on", Detail: "must be the day of the survey"}}.Err()
		}
		findings, err := a.checkFindings(ctx, tx, s.Instrument, s.Findings)
		if err != nil {
			return err
		}
		s.Findings = findings
		made = first(s, tx)
		tx.Note("survey.taken", s.ID, map[string]any{"instrument": s.Instrument, "findings": len(s.Findings)})
		return tx.AddSurvey(ctx, s)
	})
	return made, err
}

// AddFinding adds one observation to a survey.
func (a *App) AddFinding(ctx context.Context, actor Actor, survey uuid.UUID, f domain.Finding) (domain.Finding, error) {
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		s, err := tx.SurveyHead(ctx, survey)
		if err != nil {
			return err
		}
		checked, err := a.checkFindings(ctx, tx, s.Value.Instrument, []domain.Finding{f})
		if err != nil {
			return domain.PointersBelow(err, "#/findings/0")
		}
		f = checked[0]
		tx.Note("finding.added", survey, map[string]any{"finding": f.ID, "point": f.Point})
		return tx.AddFinding(ctx, survey, f)
	})
	return f, err
}

// StrikeFinding removes an observation that was entered in error, at the
// version of the survey that was read.
func (a *App) StrikeFinding(ctx context.Context, actor Actor, survey, finding uuid.UUID, version int64) error {
	return a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		if _, err := tx.SurveyHead(ctx, survey); err != nil {
			return err
		}
		tx.Note("finding.struck", survey, map[string]any{"finding": finding})
		return tx.StrikeFinding(ctx, survey, finding, version)
	})
}

// Judgements is what a survey comes to, by the newest catalogue.
func (a *App) Judgements(ctx context.Context, actor Actor, survey uuid.UUID) (domain.Judgements, error) {
	r := a.Read(ctx, actor)
	s, err := r.Survey(ctx, survey)
	if err != nil {
		return nil, err
	}
	i, err := r.Instrument(ctx, s.Value.Instrument)
	if err != nil {
		return nil, err
	}
	c, err := a.Catalogue(ctx, actor)
	if err != nil {
		return nil, err
	}
	return domain.Judge(c.Catalogue, i.Value.Kind, s.Value.Findings)
}

func (a *App) checkFindings(ctx context.Context, tx *postgres.Tx, instrument uuid.UUID, findings []domain.Finding) ([]domain.Finding, error) {
	i, err := tx.Instrument(ctx, instrument)
	if err != nil {
		return nil, err
	}
	rev, err := tx.LatestRevision(ctx)
	if err != nil {
		return nil, err
	}
	c, err := a.catalogueOf(ctx, tx.Reader, rev.Document)
	if err != nil {
		return nil, err
	}
	checked, err := domain.CheckFindings(c, i.Value.Kind, findings)
	if err != nil {
		return nil, err
	}
	for n := range checked {
		checked[n].ID = newID(checked[n].ID)
	}
	return checked, nil
}
