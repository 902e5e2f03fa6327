package api

import (
	"context"
	"strconv"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/openapi"
)

// ListSentOut lists a page of what is out at firms.
func (h *handlers) ListSentOut(
	ctx context.Context, r ListSentOutRequestObject,
) (ListSentOutResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.SentOut(ctx, middleware.Actor(ctx), asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(s app.Sent) postgres.Place {
		return postgres.Place{Key: s.Due.String(), ID: s.ID}
	})
	return ListSentOut200JSONResponse{
		Body: openapi.SendingPage{
			Items: convert.All(rows, renderSending), NextCursor: next.Cursor,
		},
		Headers: ListSentOut200ResponseHeaders{Link: next.Link},
	}, nil
}

// ListJobSendings lists a page of what was sent out for a job.
func (h *handlers) ListJobSendings(
	ctx context.Context, r ListJobSendingsRequestObject,
) (ListJobSendingsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.SendingsOf(ctx, middleware.Actor(ctx), r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(s app.Sent) postgres.Place {
		return postgres.Place{CreatedAt: s.RecordedAt, ID: s.ID}
	})
	return ListJobSendings200JSONResponse{
		Body: openapi.SendingPage{
			Items: convert.All(rows, renderSending), NextCursor: next.Cursor,
		},
		Headers: ListJobSendings200ResponseHeaders{Link: next.Link},
	}, nil
}

// GetSending shows something that was sent out.
func (h *handlers) GetSending(
	ctx context.Context, r GetSendingRequestObject,
) (GetSendingResponseObject, error) {
	s, err := h.app.Sending(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderSending(s)
	tag, err := etag.Digest(body)
	return GetSending200JSONResponse{
		Body: body, Headers: GetSending200ResponseHeaders{ETag: tag},
	}, err
}

// SendOut records that something went to an outside firm.
func (h *handlers) SendOut(
	ctx context.Context, r SendOutRequestObject,
) (SendOutResponseObject, error) {
	sent, err := convert.ParseOptionalDay(r.Body.SentOn)
	if err != nil {
		return nil, err
	}
	due, err := convert.ParseDay(r.Body.DueOn)
	if err != nil {
		return nil, err
	}
	s, err := h.app.SendOut(ctx, middleware.Actor(ctx), job.Sending{
		Job: r.ID, Operations: convert.Texts[string, catalogue.Code](r.Body.Operations),
		Firm: r.Body.Firm, What: r.Body.What, SentOn: sent, Due: due, Country: r.Body.Country,
		Note: r.Body.Note,
	})
	if err != nil {
		return nil, err
	}
	return SendOut201JSONResponse{
		Body: renderSending(s), Headers: SendOut201ResponseHeaders{
			Location: "/v1/sendings/" + s.ID.String(),
		},
	}, nil
}

// ExpectBack records a new day on which something is due back.
func (h *handlers) ExpectBack(
	ctx context.Context, r ExpectBackRequestObject,
) (ExpectBackResponseObject, error) {
	due, err := convert.ParseDay(r.Body.DueOn)
	if err != nil {
		return nil, err
	}
	s, err := h.app.ExpectBack(ctx, middleware.Actor(ctx), job.SendingDay{
		Sending: r.ID, Due: due, Reason: r.Body.Reason,
	})
	if err != nil {
		return nil, err
	}
	return ExpectBack201JSONResponse(renderSending(s)), nil
}

// EndSending records that something that was out is back, or lost.
func (h *handlers) EndSending(
	ctx context.Context, r EndSendingRequestObject,
) (EndSendingResponseObject, error) {
	on, err := convert.ParseOptionalDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	s, err := h.app.EndSending(ctx, middleware.Actor(ctx), job.SendingEnd{
		Sending: r.ID, Outcome: job.SendingOutcome(r.Body.Outcome), On: on, Note: r.Body.Note,
	})
	if err != nil {
		return nil, err
	}
	return EndSending201JSONResponse(renderSending(s)), nil
}

// ListSendingDays lists a page of the new days on which something was due back.
func (h *handlers) ListSendingDays(
	ctx context.Context, r ListSendingDaysRequestObject,
) (ListSendingDaysResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Sending(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.SendingDays(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(d job.SendingDay) postgres.Place {
		return postgres.Place{Key: strconv.Itoa(d.Number), ID: d.Sending}
	})
	return ListSendingDays200JSONResponse{
		Body: openapi.SendingDayPage{
			Items: convert.All(rows, renderSendingDay), NextCursor: next.Cursor,
		},
		Headers: ListSendingDays200ResponseHeaders{Link: next.Link},
	}, nil
}

func renderSendingDay(d job.SendingDay) openapi.SendingDay {
	return openapi.SendingDay{
		Number: d.Number, Was: d.Was.String(), DueOn: d.Due.String(), Reason: d.Reason,
		RecordedBy: d.RecordedBy, RecordedAt: d.RecordedAt,
	}
}

func renderSending(s app.Sent) openapi.Sending {
	out := openapi.Sending{
		ID: s.ID, Job: s.Job, Instrument: s.Instrument, Owner: openapi.Ownership(s.Owner),
		Operations: convert.Texts[catalogue.Code, string](s.Operations), Firm: s.Firm, What: s.What,
		SentOn: s.SentOn.String(), DueOn: s.Due.String(), FirstDueOn: s.FirstDue.String(),
		Country: s.Country, Note: s.Note, Cautions: convert.All(s.Cautions, renderCaution),
		RecordedBy: s.RecordedBy, RecordedAt: s.RecordedAt,
	}
	if s.Owner == instrument.Client {
		out.Client = s.Client
	}
	if e := s.End; e != nil {
		out.End = &openapi.SendingEnd{
			Outcome: openapi.SendingOutcome(e.Outcome), On: e.On.String(), Note: e.Note,
			RecordedBy: e.RecordedBy, RecordedAt: e.RecordedAt,
		}
	} else if late := s.Due.DaysUntil(s.Today); late > 0 {
		out.OverdueDays = late
	}
	return out
}
