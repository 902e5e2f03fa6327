package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/survey"
	"bentside/openapi"
)

// ListSurveys lists a page of an instrument's surveys.
func (h *handlers) ListSurveys(
	ctx context.Context, r ListSurveysRequestObject,
) (ListSurveysResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Surveys(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfSurvey)
	return ListSurveys200JSONResponse{
		Body: openapi.SurveyPage{
			Items: convert.All(rows, renderSurveyHead), NextCursor: next.Cursor,
		},
		Headers: ListSurveys200ResponseHeaders{Link: next.Link},
	}, nil
}

// CreateSurvey records a survey.
func (h *handlers) CreateSurvey(
	ctx context.Context, r CreateSurveyRequestObject,
) (CreateSurveyResponseObject, error) {
	day, err := convert.ParseDay(r.Body.TakenOn)
	if err != nil {
		return nil, err
	}
	sent := survey.Survey{
		Instrument: r.ID, TakenOn: day, TakenBy: r.Body.TakenBy,
		Findings: convert.All(r.Body.Findings, readFinding),
	}
	s, err := h.app.TakeSurvey(ctx, middleware.Actor(ctx), sent)
	if err != nil {
		return nil, err
	}
	return CreateSurvey201JSONResponse{
		Body: renderSurvey(s),
		Headers: CreateSurvey201ResponseHeaders{
			ETag: etag.Version(s.Version), Location: "/v1/surveys/" + s.Value.ID.String(),
		},
	}, nil
}

// GetSurvey shows a survey with its findings.
func (h *handlers) GetSurvey(
	ctx context.Context, r GetSurveyRequestObject,
) (GetSurveyResponseObject, error) {
	s, err := h.app.Read(ctx, middleware.Actor(ctx)).Survey(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetSurvey200JSONResponse{
		Body: renderSurvey(s), Headers: GetSurvey200ResponseHeaders{ETag: etag.Version(s.Version)},
	}, nil
}

// ListJudgements lists what the findings of a survey amount to, point by point.
func (h *handlers) ListJudgements(
	ctx context.Context, r ListJudgementsRequestObject,
) (ListJudgementsResponseObject, error) {
	js, err := h.app.Judgements(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	list := openapi.JudgementList{Items: convert.All(js, renderJudgement)}
	tag, err := etag.Digest(list)
	return ListJudgements200JSONResponse{
		Body: list, Headers: ListJudgements200ResponseHeaders{ETag: tag},
	}, err
}

func placeOfSurvey(s app.Versioned[survey.Survey]) postgres.Place {
	return page.PlaceOf(s, s.Value.ID)
}

func renderSurveyHead(v app.Versioned[survey.Survey]) openapi.SurveyHead {
	s := v.Value
	return openapi.SurveyHead{
		ID: s.ID, Instrument: s.Instrument, TakenOn: s.TakenOn.String(), TakenBy: s.TakenBy,
		Version: v.Version, CreatedAt: v.CreatedAt,
	}
}

func renderSurvey(v app.Versioned[survey.Survey]) openapi.Survey {
	s := v.Value
	return openapi.Survey{
		ID: s.ID, Instrument: s.Instrument, TakenOn: s.TakenOn.String(), TakenBy: s.TakenBy,
		Findings: convert.All(s.Findings, renderFinding), Version: v.Version, CreatedAt: v.CreatedAt,
	}
}

func renderJudgement(j survey.Judgement) openapi.Judgement {
	return openapi.Judgement{
		Point: string(j.Point), Severity: openapi.Severity(j.Severity), Readings: j.Readings,
		Worst: j.Worst, Median: j.Median, Side: openapi.JudgementSide(j.Side), Answer: j.Answer,
		Says: j.Text,
	}
}
