package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// ListAbsences lists who will be away and what will be out of use.
func (h *handlers) ListAbsences(ctx context.Context, _ ListAbsencesRequestObject) (ListAbsencesResponseObject, error) {
	a := actorOf(ctx)
	list, err := h.app.Absences(ctx, a)
	if err != nil {
		return nil, err
	}
	return ListAbsences200JSONResponse{Items: renderAll(list, func(x domain.Absence) openapi.Absence { return showAbsence(x, a.Role) })}, nil
}

// AddAbsence enters leave, or days out of use.
func (h *handlers) AddAbsence(ctx context.Context, r AddAbsenceRequestObject) (AddAbsenceResponseObject, error) {
	first, err := parseDay(r.Body.First)
	if err != nil {
		return nil, err
	}
	last, err := parseDay(r.Body.Last)
	if err != nil {
		return nil, err
	}
	a := actorOf(ctx)
	x, err := h.app.AddAbsence(ctx, a, domain.Absence{
		Person: r.Body.Person, Station: r.Body.Station, Places: r.Body.Places, First: first, Last: last, Why: r.Body.Why,
	})
	return AddAbsence201JSONResponse(showAbsence(x, a.Role)), err
}

// WithdrawAbsence lets one count no more.
func (h *handlers) WithdrawAbsence(ctx context.Context, r WithdrawAbsenceRequestObject) (WithdrawAbsenceResponseObject, error) {
	a := actorOf(ctx)
	x, err := h.app.WithdrawAbsence(ctx, a, r.ID, r.Body.Why)
	return WithdrawAbsence200JSONResponse(showAbsence(x, a.Role)), err
}
