package money_test

import (
	"fmt"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Labour is hours times rate, rounded once where it is posted.
func ExampleRound() {
	hours, rate := decimal.RequireFromString("62.25"), decimal.RequireFromString("18.333333")
	cost, err := money.Round(hours.Mul(rate), money.MustCurrency("GBP"), money.HalfUp)
	fmt.Println(cost, err)
	// Output: 1141.25 GBP <nil>
}

// A haulier's invoice for three pianos, shared by what each cost.
func ExampleAmount_Split() {
	carriage := money.MustParse("250.00 GBP")
	values := []decimal.Decimal{
		decimal.NewFromInt(4000), decimal.NewFromInt(1500), decimal.NewFromInt(700),
	}
	shares, err := carriage.Split(values)
	fmt.Println(shares, err)
	// Output: [161.29 GBP 60.48 GBP 28.23 GBP] <nil>
}

// The tax in a sale that includes it at 20 % is a sixth of it.
func ExampleAmount_MulRatio() {
	tax, err := money.MustParse("500.00 GBP").MulRatio(20, 120, money.HalfUp)
	fmt.Println(tax, err)
	// Output: 83.33 GBP <nil>
}
