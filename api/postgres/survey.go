package postgres

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const surveyColumns = `SELECT id, instrument_id, taken_on, taken_by, version, created_at FROM surveys`

func scanSurvey(row pgx.CollectableRow) (v domain.Versioned[domain.Survey], err error) {
	s := &v.Value
	var on time.Time
	err = row.Scan(&s.ID, &s.Instrument, &on, &s.TakenBy, &v.Version, &v.CreatedAt)
	s.TakenOn = domain.DateOf(on)
	return v, err
}

// Surveys lists the surveys of an instrument in order of making, without their
// findings.
func (r Reader) Surveys(ctx context.Context, instrument uuid.UUID, p Page) ([]domain.Versioned[domain.Survey], error) {
	at, id := p.bounds()
	return many(ctx, r, scanSurvey, surveyColumns+`
		WHERE workshop_id = $1 AND instrument_id = $2 AND (created_at, id) > ($3, $4)
		ORDER BY created_at, id
		LIMIT $5`, r.workshop, instrument, at, id, p.Limit)
}

// SurveyHead is one survey without its findings.
func (r Reader) SurveyHead(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Survey], error) {
	return one(ctx, r, "survey", scanSurvey, surveyColumns+` WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// LatestSurvey is the survey of an instrument that was taken last, of several
// on one day the one that was entered last, with its findings; nil where there
// is none.
func (r Reader) LatestSurvey(ctx context.Context, instrument uuid.UUID) (*domain.Versioned[domain.Survey], error) {
	ids, err := many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT id
		FROM surveys
		WHERE workshop_id = $1 AND instrument_id = $2
		ORDER BY taken_on DESC, created_at DESC, id DESC
		LIMIT 1`, r.workshop, instrument)
	if err != nil || len(ids) == 0 {
		return nil, err
	}
	s, err := r.Survey(ctx, ids[0])
	return &s, err
}

// Survey is one survey with its findings, by point and then in order of making.
func (r Reader) Survey(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Survey], error) {
	v, err := r.SurveyHead(ctx, id)
	if err != nil {
		return v, err
	}
	v.Value.Findings, err = many(ctx, r, scanFinding, `
		SELECT id, point, place, value, unit, canonical, flag, answer, note, raise
		FROM findings
		WHERE workshop_id = $1 AND survey_id = $2
		ORDER BY point, created_at, id`, r.workshop, id)
	return v, err
}

func scanFinding(row pgx.CollectableRow) (f domain.Finding, err error) {
	err = row.Scan(&f.ID, &f.Point, &f.Where, &f.Value, &f.Unit, &f.Canonical, &f.Flag, &f.Answer, &f.Note, &f.Raise)
	return f, err
}

// AddSurvey adds a survey with the findings that it already holds.
func (tx *Tx) AddSurvey(ctx context.Context, s domain.Survey) error {
	err := tx.exec(ctx, `
		INSERT INTO surveys (workshop_id, id, instrument_id, taken_on, taken_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6)`, tx.workshop, s.ID, s.Instrument, s.TakenOn.In(time.UTC), s.TakenBy, tx.now)
	if err != nil {
		return err
	}
	for _, f := range s.Findings {
		if err := tx.addFinding(ctx, s.ID, f); err != nil {
			return err
		}
	}
	return nil
}

// AddFinding adds a finding and counts the survey's version up.
func (tx *Tx) AddFinding(ctx context.Context, survey uuid.UUID, f domain.Finding) error {
	if err := tx.touchSurvey(ctx, survey); err != nil {
		return err
	}
	return tx.addFinding(ctx, survey, f)
}

// StrikeFinding removes a finding from a survey at the version that was read.
func (tx *Tx) StrikeFinding(ctx context.Context, survey, finding uuid.UUID, version int64) error {
	err := tx.update(ctx, "survey", `UPDATE surveys SET version = version + 1 WHERE id = $1 AND version = $2`, survey, version)
	if err != nil {
		return err
	}
	tag, err := tx.tx.Exec(ctx, `DELETE FROM findings WHERE id = $1 AND survey_id = $2`, finding, survey)
	if err == nil && tag.RowsAffected() == 0 {
		return domain.Refuse(domain.NotFound, "there is no such finding in this survey")
	}
	return translate(err)
}

func (tx *Tx) touchSurvey(ctx context.Context, survey uuid.UUID) error {
	tag, err := tx.tx.Exec(ctx, `UPDATE surveys SET version = version + 1 WHERE id = $1`, survey)
	if err == nil && tag.RowsAffected() == 0 {
		return domain.Refuse(domain.NotFound, "there is no such survey")
	}
	return translate(err)
}

func (tx *Tx) addFinding(ctx context.Context, survey uuid.UUID, f domain.Finding) error {
	return tx.exec(ctx, `
		INSERT INTO findings (workshop_id, id, survey_id, point, place, value, unit, canonical, flag, answer, note, raise, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
		tx.workshop, f.ID, survey, f.Point, f.Where, f.Value, f.Unit, f.Canonical, f.Flag, f.Answer, f.Note, f.Raise, tx.now)
}
