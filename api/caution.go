package api

import (
	"context"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// GetSaleCautions shows what to know before an instrument is traded.
func (h *handlers) GetSaleCautions(ctx context.Context, r GetSaleCautionsRequestObject) (GetSaleCautionsResponseObject, error) {
	list, err := h.app.SaleCautions(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderCautions(list)
	tag, err := digestTag(body)
	return GetSaleCautions200JSONResponse{Body: body, Headers: GetSaleCautions200ResponseHeaders{ETag: tag}}, err
}

// GetJobCautions shows what to know before the work of a job.
func (h *handlers) GetJobCautions(ctx context.Context, r GetJobCautionsRequestObject) (GetJobCautionsResponseObject, error) {
	list, err := h.app.JobCautions(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderCautions(list)
	tag, err := digestTag(body)
	return GetJobCautions200JSONResponse{Body: body, Headers: GetJobCautions200ResponseHeaders{ETag: tag}}, err
}

// renderCautions ends every list of cautions with what they defer to.
func renderCautions(list []domain.Caution) openapi.CautionList {
	return openapi.CautionList{Items: renderAll(list, renderCaution), Deference: catalogue.Deference}
}

func renderCaution(k domain.Caution) openapi.Caution {
	out := openapi.Caution{
		Key: k.Key, Says: k.Says, Standing: string(k.Standing), Stop: k.Stop, Operations: texts[catalogue.Code, string](k.Operations),
	}
	if f := k.Figure; f != nil {
		out.Figure = &openapi.CautionFigure{Value: f.Value, Unit: openapi.CautionFigureUnit(f.Unit), Basis: openapi.Basis(f.Basis), Says: f.Says}
	}
	return out
}
