package api

import (
	"context"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/stringing"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// GetTakeoff shows what there is of an instrument, counted.
func (h *handlers) GetTakeoff(ctx context.Context, r GetTakeoffRequestObject) (GetTakeoffResponseObject, error) {
	t, err := h.app.TakeOff(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderTakeoff(t)
	return GetTakeoff200JSONResponse{Body: body, Headers: GetTakeoff200ResponseHeaders{ETag: tag}}, err
}

// PutMeasurements replaces what was counted or measured.
func (h *handlers) PutMeasurements(ctx context.Context, r PutMeasurementsRequestObject) (PutMeasurementsResponseObject, error) {
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	list := renderAll(r.Body.Measurements, func(m openapi.Measurement) domain.Measurement {
		return domain.Measurement{Driver: m.Driver, Value: m.Value, By: m.By, Why: m.Why}
	})
	t, err := h.app.Measure(ctx, actorOf(ctx), r.ID, list, version)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderTakeoff(t)
	return PutMeasurements200JSONResponse{Body: body, Headers: PutMeasurements200ResponseHeaders{ETag: tag}}, err
}

// renderTakeoff gives a take-off with its tag, which covers the quantities too:
// they follow from the survey and the catalogue beside the instrument's own
// version.
func renderTakeoff(v app.Versioned[app.TakenOff]) (openapi.Takeoff, string, error) {
	t := v.Value
	out := openapi.Takeoff{
		Instrument: t.Instrument.ID, Version: v.Version, Survey: t.Survey, Quantities: renderAll(t.TakeOff, renderQuantity),
		Measurements: renderAll(t.Instrument.Measured, func(m domain.Measurement) openapi.Measurement {
			return openapi.Measurement{Driver: m.Driver, Value: m.Value, By: m.By, Why: m.Why}
		}),
		Wire: renderAll(t.Strings.Wire, renderWire), Measurable: domain.Measurable(),
	}
	tag, err := derivedTag(v.Version, out)
	return out, tag, err
}

func renderQuantity(q domain.Quantity) openapi.TakeoffQuantity {
	return openapi.TakeoffQuantity{
		Driver: q.Driver, Value: q.Value, Unit: openapi.TakeoffQuantityUnit(q.Unit), Basis: openapi.Basis(q.Basis), Formula: q.Formula,
	}
}

func renderWire(w stringing.Wire) openapi.Wire {
	return openapi.Wire{
		DiameterMM: figure(w.DiameterMM, 4), Gauge: figure(float64(w.Gauge), 1), Strings: w.Strings, Metres: figure(w.Metres, 2),
		Kg: figure(w.Kg, 3), OrderKg: figure(w.OrderKg, 3), Coils: w.Coils, CoilKg: figure(w.CoilKg, 3),
	}
}

// figure is a physical figure with so many decimals.
func figure(x float64, places int32) decimal.Decimal { return decimal.NewFromFloat(x).Round(places) }

// figureOrNone leaves out a figure that there is not.
func figureOrNone(x float64, places int32) *decimal.Decimal {
	if x == 0 {
		return nil
	}
	d := figure(x, places)
	return &d
}
