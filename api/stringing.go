package api

import (
	"context"
	"strconv"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/stringing"
	"bentside/openapi"

	"github.com/google/uuid"
)

// GetStringScale shows the strings of an instrument as measured.
func (h *handlers) GetStringScale(
	ctx context.Context, r GetStringScaleRequestObject,
) (GetStringScaleResponseObject, error) {
	i, err := h.app.Read(ctx, middleware.Actor(ctx)).Instrument(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetStringScale200JSONResponse{
		Body: renderScale(i), Headers: GetStringScale200ResponseHeaders{
			ETag: etag.Version(i.Version),
		},
	}, nil
}

// PutStringScale replaces the measured strings of an instrument.
func (h *handlers) PutStringScale(
	ctx context.Context, r PutStringScaleRequestObject,
) (PutStringScaleResponseObject, error) {
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	i, err := h.app.MeasureScale(ctx, middleware.Actor(ctx),
		r.ID, convert.All(r.Body.Notes, readScaleNote), version)
	if err != nil {
		return nil, err
	}
	return PutStringScale200JSONResponse{
		Body: renderScale(i), Headers: PutStringScale200ResponseHeaders{
			ETag: etag.Version(i.Version),
		},
	}, nil
}

func readScaleNote(n openapi.ScaleNoteDraft) instrument.ScaleNote {
	return instrument.ScaleNote{
		Note: n.Note, Strings: n.Strings, Wound: n.Wound, LengthMM: n.LengthMM,
		CoreMM: convert.DecimalOrZero(n.CoreMM), Gauge: n.Gauge,
		OverallMM: convert.DecimalOrZero(n.OverallMM),
		Section:   n.Section,
	}
}

func renderScale(v app.Versioned[instrument.Instrument]) openapi.StringScale {
	return openapi.StringScale{
		Instrument: v.Value.ID, Version: v.Version, Notes: convert.All(v.Value.Scale, renderScaleNote),
	}
}

func renderScaleNote(n instrument.ScaleNote) openapi.ScaleNote {
	out := openapi.ScaleNote{
		Note: n.Note, Name: stringing.Name(n.Note), Strings: n.Strings, Wound: n.Wound,
		LengthMM: n.LengthMM, CoreMM: n.CoreMM, Gauge: n.Gauge, Section: n.Section,
	}
	if n.Wound {
		out.OverallMM = &n.OverallMM
	}
	return out
}

// GetStringing works out the tension and load of the strings of an instrument.
func (h *handlers) GetStringing(
	ctx context.Context, r GetStringingRequestObject,
) (GetStringingResponseObject, error) {
	terms, err := readStringTerms(r.Params)
	if err != nil {
		return nil, err
	}
	s, err := h.app.Strings(ctx, middleware.Actor(ctx), r.ID, terms)
	if err != nil {
		return nil, err
	}
	body := renderStrings(r.ID, s)
	tag, err := etag.Digest(body)
	return GetStringing200JSONResponse{
		Body: body, Headers: GetStringing200ResponseHeaders{ETag: tag},
	}, err
}

// readStringTerms returns the default terms with the changes that the query asks for.
func readStringTerms(p openapi.GetStringingParams) (instrument.StringTerms, error) {
	terms := instrument.UsualStringTerms()
	var faults domain.Faults
	for _, x := range []struct {
		name, text string
		to         *float64
	}{
		{"pitch", p.Pitch, &terms.PitchHz},
		{"spare", p.Spare, &terms.Spare},
		{"coil_kg", p.CoilKg, &terms.CoilKg},
	} {
		if x.text == "" {
			continue
		}
		f, err := strconv.ParseFloat(x.text, 64)
		if err != nil || f == 0 && x.name != "spare" {
			faults.Add("#/query/"+x.name, "must be a number above 0, not %q", x.text)
			continue
		}
		*x.to = f
	}
	if p.Basis != "" {
		terms.Break = stringing.Basis(p.Basis)
	}
	return terms, faults.Err()
}

func renderStrings(instrumentID uuid.UUID, s instrument.StringReport) openapi.StringReport {
	l := s.Load
	out := openapi.StringReport{
		Instrument: instrumentID, Basis: openapi.Basis(s.Basis), Says: s.Says, Measured: s.Measured,
		PitchHz: convert.Figure(l.PitchHz, 3), BreakBasis: openapi.BreakBasis(l.Basis),
		BreakSays: l.Basis.Describe(), Strings: l.Strings, TotalN: convert.Figure(l.TotalN, 0),
		TotalTonnesForce: convert.Figure(l.TotalN/stringing.NewtonPerTonne, 2),
		PlainN:           convert.Figure(l.PlainN, 0),
		CoveredN:         convert.Figure(l.CoveredN, 0), Sections: convert.All(l.Sections, renderSection),
		Notes: make([]openapi.StringLoad, len(l.Notes)), Wire: convert.All(s.Wire, renderWire),
	}
	for i, n := range l.Notes {
		out.Notes[i] = renderStringLoad(n, s.Rows[i].Basis)
	}
	if b := s.Bearing; b != nil {
		out.Bearing = &openapi.Bearing{
			AngleDegrees: convert.Figure(b.AngleDegrees, 2), TotalN: convert.Figure(b.TotalN, 0),
			Says: b.Says,
		}
	}
	return out
}

func renderSection(s stringing.Section) openapi.StringSection {
	return openapi.StringSection{
		Name: s.Name, From: s.From, To: s.To, Strings: s.Strings, TotalN: convert.Figure(s.TotalN, 0),
		HighestPercent: convert.OptionalFigure(s.HighestPercent, 1), HighestAt: s.HighestAt,
	}
}

func renderStringLoad(n stringing.StringLoad, basis instrument.Basis) openapi.StringLoad {
	return openapi.StringLoad{
		Note: n.Number, Name: stringing.Name(n.Number), Basis: openapi.Basis(basis), Strings: n.Strings,
		Wound: n.Covered(), LengthMM: convert.Figure(n.LengthMM, 3), CoreMM: convert.Figure(n.CoreMM, 4),
		OverallMM: convert.OptionalFigure(n.OverallMM, 3), FrequencyHz: convert.Figure(n.FrequencyHz, 3),
		TensionN: convert.Figure(n.TensionN, 1),
		UnisonN:  convert.Figure(n.UnisonN, 1), BreakN: convert.OptionalFigure(n.BreakN, 0),
		PercentOfBreak: convert.OptionalFigure(n.Percent, 1),
	}
}
