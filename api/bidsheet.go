package api

import (
	"bytes"
	"context"
	"io"
	"net/http"

	"bentside/api/media"
	"bentside/api/middleware"

	"github.com/labstack/echo/v4"
)

const mimePDF = "application/pdf"

// GetBidSheet shows a bid on one page, as text or as PDF.
func (h *handlers) GetBidSheet(
	ctx context.Context, r GetBidSheetRequestObject,
) (GetBidSheetResponseObject, error) {
	mediaType, err := middleware.Negotiate(ctx, echo.MIMETextPlain, mimePDF)
	if err != nil {
		return nil, err
	}
	s, err := h.app.BidSheet(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	if mediaType != mimePDF {
		return sheetText(s.Text()), nil
	}
	pdf, err := media.PDF(s)
	if err != nil {
		return nil, err
	}
	return GetBidSheet200ApplicationPdfResponse{
		Body: bytes.NewReader(pdf), ContentLength: int64(len(pdf)),
	}, nil
}

// sheetText is a sheet as text. It says that it is UTF-8, which the generated answer leaves open.
type sheetText string

// VisitGetBidSheetResponse sends the text.
func (text sheetText) VisitGetBidSheetResponse(w http.ResponseWriter) error {
	w.Header().Set("Content-Type", echo.MIMETextPlainCharsetUTF8)
	w.WriteHeader(http.StatusOK)
	_, err := io.WriteString(w, string(text))
	return err
}
