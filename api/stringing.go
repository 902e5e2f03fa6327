package api

import (
	"context"
	"strconv"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/stringing"
	"bentside/openapi"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// GetScale shows the strings of an instrument as measured.
func (h *handlers) GetScale(ctx context.Context, r GetScaleRequestObject) (GetScaleResponseObject, error) {
	i, err := h.app.Read(ctx, actorOf(ctx)).Instrument(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetScale200JSONResponse{
		Body: renderScale(i), Headers: GetScale200ResponseHeaders{ETag: versionTag(i.Version, fullView)},
	}, nil
}

// PutScale replaces the measured strings of an instrument.
func (h *handlers) PutScale(ctx context.Context, r PutScaleRequestObject) (PutScaleResponseObject, error) {
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	i, err := h.app.MeasureScale(ctx, actorOf(ctx), r.ID, renderAll(r.Body.Notes, readScaleNote), version)
	if err != nil {
		return nil, err
	}
	return PutScale200JSONResponse{
		Body: renderScale(i), Headers: PutScale200ResponseHeaders{ETag: versionTag(i.Version, fullView)},
	}, nil
}

func readScaleNote(n openapi.ScaleNoteDraft) domain.ScaleNote {
	return domain.ScaleNote{
		Note: n.Note, Strings: n.Strings, Wound: n.Wound, LengthMM: n.LengthMM, CoreMM: orZero(n.CoreMM), Gauge: n.Gauge,
		OverallMM: orZero(n.OverallMM), Section: n.Section,
	}
}

func orZero(d *decimal.Decimal) decimal.Decimal {
	if d == nil {
		return decimal.Zero
	}
	return *d
}

func renderScale(v app.Versioned[domain.Instrument]) openapi.StringScale {
	return openapi.StringScale{Instrument: v.Value.ID, Version: v.Version, Notes: renderAll(v.Value.Scale, renderScaleNote)}
}

func renderScaleNote(n domain.ScaleNote) openapi.ScaleNote {
	out := openapi.ScaleNote{
		Note: n.Note, Name: stringing.Name(n.Note), Strings: n.Strings, Wound: n.Wound, LengthMM: n.LengthMM, CoreMM: n.CoreMM,
		Gauge: n.Gauge, Section: n.Section,
	}
	if n.Wound {
		out.OverallMM = &n.OverallMM
	}
	return out
}

// GetStringing works out the strings of an instrument.
func (h *handlers) GetStringing(ctx context.Context, r GetStringingRequestObject) (GetStringingResponseObject, error) {
	terms, err := readStringTerms(r.Params)
	if err != nil {
		return nil, err
	}
	s, err := h.app.Strings(ctx, actorOf(ctx), r.ID, terms)
	if err != nil {
		return nil, err
	}
	body := renderStrings(r.ID, s)
	tag, err := digestTag(body)
	return GetStringing200JSONResponse{Body: body, Headers: GetStringing200ResponseHeaders{ETag: tag}}, err
}

// readStringTerms are the usual terms with what the query says otherwise.
func readStringTerms(p openapi.GetStringingParams) (domain.StringTerms, error) {
	terms := domain.UsualStringTerms()
	var faults domain.Faults
	for _, x := range []struct {
		name, text string
		to         *float64
	}{{"pitch", p.Pitch, &terms.PitchHz}, {"spare", p.Spare, &terms.Spare}, {"coil_kg", p.CoilKg, &terms.CoilKg}} {
		if x.text == "" {
			continue
		}
		f, err := strconv.ParseFloat(x.text, 64)
		if err != nil || f == 0 && x.name != "spare" {
			faults.Add("#/query/"+x.name, "%q is no figure to reckon with", x.text)
			continue
		}
		*x.to = f
	}
	if p.Basis != "" {
		terms.Break = stringing.Basis(p.Basis)
	}
	return terms, faults.Err()
}

func renderStrings(instrument uuid.UUID, s domain.StringReport) openapi.StringReport {
	l := s.Load
	out := openapi.StringReport{
		Instrument: instrument, Basis: openapi.Basis(s.Basis), Says: s.Says, Measured: s.Measured, PitchHz: figure(l.PitchHz, 3),
		BreakBasis: openapi.BreakBasis(l.Basis), BreakSays: l.Basis.Describe(), Strings: l.Strings, TotalN: figure(l.TotalN, 0),
		TotalTonnesForce: figure(l.TotalN/stringing.NewtonPerTonne, 2), PlainN: figure(l.PlainN, 0), CoveredN: figure(l.CoveredN, 0),
		Sections: renderAll(l.Sections, renderSection), Notes: make([]openapi.StringLoad, len(l.Notes)), Wire: renderAll(s.Wire, renderWire),
	}
	for i, n := range l.Notes {
		out.Notes[i] = renderStringLoad(n, s.Rows[i].Basis)
	}
	if b := s.Bearing; b != nil {
		out.Bearing = &openapi.Bearing{AngleDegrees: figure(b.AngleDegrees, 2), TotalN: figure(b.TotalN, 0), Says: b.Says}
	}
	return out
}

func renderSection(s stringing.Section) openapi.StringSection {
	return openapi.StringSection{
		Name: s.Name, From: s.From, To: s.To, Strings: s.Strings, TotalN: figure(s.TotalN, 0),
		HighestPercent: figureOrNone(s.HighestPercent, 1), HighestAt: s.HighestAt,
	}
}

func renderStringLoad(n stringing.StringLoad, basis domain.Basis) openapi.StringLoad {
	return openapi.StringLoad{
		Note: n.Number, Name: stringing.Name(n.Number), Basis: openapi.Basis(basis), Strings: n.Strings, Wound: n.Covered(),
		LengthMM: figure(n.LengthMM, 3), CoreMM: figure(n.CoreMM, 4), OverallMM: figureOrNone(n.OverallMM, 3),
		FrequencyHz: figure(n.FrequencyHz, 3), TensionN: figure(n.TensionN, 1), UnisonN: figure(n.UnisonN, 1),
		BreakN: figureOrNone(n.BreakN, 0), PercentOfBreak: figureOrNone(n.Percent, 1),
	}
}
