package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/openapi"
)

// GetSaleCautions lists what to know before an instrument is bought or sold.
func (h *handlers) GetSaleCautions(
	ctx context.Context, r GetSaleCautionsRequestObject,
) (GetSaleCautionsResponseObject, error) {
	list, err := h.app.SaleCautions(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderCautions(list)
	tag, err := etag.Digest(body)
	return GetSaleCautions200JSONResponse{
		Body: body, Headers: GetSaleCautions200ResponseHeaders{ETag: tag},
	}, err
}

// GetJobCautions lists what to know before the work of a job.
func (h *handlers) GetJobCautions(
	ctx context.Context, r GetJobCautionsRequestObject,
) (GetJobCautionsResponseObject, error) {
	list, err := h.app.JobCautions(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderCautions(list)
	tag, err := etag.Digest(body)
	return GetJobCautions200JSONResponse{
		Body: body, Headers: GetJobCautions200ResponseHeaders{ETag: tag},
	}, err
}

// renderCautions renders cautions, with whom to ask ahead of them at the end.
func renderCautions(list []caution.Caution) openapi.CautionList {
	return openapi.CautionList{
		Items: convert.All(list, renderCaution), Deference: catalogue.Deference,
	}
}

func renderCaution(k caution.Caution) openapi.Caution {
	out := openapi.Caution{
		Key: k.Key, Says: k.Says, Standing: string(k.Standing), Stop: k.Stop,
		Operations: convert.Texts[catalogue.Code, string](k.Operations),
	}
	if f := k.Figure; f != nil {
		out.Figure = &openapi.CautionFigure{
			Value: f.Value, Unit: openapi.CautionFigureUnit(f.Unit), Basis: openapi.Basis(f.Basis),
			Says: f.Says,
		}
	}
	return out
}
