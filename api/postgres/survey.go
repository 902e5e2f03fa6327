package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const surveyColumns = `SELECT id, instrument_id, taken_on, taken_by, version, created_at FROM surveys`

func scanSurvey(row pgx.CollectableRow) (v domain.Versioned[survey.Survey], err error) {
	s := &v.Value
	var on time.Time
	err = row.Scan(&s.ID, &s.Instrument, &on, &s.TakenBy, &v.Version, &v.CreatedAt)
	s.TakenOn = domain.DateOf(on)
	return v, err
}

// Surveys returns a page of the surveys of an instrument, oldest first, without their findings.
func (r Reader) Surveys(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]domain.Versioned[survey.Survey], error) {
	q := pageOfInstrument(surveyColumns, r.workshop, instrument, p)
	return many(ctx, r, scanSurvey, q.sql, q.args...)
}

// SurveyHead returns one survey without its findings.
func (r Reader) SurveyHead(ctx context.Context, id uuid.UUID) (
	domain.Versioned[survey.Survey], error,
) {
	return one(ctx, r, "survey", scanSurvey, surveyColumns+` WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// LatestSurvey returns the survey of an instrument with the latest date, and of several on one day
// the one entered last, with its findings. It returns nil if there is none.
func (r Reader) LatestSurvey(
	ctx context.Context, instrument uuid.UUID,
) (*domain.Versioned[survey.Survey], error) {
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

// Survey returns one survey with its findings, sorted by point and then oldest first.
func (r Reader) Survey(ctx context.Context, id uuid.UUID) (domain.Versioned[survey.Survey], error) {
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

// FindingsOfSurveys returns the findings of several surveys, each sorted as by Survey.
func (r Reader) FindingsOfSurveys(
	ctx context.Context, surveys []uuid.UUID,
) (map[uuid.UUID][]survey.Finding, error) {
	type found struct {
		survey  uuid.UUID
		finding survey.Finding
	}
	rows, err := many(ctx, r, func(row pgx.CollectableRow) (x found, err error) {
		f := &x.finding
		err = row.Scan(&x.survey, &f.ID, &f.Point, &f.Where, &f.Value, &f.Unit, &f.Canonical, &f.Flag,
			&f.Answer, &f.Note, &f.Raise)
		return x, err
	}, `
		SELECT survey_id, id, point, place, value, unit, canonical, flag, answer, note, raise
		FROM findings
		WHERE workshop_id = $1 AND survey_id = ANY($2::uuid[])
		ORDER BY survey_id, point, created_at, id`, r.workshop, surveys)
	all := map[uuid.UUID][]survey.Finding{}
	for _, x := range rows {
		all[x.survey] = append(all[x.survey], x.finding)
	}
	return all, err
}

// SurveysOf returns all surveys of an instrument with their findings and who entered each, in the
// order in which they were taken.
func (r Reader) SurveysOf(ctx context.Context, instrument uuid.UUID) ([]survey.Survey, error) {
	all, err := r.surveysOf(ctx, []uuid.UUID{instrument}, nil)
	return all[instrument], err
}

// SurveysAt returns the surveys of several instruments as SurveysOf does, with the findings at some
// points only.
func (r Reader) SurveysAt(
	ctx context.Context, instruments []uuid.UUID, points []catalogue.PointCode,
) (map[uuid.UUID][]survey.Survey, error) {
	return r.surveysOf(ctx, instruments, orEmpty(points))
}

// surveysOf returns the surveys of instruments; points is nil for findings at all of them.
func (r Reader) surveysOf(
	ctx context.Context, instruments []uuid.UUID, points []catalogue.PointCode,
) (map[uuid.UUID][]survey.Survey, error) {
	rows, err := many(ctx, r, scanSurveyFinding, `
		SELECT s.instrument_id, s.id, s.taken_on, s.taken_by, f.id, f.point, f.place, f.value, f.unit,
		f.canonical, f.flag, f.answer, f.note, f.raise, f.entered_by, f.entered_as, f.created_at
		FROM surveys s
		JOIN findings f ON f.workshop_id = s.workshop_id AND f.survey_id = s.id
		WHERE s.workshop_id = $1 AND s.instrument_id = ANY ($2)
		AND ($3::text[] IS NULL OR f.point = ANY ($3))
		ORDER BY s.taken_on, s.created_at, s.id, f.point, f.created_at, f.id`,
		r.workshop, instruments, points)
	all := map[uuid.UUID][]survey.Survey{}
	for _, row := range rows {
		list := all[row.instrument]
		if n := len(list); n == 0 || list[n-1].ID != row.survey.ID {
			list = append(list, row.survey)
		}
		last := &list[len(list)-1]
		last.Findings = append(last.Findings, row.finding)
		all[row.instrument] = list
	}
	return all, err
}

// surveyFinding is a finding with the head of its survey.
type surveyFinding struct {
	instrument uuid.UUID
	survey     survey.Survey
	finding    survey.Finding
}

func scanSurveyFinding(row pgx.CollectableRow) (x surveyFinding, err error) {
	var on time.Time
	var by *uuid.UUID
	f := &x.finding
	err = row.Scan(
		&x.instrument, &x.survey.ID, &on, &x.survey.TakenBy, &f.ID, &f.Point, &f.Where, &f.Value,
		&f.Unit, &f.Canonical, &f.Flag, &f.Answer, &f.Note, &f.Raise, &by, &f.Entered.As,
		&f.Entered.At,
	)
	if by != nil {
		f.Entered.By = *by
	}
	x.survey.TakenOn = domain.DateOf(on)
	return x, err
}

func scanFinding(row pgx.CollectableRow) (f survey.Finding, err error) {
	err = row.Scan(
		&f.ID, &f.Point, &f.Where, &f.Value, &f.Unit, &f.Canonical, &f.Flag, &f.Answer, &f.Note,
		&f.Raise,
	)
	return f, err
}

// AddSurvey adds a survey with the findings it holds.
func (tx *Tx) AddSurvey(ctx context.Context, s survey.Survey) error {
	err := tx.exec(ctx, `
		INSERT INTO surveys (workshop_id, id, instrument_id, taken_on, taken_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6)`, tx.workshop, s.ID, s.Instrument, s.TakenOn.In(time.UTC),
		s.TakenBy, tx.now)
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

// AddFinding adds a finding and increments the survey's version.
func (tx *Tx) AddFinding(ctx context.Context, surveyID uuid.UUID, f survey.Finding) error {
	if err := tx.touchSurvey(ctx, surveyID); err != nil {
		return err
	}
	n, err := one(ctx, tx.Reader, "survey", pgx.RowTo[int],
		`SELECT count(*) FROM findings WHERE survey_id = $1`, surveyID)
	if err == nil && n >= maxFindings {
		err = domain.Refuse(domain.Conflict, "a survey holds at most %d findings; strike those that "+
			"no longer count, or begin another survey", maxFindings)
	}
	if err != nil {
		return err
	}
	return tx.addFinding(ctx, surveyID, f)
}

// maxFindings bounds a survey, since it is shown and judged as a whole.
const maxFindings = 2000

// StrikeFinding removes a finding, at the version of the survey that was read.
func (tx *Tx) StrikeFinding(ctx context.Context, surveyID, finding uuid.UUID, version int64) error {
	err := tx.update(ctx, "survey", `UPDATE surveys SET version = version + 1 WHERE id = $1 AND version = $2`, surveyID, version)
	if err != nil {
		return err
	}
	tag, err := tx.tx.Exec(ctx, `DELETE FROM findings WHERE id = $1 AND survey_id = $2`, finding, surveyID)
	if err == nil && tag.RowsAffected() == 0 {
		return domain.Refuse(domain.NotFound, "no such finding in this survey")
	}
	return translate(err)
}

func (tx *Tx) touchSurvey(ctx context.Context, surveyID uuid.UUID) error {
	tag, err := tx.tx.Exec(ctx, `UPDATE surveys SET version = version + 1 WHERE id = $1`, surveyID)
	if err == nil && tag.RowsAffected() == 0 {
		return domain.Refuse(domain.NotFound, "no survey found")
	}
	return translate(err)
}

func (tx *Tx) addFinding(ctx context.Context, surveyID uuid.UUID, f survey.Finding) error {
	return tx.exec(ctx, `
		INSERT INTO findings (workshop_id, id, survey_id, point, place, value, unit, canonical, flag,
		answer, note, raise, entered_by, entered_as, created_at)
		VALUES (@workshop_id, @id, @survey_id, @point, @place, @value, @unit, @canonical, @flag,
		@answer, @note, @raise, @entered_by, @entered_as, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": f.ID, "survey_id": surveyID, "point": f.Point,
			"place": f.Where, "value": f.Value, "unit": f.Unit, "canonical": f.Canonical, "flag": f.Flag,
			"answer": f.Answer, "note": f.Note, "raise": f.Raise, "entered_by": tx.actor.User,
			"entered_as": tx.actor.Role, "created_at": tx.now,
		})
}
