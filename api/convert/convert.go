package convert

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// Hours returns the low, likely and high hours of work.
func Hours(h pricing.Hours) openapi.ThreePoint {
	return openapi.ThreePoint{Low: h.Low, Likely: h.Likely, High: h.High}
}

// HoursSpan returns what hours come to in all.
func HoursSpan(h pricing.Hours) openapi.HoursSpan {
	return openapi.HoursSpan{Low: h.Low, Likely: h.Likely, Expected: h.Expected, High: h.High}
}

// ThreePoint returns an estimate of the catalogue.
func ThreePoint(t catalogue.ThreePoint) openapi.ThreePoint {
	return openapi.ThreePoint{Low: t.Low, Likely: t.Likely, High: t.High}
}

// TimeOrZero returns the zero time, which JSON leaves out, for nil.
func TimeOrZero(t *time.Time) time.Time {
	if t == nil {
		return time.Time{}
	}
	return *t
}

// Texts converts the domain's codes to the contract's types.
func Texts[F, T ~string](list []F) []T {
	if list == nil {
		return nil
	}
	out := make([]T, len(list))
	for i, x := range list {
		out[i] = T(x)
	}
	return out
}

// NotNull returns an empty list for nil, so that JSON has [] and not null.
func NotNull[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// ParseDay parses a day that the contract has checked already.
func ParseDay(day openapi.Day) (domain.Date, error) {
	d, err := domain.ParseDate(day)
	if err != nil {
		return d, domain.Refuse(domain.Invalid, "%v", err)
	}
	return d, nil
}

// All converts each item; no items give an empty list and not null.
func All[T, M any](items []T, convert func(T) M) []M {
	list := make([]M, 0, len(items))
	for _, item := range items {
		list = append(list, convert(item))
	}
	return list
}

// ParseOptionalDay parses a day that may be left out.
func ParseOptionalDay(day openapi.Day) (domain.Date, error) {
	if day == "" {
		return domain.Date{}, nil
	}
	return ParseDay(day)
}

// DayOrEmpty returns "", which JSON leaves out, for the zero day.
func DayOrEmpty(d domain.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// DecimalOrZero returns zero for nil.
func DecimalOrZero(d *decimal.Decimal) decimal.Decimal {
	if d == nil {
		return decimal.Zero
	}
	return *d
}

// Figure rounds a physical quantity to a number of decimals.
func Figure(x float64, places int32) decimal.Decimal {
	return decimal.NewFromFloat(x).Round(places)
}

// OptionalFigure returns Figure, with nil for 0, which stands for unknown.
func OptionalFigure(x float64, places int32) *decimal.Decimal {
	if x == 0 {
		return nil
	}
	d := Figure(x, places)
	return &d
}

// RevisionNumber converts the number of a catalogue's revision; the store's column is an integer
// too.
func RevisionNumber(n int) int32 { return int32(n) } //nolint:gosec // see above
