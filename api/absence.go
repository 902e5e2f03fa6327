package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/openapi"
)

// ListAbsences lists a page of who will be away and what will be out of use.
func (h *handlers) ListAbsences(
	ctx context.Context, r ListAbsencesRequestObject,
) (ListAbsencesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	list, err := h.app.Absences(ctx, a, asked)
	if err != nil {
		return nil, err
	}
	show := func(x domain.Absence) openapi.Absence { return renderAbsence(x, a.Role) }
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfAbsence)
	return ListAbsences200JSONResponse{
		Body:    openapi.AbsencePage{Items: convert.All(rows, show), NextCursor: next.Cursor},
		Headers: ListAbsences200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfAbsence(a domain.Absence) postgres.Place {
	return postgres.Place{Key: postgres.AbsenceKey(a), ID: a.ID}
}

// AddAbsence enters leave, or days out of use.
func (h *handlers) AddAbsence(
	ctx context.Context, r AddAbsenceRequestObject,
) (AddAbsenceResponseObject, error) {
	first, err := convert.ParseDay(r.Body.First)
	if err != nil {
		return nil, err
	}
	last, err := convert.ParseDay(r.Body.Last)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	x, err := h.app.AddAbsence(ctx, a, domain.Absence{
		Person: r.Body.Person, Station: r.Body.Station, Places: r.Body.Places, First: first, Last: last,
		Why: r.Body.Why,
	})
	return AddAbsence201JSONResponse(renderAbsence(x, a.Role)), err
}

// WithdrawAbsence withdraws an absence.
func (h *handlers) WithdrawAbsence(
	ctx context.Context, r WithdrawAbsenceRequestObject,
) (WithdrawAbsenceResponseObject, error) {
	a := middleware.Actor(ctx)
	x, err := h.app.WithdrawAbsence(ctx, a, r.ID, r.Body.Why)
	return WithdrawAbsence200JSONResponse(renderAbsence(x, a.Role)), err
}
