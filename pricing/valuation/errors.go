package valuation

import (
	"fmt"

	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// ShortError says that more is wanted than there is.
type ShortError struct {
	Wanted, Held decimal.Decimal
}

// Error gives both quantities.
func (e *ShortError) Error() string {
	return fmt.Sprintf("%s are wanted and there are %s", e.Wanted, e.Held)
}

// QuantityError says that a quantity isn't more than zero.
type QuantityError struct {
	Quantity decimal.Decimal
}

// Error gives the quantity.
func (e *QuantityError) Error() string {
	return fmt.Sprintf("a quantity must be more than 0, not %s", e.Quantity)
}

// ValueError says that goods would cost less than nothing.
type ValueError struct {
	Value money.Amount
}

// Error gives the value.
func (e *ValueError) Error() string { return fmt.Sprintf("%s is less than nothing", e.Value) }

// SpentError says that a layer no longer holds what a move would take back from it.
type SpentError struct {
	Layer uuid.UUID
}

// Error names the layer.
func (e *SpentError) Error() string {
	return fmt.Sprintf("layer %s no longer holds what is to be taken from it", e.Layer)
}
