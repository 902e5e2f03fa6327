package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain/instrument"
	"bentside/domain/stringing"
	"bentside/openapi"
)

// GetTakeoff shows the quantities of an instrument.
func (h *handlers) GetTakeoff(
	ctx context.Context, r GetTakeoffRequestObject,
) (GetTakeoffResponseObject, error) {
	t, err := h.app.TakeOff(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderTakeoff(t)
	return GetTakeoff200JSONResponse{
		Body: body, Headers: GetTakeoff200ResponseHeaders{ETag: tag},
	}, err
}

// PutMeasurements replaces the quantities that were counted or measured.
func (h *handlers) PutMeasurements(
	ctx context.Context, r PutMeasurementsRequestObject,
) (PutMeasurementsResponseObject, error) {
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	list := convert.All(r.Body.Measurements, func(m openapi.Measurement) instrument.Measurement {
		return instrument.Measurement{Driver: m.Driver, Value: m.Value, By: m.By, Why: m.Why}
	})
	t, err := h.app.Measure(ctx, middleware.Actor(ctx), r.ID, list, version)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderTakeoff(t)
	return PutMeasurements200JSONResponse{
		Body: body, Headers: PutMeasurements200ResponseHeaders{ETag: tag},
	}, err
}

// renderTakeoff returns a take-off and its tag, which covers the quantities too: they depend on the
// survey and the catalogue as well as on the instrument's own version.
func renderTakeoff(v app.Versioned[app.TakenOff]) (openapi.Takeoff, string, error) {
	t := v.Value
	out := openapi.Takeoff{
		Instrument: t.Instrument.ID, Version: v.Version, Survey: t.Survey,
		Quantities: convert.All(t.TakeOff, renderQuantity),
		Measurements: convert.All(t.Instrument.Measured,
			func(m instrument.Measurement) openapi.Measurement {
				return openapi.Measurement{Driver: m.Driver, Value: m.Value, By: m.By, Why: m.Why}
			}),
		Wire: convert.All(t.Strings.Wire, renderWire), Measurable: instrument.Measurable(),
	}
	tag, err := etag.Derived(v.Version, out)
	return out, tag, err
}

func renderQuantity(q instrument.Quantity) openapi.TakeoffQuantity {
	return openapi.TakeoffQuantity{
		Driver: q.Driver, Value: q.Value, Unit: openapi.TakeoffQuantityUnit(q.Unit),
		Basis: openapi.Basis(q.Basis), Formula: instrument.WithCaveat(q.Driver, q.Basis, q.Formula),
	}
}

func renderWire(w stringing.Wire) openapi.Wire {
	return openapi.Wire{
		DiameterMM: convert.Figure(w.DiameterMM, 4), Gauge: convert.Figure(float64(w.Gauge), 1),
		Strings: w.Strings,
		Metres:  convert.Figure(w.Metres, 2), Kg: convert.Figure(w.Kg, 3),
		OrderKg: convert.Figure(w.OrderKg, 3), Coils: w.Coils,
		CoilKg: convert.Figure(w.CoilKg, 3),
	}
}
