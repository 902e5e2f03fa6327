package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/openapi"
)

// ListConfirmations lists the settings that somebody said are right as they are.
func (h *handlers) ListConfirmations(
	ctx context.Context, _ ListConfirmationsRequestObject,
) (ListConfirmationsResponseObject, error) {
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Confirmations(ctx)
	if err != nil {
		return nil, err
	}
	body := renderConfirmations(list)
	tag, err := etag.Digest(body)
	return ListConfirmations200JSONResponse{
		Body: body, Headers: ListConfirmations200ResponseHeaders{ETag: tag},
	}, err
}

// ConfirmSettings records that settings are right as they are.
func (h *handlers) ConfirmSettings(
	ctx context.Context, r ConfirmSettingsRequestObject,
) (ConfirmSettingsResponseObject, error) {
	keys := convert.Texts[openapi.AssumptionKey, domain.AssumptionKey](r.Body.Keys)
	list, err := h.app.Confirm(ctx, middleware.Actor(ctx), keys)
	if err != nil {
		return nil, err
	}
	return ConfirmSettings201JSONResponse(renderConfirmations(list)), nil
}

func renderConfirmations(list []domain.Confirmation) openapi.ConfirmationList {
	return openapi.ConfirmationList{
		Items: convert.All(list, func(c domain.Confirmation) openapi.Confirmation {
			return openapi.Confirmation{Key: openapi.AssumptionKey(c.Key), By: c.By, At: c.At}
		}),
	}
}
