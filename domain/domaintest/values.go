package domaintest

import (
	"errors"
	"time"

	"bentside/domain"

	"github.com/shopspring/decimal"
)

// Dec reads a decimal, which must be one.
func Dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// Ptr returns a pointer to a copy of a value.
func Ptr[T any](v T) *T { return &v }

// A day in the workshop, and an hour of it.
var (
	JobDay  = domain.Date{Year: 2026, Month: time.March, Day: 2}
	JobHour = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
)

// FaultOf returns the Fault in an error, nil where there is none.
func FaultOf(err error) *domain.Fault {
	var f *domain.Fault
	errors.As(err, &f)
	return f
}

// KindOf returns the kind of the Fault in an error, empty where there is none.
func KindOf(err error) domain.FaultKind {
	if f := FaultOf(err); f != nil {
		return f.Kind
	}
	return ""
}
