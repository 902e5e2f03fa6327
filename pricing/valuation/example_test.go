package valuation_test

import (
	"fmt"

	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Three screws for 10.00: the last one takes the odd cent (worked_examples.md A10).
func ExampleStock_Take() {
	s := valuation.NewStock(valuation.MovingAverage, money.MustCurrency("EUR"))
	s, _, err := s.Receive(uuid.UUID{1}, decimal.NewFromInt(3), money.MustParse("10.00 EUR"))
	for err == nil {
		var taken []valuation.Line
		if s, taken, err = s.Take(decimal.NewFromInt(1)); err == nil {
			fmt.Println(taken[0].Value, "leaves", s.Value())
		}
	}
	fmt.Println(err)
	// Output:
	// -3.33 EUR leaves 6.67 EUR
	// -3.34 EUR leaves 3.33 EUR
	// -3.33 EUR leaves 0.00 EUR
	// 1 are wanted and there are 0
}
