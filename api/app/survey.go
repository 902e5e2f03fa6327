package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// TakeSurvey records a survey of an instrument with its findings so far.
func (a *App) TakeSurvey(
	ctx context.Context, actor Actor, s survey.Survey,
) (Versioned[survey.Survey], error) {
	var made Versioned[survey.Survey]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		s.ID = newID(s.ID)
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if err := s.CheckTaken(day); err != nil {
			return err
		}
		findings, err := a.checkFindings(ctx, tx, s.Instrument, s.Findings)
		if err != nil {
			return err
		}
		s.Findings = findings
		made = created(s, tx)
		tx.Note(domain.SurveyTaken, s.ID, surveyNoted(s))
		return tx.AddSurvey(ctx, s)
	})
	return made, err
}

// AddFinding adds one finding to a survey.
func (a *App) AddFinding(
	ctx context.Context, actor Actor, sv uuid.UUID, f survey.Finding,
) (survey.Finding, error) {
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		s, err := tx.SurveyHead(ctx, sv)
		if err != nil {
			return err
		}
		checked, err := a.checkFindings(ctx, tx, s.Value.Instrument, []survey.Finding{f})
		if err != nil {
			return domain.RelativePointers(err, "#/findings/0")
		}
		f = checked[0]
		tx.Note(domain.FindingAdded, sv, findingNoted(s.Value.Instrument, f))
		return tx.AddFinding(ctx, sv, f)
	})
	return f, err
}

// StrikeFinding removes a finding that was entered in error, at the version of the survey that was
// read. One that stops the instrument is struck by those alone whose own look would lift the stop.
func (a *App) StrikeFinding(
	ctx context.Context, actor Actor, surveyID, finding uuid.UUID, version int64,
) error {
	return a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		s, err := tx.SurveyHead(ctx, surveyID)
		if err != nil {
			return err
		}
		if err := tx.LockInstrument(ctx, s.Value.Instrument); err != nil {
			return err
		}
		before, err := a.stopsNow(ctx, tx.Reader, s.Value.Instrument)
		if err != nil {
			return err
		}
		tx.Note(
			domain.FindingStruck, surveyID,
			noted{"instrument": s.Value.Instrument, "finding": finding},
		)
		if err := tx.StrikeFinding(ctx, surveyID, finding, version); err != nil {
			return err
		}
		after, err := a.stopsNow(ctx, tx.Reader, s.Value.Instrument)
		if err != nil {
			return err
		}
		return before.MayFree(after, actor.Role)
	})
}

// Judgements returns the judgement on each point of a survey under the newest catalogue.
func (a *App) Judgements(
	ctx context.Context, actor Actor, sv uuid.UUID,
) (survey.Judgements, error) {
	r := a.Read(ctx, actor)
	s, err := r.Survey(ctx, sv)
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
	return survey.Judge(c.Catalogue, i.Value.Kind, s.Value.Findings)
}

// checkFindings returns findings in canonical units with their ids, or every fault in them.
func (a *App) checkFindings(
	ctx context.Context, tx *postgres.Tx, instrument uuid.UUID, findings []survey.Finding,
) ([]survey.Finding, error) {
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
	checked, err := survey.CheckFindings(c, i.Value.Kind, findings)
	if err != nil {
		return nil, err
	}
	for n := range checked {
		checked[n].ID = newID(checked[n].ID)
	}
	return checked, nil
}
