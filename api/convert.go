package api

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

func renderHours(h pricing.Hours) openapi.ThreePoint {
	return openapi.ThreePoint{Low: h.Low, Likely: h.Likely, High: h.High}
}

func renderHoursSpan(h pricing.Hours) openapi.HoursSpan {
	return openapi.HoursSpan{Low: h.Low, Likely: h.Likely, Expected: h.Expected, High: h.High}
}

func renderThreePoint(t catalogue.ThreePoint) openapi.ThreePoint {
	return openapi.ThreePoint{Low: t.Low, Likely: t.Likely, High: t.High}
}

// timeOrZero returns the zero time, which JSON leaves out, for nil.
func timeOrZero(t *time.Time) time.Time {
	if t == nil {
		return time.Time{}
	}
	return *t
}

// convertTexts converts the domain's codes to the contract's types.
func convertTexts[F, T ~string](list []F) []T {
	if list == nil {
		return nil
	}
	out := make([]T, len(list))
	for i, x := range list {
		out[i] = T(x)
	}
	return out
}

// notNull returns an empty list for nil, so that JSON has [] and not null.
func notNull[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// parseDay parses a day that the contract has checked already.
func parseDay(day openapi.Day) (domain.Date, error) {
	d, err := domain.ParseDate(day)
	if err != nil {
		return d, domain.Refuse(domain.Invalid, "%v", err)
	}
	return d, nil
}

// convertAll converts each item; no items give an empty list and not null.
func convertAll[T, M any](items []T, convert func(T) M) []M {
	list := make([]M, 0, len(items))
	for _, item := range items {
		list = append(list, convert(item))
	}
	return list
}

// parseOptionalDay parses a day that may be left out.
func parseOptionalDay(day openapi.Day) (domain.Date, error) {
	if day == "" {
		return domain.Date{}, nil
	}
	return parseDay(day)
}

// dayOrEmpty returns "", which JSON leaves out, for the zero day.
func dayOrEmpty(d domain.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// decimalOrZero returns zero for nil.
func decimalOrZero(d *decimal.Decimal) decimal.Decimal {
	if d == nil {
		return decimal.Zero
	}
	return *d
}

// figure rounds a physical quantity to a number of decimals.
func figure(x float64, places int32) decimal.Decimal {
	return decimal.NewFromFloat(x).Round(places)
}

// optionalFigure returns figure, with nil for 0, which stands for unknown.
func optionalFigure(x float64, places int32) *decimal.Decimal {
	if x == 0 {
		return nil
	}
	d := figure(x, places)
	return &d
}

// revisionNumber converts the number of a catalogue's revision; the store's column is an integer
// too.
func revisionNumber(n int) int32 { return int32(n) } //nolint:gosec // see above
