package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/openapi"
)

// ListSurveys lists a page of an instrument's surveys.
func (h *handlers) ListSurveys(ctx context.Context, r ListSurveysRequestObject) (ListSurveysResponseObject, error) {
	page, err := h.pageOf(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Surveys(ctx, r.ID, page)
	if err != nil {
		return nil, err
	}
	out := renderPage(ctx, h, page, list, placeOfSurvey, renderSurveyHead)
	return ListSurveys200JSONResponse{
		Body: openapi.SurveyPage{Items: out.Items, NextCursor: out.Next}, Headers: ListSurveys200ResponseHeaders{Link: out.Link},
	}, nil
}

// CreateSurvey opens a survey.
func (h *handlers) CreateSurvey(ctx context.Context, r CreateSurveyRequestObject) (CreateSurveyResponseObject, error) {
	day, err := parseDay(r.Body.TakenOn)
	if err != nil {
		return nil, err
	}
	sent := domain.Survey{Instrument: r.ID, TakenOn: day, TakenBy: r.Body.TakenBy, Findings: renderAll(r.Body.Findings, readFinding)}
	s, err := h.app.TakeSurvey(ctx, actorOf(ctx), sent)
	if err != nil {
		return nil, err
	}
	return CreateSurvey201JSONResponse{
		Body: renderSurvey(s),
		Headers: CreateSurvey201ResponseHeaders{
			ETag: versionTag(s.Version, fullView), Location: "/v1/surveys/" + s.Value.ID.String(),
		},
	}, nil
}

// GetSurvey shows a survey with its findings.
func (h *handlers) GetSurvey(ctx context.Context, r GetSurveyRequestObject) (GetSurveyResponseObject, error) {
	s, err := h.app.Read(ctx, actorOf(ctx)).Survey(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetSurvey200JSONResponse{
		Body: renderSurvey(s), Headers: GetSurvey200ResponseHeaders{ETag: versionTag(s.Version, fullView)},
	}, nil
}

// ListJudgements says what the findings come to.
func (h *handlers) ListJudgements(ctx context.Context, r ListJudgementsRequestObject) (ListJudgementsResponseObject, error) {
	js, err := h.app.Judgements(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	list := openapi.JudgementList{Items: renderAll(js, renderJudgement)}
	tag, err := digestTag(list)
	return ListJudgements200JSONResponse{Body: list, Headers: ListJudgements200ResponseHeaders{ETag: tag}}, err
}

func placeOfSurvey(s app.Versioned[domain.Survey]) postgres.Place { return placeOf(s, s.Value.ID) }

func renderSurveyHead(v app.Versioned[domain.Survey]) openapi.SurveyHead {
	s := v.Value
	return openapi.SurveyHead{
		ID: s.ID, Instrument: s.Instrument, TakenOn: s.TakenOn.String(), TakenBy: s.TakenBy,
		Version: v.Version, CreatedAt: v.CreatedAt,
	}
}

func renderSurvey(v app.Versioned[domain.Survey]) openapi.Survey {
	s := v.Value
	return openapi.Survey{
		ID: s.ID, Instrument: s.Instrument, TakenOn: s.TakenOn.String(), TakenBy: s.TakenBy,
		Findings: renderAll(s.Findings, renderFinding), Version: v.Version, CreatedAt: v.CreatedAt,
	}
}

func renderJudgement(j domain.Judgement) openapi.Judgement {
	return openapi.Judgement{
		Point: string(j.Point), Severity: openapi.Severity(j.Severity), Readings: j.Readings, Worst: j.Worst, Median: j.Median,
		Side: openapi.JudgementSide(j.Side), Answer: j.Answer, Says: j.Says,
	}
}
