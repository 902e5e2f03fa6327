package api

import (
	"bytes"
	"context"
	"fmt"
	"io"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/openapi"
)

// GetJoinForm sends an empty form of the file that a workshop joins with.
func (h *handlers) GetJoinForm(
	context.Context, GetJoinFormRequestObject,
) (GetJoinFormResponseObject, error) {
	form := job.JoinForm()
	return GetJoinForm200TextCsvResponse{
		Body: bytes.NewReader(form), ContentLength: int64(len(form)),
	}, nil
}

// JoinInstruments takes over the work that is in progress when a workshop joins.
func (h *handlers) JoinInstruments(
	ctx context.Context, r JoinInstrumentsRequestObject,
) (JoinInstrumentsResponseObject, error) {
	today, err := h.app.Today(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	var joined app.Joined
	if r.JSONBody != nil {
		joined, err = h.joinList(ctx, *r.JSONBody, today, r.Params.DryRun)
	} else {
		joined, err = h.joinFile(ctx, r.Body, today, r.Params.DryRun)
	}
	if err != nil {
		return nil, err
	}
	assumed, err := h.app.DatesAssume(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	body := renderJoin(joined)
	body.Assumptions = convert.All(assumed, convert.Assumption)
	if joined.DryRun {
		return JoinInstruments200JSONResponse(body), nil
	}
	return JoinInstruments201JSONResponse{
		Body: body, Headers: JoinInstruments201ResponseHeaders{Location: "/v1/jobs"},
	}, nil
}

// joinList takes over the pianos of a JSON body.
func (h *handlers) joinList(
	ctx context.Context, d openapi.JoinDraft, today domain.Date, dry bool,
) (app.Joined, error) {
	j := job.Join{JoinedOn: today}
	if d.JoinedOn != "" {
		day, err := convert.ParseDay(d.JoinedOn)
		if err != nil {
			return app.Joined{}, err
		}
		j.JoinedOn = day
	}
	in, err := h.amountReader(ctx)
	if err != nil {
		return app.Joined{}, err
	}
	for i, p := range d.Pianos {
		piano, err := readJoiningPiano(p, fmt.Sprintf("#/pianos/%d", i), in)
		if err != nil {
			return app.Joined{}, err
		}
		j.Pianos = append(j.Pianos, piano)
	}
	if err := in.Faults.Err(); err != nil {
		return app.Joined{}, err
	}
	return h.app.Join(ctx, middleware.Actor(ctx), j, dry)
}

// joinFile takes over the pianos of a CSV file. Where some of it cannot be read, the rest is
// checked all the same, so that all faults are reported at once.
func (h *handlers) joinFile(
	ctx context.Context, body io.Reader, today domain.Date, dry bool,
) (app.Joined, error) {
	data, err := io.ReadAll(body)
	if err != nil {
		return app.Joined{}, err
	}
	file, unread := job.ReadJoin(data)
	file.Join.JoinedOn = today
	joined, err := h.app.Join(ctx, middleware.Actor(ctx), file.Join, dry || len(unread) > 0)
	return joined, file.Report(unread, err)
}

func readJoiningPiano(
	p openapi.JoiningPiano, at string, in *convert.AmountReader,
) (job.JoiningPiano, error) {
	accepted, err := convert.ParseDay(p.AcceptedOn)
	if err != nil {
		return job.JoiningPiano{}, err
	}
	promised, err := convert.ParseOptionalDay(p.PromisedOn)
	if err != nil {
		return job.JoiningPiano{}, err
	}
	out := job.JoiningPiano{
		Client: p.Client, Depth: catalogue.Depth(p.Depth), AcceptedOn: accepted, PromisedOn: promised,
		Instrument: instrument.Instrument{
			Kind: catalogue.Kind(p.Kind), Maker: p.Maker, Model: p.Model, Serial: p.Serial,
			Year: int(p.Year), SizeMM: int(p.SizeMM), Notes: int(p.Notes), Covering: p.Covering,
			Finish: p.Finish, Colour: p.Colour, Action: p.Action, Owner: instrument.Ownership(p.Owner),
			StockNumber: p.StockNumber,
		},
	}
	if p.OriginalPrice != nil {
		d := in.Decimal(at+"/original_price", p.OriginalPrice)
		out.OriginalPrice = &d
	}
	if p.CostSoFar != nil {
		d := in.Decimal(at+"/cost_so_far", p.CostSoFar)
		out.CostSoFar = &d
	}
	if p.Deposit != nil {
		d := in.Decimal(at+"/deposit", p.Deposit)
		out.Deposit = &d
	}
	for _, t := range p.Tasks {
		out.Tasks = append(out.Tasks, job.JoiningTask{
			Operation: catalogue.Code(t.Operation), Done: t.HoursDone, Left: t.HoursLeft,
		})
	}
	return out, nil
}

func renderJoin(j app.Joined) openapi.JoinReport {
	out := openapi.JoinReport{
		DryRun: j.DryRun, JoinedOn: j.JoinedOn.String(), Pianos: []openapi.JoinedPiano{},
	}
	for i, p := range j.Pianos {
		x := openapi.JoinedPiano{
			Maker: p.Instrument.Maker, StockNumber: p.Instrument.StockNumber, Ref: p.Ref,
			Tasks: len(p.Job.Tasks),
		}
		for _, t := range p.Job.Tasks {
			x.HoursDone, x.HoursLeft = x.HoursDone.Add(t.Done), x.HoursLeft.Add(t.Left)
		}
		for _, w := range p.Warnings {
			x.Warnings = append(x.Warnings, openapi.JoinWarning{
				Pointer: fmt.Sprintf("#/pianos/%d/tasks/%d", i, w.Task), Line: w.Line,
				Operation: string(w.Operation), Says: w.Text,
				Ahead: convert.Texts[catalogue.Code, openapi.OperationCode](w.Ahead),
			})
		}
		if !p.Ready.IsZero() {
			x.ReadyOn = domain.DateOf(p.Ready).String()
		}
		if !j.DryRun {
			x.Instrument, x.Job = p.Instrument.ID, p.Job.ID
		}
		out.Pianos = append(out.Pianos, x)
	}
	return out
}
