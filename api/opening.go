package api

import (
	"bytes"
	"context"
	"encoding/hex"
	"fmt"
	"io"
	"strconv"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/media"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/opening"
	"bentside/openapi"

	"github.com/google/uuid"
)

// GetOpeningForms sends the empty files of an opening.
func (h *handlers) GetOpeningForms(
	context.Context, GetOpeningFormsRequestObject,
) (GetOpeningFormsResponseObject, error) {
	archive, err := media.Pack(opening.Forms())
	return GetOpeningForms200ApplicationZipResponse{
		Body: bytes.NewReader(archive), ContentLength: int64(len(archive)),
		Headers: GetOpeningForms200ResponseHeaders{
			ContentDisposition: `attachment; filename="opening.zip"`,
		},
	}, err
}

// OpenBooks begins the books of a workshop with what its old books say.
func (h *handlers) OpenBooks(
	ctx context.Context, r OpenBooksRequestObject,
) (OpenBooksResponseObject, error) {
	on, err := convert.ParseDay(r.Params.OpenedOn)
	if err != nil {
		return nil, err
	}
	archive, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, fmt.Errorf("read the archive: %w", err)
	}
	files, err := media.Unpack(archive, opening.FileNames())
	if err != nil {
		return nil, err
	}
	made, err := h.app.OpenBooks(ctx, middleware.Actor(ctx), files, on, r.Params.DryRun)
	if err != nil {
		return nil, err
	}
	body := renderOpened(made)
	if made.DryRun {
		return OpenBooks200JSONResponse(body), nil
	}
	return OpenBooks201JSONResponse{
		Body: body, Headers: OpenBooks201ResponseHeaders{Location: "/v1/openings/" + made.ID.String()},
	}, nil
}

// ListOpenings lists a page of the openings.
func (h *handlers) ListOpenings(
	ctx context.Context, r ListOpeningsRequestObject,
) (ListOpeningsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).OpeningsOfBooks(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(o opening.Opening) postgres.Place {
		return postgres.Place{Key: strconv.Itoa(o.Number), ID: o.ID}
	})
	return ListOpenings200JSONResponse{
		Body: openapi.OpeningPage{
			Items: convert.All(rows, renderOpening), NextCursor: next.Cursor,
		},
		Headers: ListOpenings200ResponseHeaders{Link: next.Link},
	}, nil
}

// GetOpening shows one opening.
func (h *handlers) GetOpening(
	ctx context.Context, r GetOpeningRequestObject,
) (GetOpeningResponseObject, error) {
	o, err := h.app.Read(ctx, middleware.Actor(ctx)).OpeningOfBooks(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	body := renderOpening(o)
	tag, err := etag.Digest(body)
	return GetOpening200JSONResponse{
		Body: body, Headers: GetOpening200ResponseHeaders{ETag: tag},
	}, err
}

// ListOpeningRows lists a page of what the rows of an opening became.
func (h *handlers) ListOpeningRows(
	ctx context.Context, r ListOpeningRowsRequestObject,
) (ListOpeningRowsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.OpeningOfBooks(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.OpeningRows(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(x opening.Row) postgres.Place {
		return postgres.Place{Key: strconv.Itoa(x.Number), ID: x.Record}
	})
	return ListOpeningRows200JSONResponse{
		Body: openapi.OpeningRowPage{
			Items: convert.All(rows, renderOpeningRow), NextCursor: next.Cursor,
		},
		Headers: ListOpeningRows200ResponseHeaders{Link: next.Link},
	}, nil
}

// ReverseOpening takes a whole opening back.
func (h *handlers) ReverseOpening(
	ctx context.Context, r ReverseOpeningRequestObject,
) (ReverseOpeningResponseObject, error) {
	o, err := h.app.ReverseOpening(ctx, middleware.Actor(ctx), r.ID, r.Body.Why)
	return ReverseOpening201JSONResponse(renderOpening(o)), err
}

func renderOpened(o app.Opened) openapi.Opening {
	out := renderOpening(o.Opening)
	if out.DryRun = o.DryRun; o.DryRun {
		out.ID, out.Number = uuid.Nil, 0
		out.RecordedBy, out.RecordedAt = uuid.Nil, openapi.Opening{}.RecordedAt
	}
	return out
}

func renderOpening(o opening.Opening) openapi.Opening {
	out := openapi.Opening{
		ID: o.ID, Number: o.Number, OpenedOn: o.OpenedOn.String(),
		BalancesOn: o.BalancesOn().String(), Files: convert.All(o.Files, renderOpeningFile),
		RecordedBy: o.RecordedBy, RecordedAt: o.RecordedAt,
	}
	if r := o.Reversal; r != nil {
		out.Reversal = &openapi.OpeningReversal{
			Why: r.Why, RecordedBy: r.RecordedBy, RecordedAt: r.RecordedAt,
		}
	}
	return out
}

func renderOpeningFile(f opening.FileSum) openapi.OpeningFile {
	return openapi.OpeningFile{
		File: openapi.OpeningFileName(f.File), SHA256: hex.EncodeToString(f.Hash[:]), Rows: f.Rows,
		Totals: convert.All(f.Totals, func(t opening.Total) openapi.OpeningTotal {
			return openapi.OpeningTotal{Column: t.Column, Amount: convert.Money(t.Amount)}
		}),
	}
}

func renderOpeningRow(r opening.Row) openapi.OpeningRow {
	out := openapi.OpeningRow{
		Number: r.Number, File: openapi.OpeningFileName(r.File), Line: r.Line,
		Kind: openapi.OpeningRecordKind(r.Kind), Record: r.Record, On: r.On.String(),
		Value: convert.Money(r.Value), Used: r.Used,
	}
	if r.Kind == opening.AClientJob {
		billed := convert.Money(r.Billed)
		out.Billed = &billed
	}
	return out
}
