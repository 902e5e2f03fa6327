package api

import (
	"bytes"
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/media"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/hours"
	"bentside/openapi"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/shopspring/decimal"
)

// EnterHours enters hours that somebody worked.
func (h *handlers) EnterHours(
	ctx context.Context, r EnterHoursRequestObject,
) (EnterHoursResponseObject, error) {
	d, err := readEntry(*r.Body)
	if err != nil {
		return nil, err
	}
	e, err := h.app.EnterHours(ctx, middleware.Actor(ctx), d)
	return EnterHours201JSONResponse(renderEntry(e)), err
}

// readEntry reads an entry; how long it took is given in one of three ways.
func readEntry(b openapi.TimeEntryDraft) (app.HoursDraft, error) {
	d := app.HoursDraft{Entry: hours.Entry{
		Person: b.Person, Job: b.Job, Operation: catalogue.Code(b.Operation),
		Duty: hours.Duty(b.Duty), Minutes: b.Minutes, Rework: hours.Rework(b.Rework), Note: b.Note,
		Reason: b.Reason, Correction: b.Correction,
	}, Duration: "#/minutes"}
	var err error
	if d.On, err = convert.ParseOptionalDay(b.WorkedOn); err != nil {
		return d, err
	}
	var f domain.Faults
	if (b.From == "") != (b.To == "") {
		f.Add("#/to", "must come with from, and from with it")
	} else if b.From != "" {
		d.Clock = &domain.Interval{From: convert.Minutes(b.From), To: convert.Minutes(b.To)}
	}
	hoursGiven := !b.Hours.IsZero()
	switch {
	case hoursGiven && b.Minutes != 0:
		f.Add("#/hours", "must be left out where minutes are given")
	case hoursGiven:
		d.Minutes, d.Duration = readMinutes(&f, "#/hours", b.Hours), "#/hours"
	case b.Minutes == 0 && d.Clock != nil:
		d.Minutes, d.Duration = d.Clock.To-d.Clock.From, "#/to"
	case b.Minutes == 0 && b.From == "" && b.To == "":
		f.Add("#/minutes", "must say how long it took: more than 0 minutes or hours, or from and to")
	}
	return d, f.Err()
}

// readMinutes reads hours as whole minutes.
func readMinutes(f *domain.Faults, pointer string, given decimal.Decimal) int {
	n, whole := domain.MinutesOf(given)
	if !whole {
		f.Add(pointer, "must be whole convert.Minutes, such as 1.25 or 0.1 h; %s h are %s min", given,
			given.Mul(decimal.NewFromInt(domain.MinutesPerHour)))
	}
	return n
}

// ReverseHours takes back hours that were entered wrongly.
func (h *handlers) ReverseHours(
	ctx context.Context, r ReverseHoursRequestObject,
) (ReverseHoursResponseObject, error) {
	e, err := h.app.ReverseHours(ctx, middleware.Actor(ctx), app.HoursReversal{
		Entry: r.ID, Minutes: r.Body.Minutes, Duration: "#/minutes", Why: r.Body.Why,
	})
	return ReverseHours201JSONResponse(renderEntry(e)), err
}

// ListJobHours lists the hours entered on a job.
func (h *handlers) ListJobHours(
	ctx context.Context, r ListJobHoursRequestObject,
) (ListJobHoursResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.TimeEntries(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfEntry)
	return ListJobHours200JSONResponse{
		Body: openapi.TimeEntryPage{
			Items: convert.All(rows, renderEntry), NextCursor: next.Cursor,
		},
		Headers: ListJobHours200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfEntry(e hours.Entry) postgres.Place {
	return postgres.Place{CreatedAt: e.RecordedAt, ID: e.ID}
}

// ApproveHours approves the hours of somebody's week.
func (h *handlers) ApproveHours(
	ctx context.Context, r ApproveHoursRequestObject,
) (ApproveHoursResponseObject, error) {
	week, err := convert.ParseDay(r.Body.Week)
	if err != nil {
		return nil, err
	}
	a, err := h.app.ApproveHours(ctx, middleware.Actor(ctx), app.WeekApproval{
		Person: r.ID, Week: week, Expected: r.Body.Minutes, Note: r.Body.Note,
	})
	return ApproveHours201JSONResponse(renderApproval(a)), err
}

// GetTimesheet shows what somebody worked in a month, as JSON or as a file.
func (h *handlers) GetTimesheet(
	ctx context.Context, r GetTimesheetRequestObject,
) (GetTimesheetResponseObject, error) {
	mediaType, err := middleware.Negotiate(ctx, echo.MIMEApplicationJSON, media.TypeCSV)
	if err != nil {
		return nil, err
	}
	month, err := hours.ParseMonth(r.Month)
	if err != nil {
		return nil, domain.Refuse(domain.Invalid, "%v", err)
	}
	t, err := h.app.Timesheet(ctx, middleware.Actor(ctx), r.ID, month)
	if err != nil {
		return nil, err
	}
	if mediaType != media.TypeCSV {
		body := renderTimesheet(t)
		tag, err := etag.Digest(body)
		return GetTimesheet200JSONResponse{
			Body: body, Headers: GetTimesheet200ResponseHeaders{ETag: tag},
		}, err
	}
	file, err := t.CSV()
	if err != nil {
		return nil, err
	}
	tag, err := etag.Digest(string(file))
	return GetTimesheet200TextCsvResponse{
		Body: bytes.NewReader(file), ContentLength: int64(len(file)),
		Headers: GetTimesheet200ResponseHeaders{ETag: tag},
	}, err
}

func renderEntry(e hours.Entry) openapi.TimeEntry {
	out := openapi.TimeEntry{
		ID: e.ID, Person: e.Person, Job: e.Job, Operation: string(e.Operation),
		Duty: openapi.Duty(e.Duty), WorkedOn: e.On.String(), Minutes: e.Minutes,
		Hours: domain.HoursOf(e.Minutes), Rework: openapi.Rework(e.Rework), Note: e.Note,
		Reason: e.Reason, Correction: e.Correction, Reverses: e.Reverses,
		Status: openapi.TimeEntryStatusPending, Approval: e.Approval,
		RecordedBy: e.RecordedBy, RecordedAt: e.RecordedAt,
	}
	if len(e.Ahead) > 0 {
		out.Ahead = convert.Texts[catalogue.Code, openapi.OperationCode](e.Ahead)
	}
	if e.Clock != nil {
		out.From, out.To = convert.Clock(e.Clock.From), convert.Clock(e.Clock.To)
	}
	if e.Approval != uuid.Nil {
		out.Status = openapi.TimeEntryStatusApproved
	}
	return out
}

func renderTimesheetRow(r hours.Row) openapi.TimeEntry {
	out := renderEntry(r.Entry)
	out.Instrument, out.Task = r.Instrument, r.Task
	return out
}

func renderApproval(a hours.Approval) openapi.TimeApproval {
	return openapi.TimeApproval{
		ID: a.ID, Person: a.Person, Week: a.Week.String(), PostedOn: a.PostedOn.String(),
		Minutes: a.Minutes, Entries: a.Entries, Note: a.Note, ApprovedBy: a.By, ApprovedAt: a.At,
	}
}

func renderTimesheet(t hours.Timesheet) openapi.Timesheet {
	return openapi.Timesheet{
		Person: t.Person.ID, Name: t.Person.Name, OnPayroll: !t.Person.OffPayroll,
		Month: t.Month.String(), Total: renderTimeSum(t.Total()),
		Days: convert.All(t.ByDay(), func(d hours.DaySum) openapi.TimesheetDay {
			return openapi.TimesheetDay{Day: d.Day.String(), Sum: renderTimeSum(d.Sum)}
		}),
		Work:      convert.All(t.ByWork(), renderTimesheetWork),
		Entries:   convert.All(t.Rows, renderTimesheetRow),
		Approvals: convert.All(t.Approvals, renderApproval),
	}
}

func renderTimesheetWork(w hours.WorkSum) openapi.TimesheetWork {
	return openapi.TimesheetWork{
		Job: w.Job, Instrument: w.Instrument, Operation: string(w.Operation), Task: w.Task,
		Duty: openapi.Duty(w.Duty), Sum: renderTimeSum(w.Sum),
	}
}

func renderTimeSum(s hours.Sum) openapi.TimeSum {
	return openapi.TimeSum{
		Minutes: s.Total(), Hours: domain.HoursOf(s.Total()), Pending: s.Pending, Approved: s.Approved,
	}
}
