package api

import (
	"bytes"
	"context"
	"fmt"
	"io"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/media"
	"bentside/api/middleware"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// ExportCatalogue sends a revision of the catalogue as a zip archive of data files.
func (h *handlers) ExportCatalogue(
	ctx context.Context, r ExportCatalogueRequestObject,
) (ExportCatalogueResponseObject, error) {
	files, err := h.app.ExportCatalogue(ctx, middleware.Actor(ctx), int(r.Number))
	if err != nil {
		return nil, err
	}
	archive, err := media.Pack(files)
	if err != nil {
		return nil, err
	}
	tag, err := etag.Digest(archive)
	return ExportCatalogue200ApplicationZipResponse{
		Body: bytes.NewReader(archive), ContentLength: int64(len(archive)),
		Headers: ExportCatalogue200ResponseHeaders{
			ContentDisposition: fmt.Sprintf(`attachment; filename="catalogue-%d.zip"`, r.Number), ETag: tag,
		},
	}, err
}

// ImportCatalogue makes a new revision of the catalogue from a zip archive of data files.
func (h *handlers) ImportCatalogue(
	ctx context.Context, r ImportCatalogueRequestObject,
) (ImportCatalogueResponseObject, error) {
	after, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	archive, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, fmt.Errorf("read the archive: %w", err)
	}
	files, err := media.Unpack(archive, catalogue.FileNames())
	if err != nil {
		return nil, err
	}
	note := r.Params.Note
	if note == "" {
		note = "imported"
	}
	done, err := h.app.ImportCatalogue(ctx, middleware.Actor(ctx),
		files, note, r.Params.DryRun, int(after))
	if err != nil {
		return nil, err
	}
	return ImportCatalogue200JSONResponse{
		Body: openapi.ImportResult{
			DryRun: r.Params.DryRun, Revision: renderRevisionHead(done.Revision),
			Changes: convert.All(done.Changes, renderRowChange),
		},
		Headers: ImportCatalogue200ResponseHeaders{ETag: etag.Version(int64(done.Revision.Number))},
	}, nil
}

func renderRowChange(c catalogue.RowChange) openapi.RowChange {
	return openapi.RowChange{
		Table: openapi.RowChangeTable(c.Table), Row: c.Row, Change: openapi.RowChangeChange(c.Change),
		Differs: c.Members,
	}
}
