// Package money holds exact amounts of money: whole minor units of one currency, and the few places
// where a quotient or a product of decimals is rounded to such an amount.
//
// The model. An [Amount] is an int64 count of minor units (cents, pence, fils) with its [Currency].
// Quantities, unit costs and rates are shopspring decimals inside a [Digits]. A product of decimals
// becomes an Amount by [Round] with a named [Rounding], once, where it is posted; a total is
// divided over lines by [Amount.Split], which loses and invents nothing. No float type appears on
// any path.
//
// Invariants:
//   - amounts of different currencies never meet: [Sum] reports it as [*MismatchError], Add, Sub
//     and Cmp panic with the same value;
//   - [Parse] accepts exactly the strings that [Amount.Text] writes, so that one amount has one
//     spelling;
//   - what enters from outside (Parse, JSON, Round, MulRatio) is at most [Limit] minor units;
//     thousands of such amounts can be added before int64 could overflow.
//
// Errors and panics. Whatever a person or another program supplies is checked by functions that
// return an error: ParseCurrency, Parse, UnmarshalJSON, Bound.Parse, Round, MulRatio, Split and
// Sum. Add, Sub, Neg and Cmp return none: amounts of two currencies, or a sum beyond int64, can
// only reach them by a programming error, so they panic with the typed error as the value.
//
// An example: 421 hours at 28.00 an hour.
//
//	eur := money.MustCurrency("EUR")
//	cost, err := money.Round(hours.Mul(rate), eur, money.HalfUp) // 11788.00 EUR
//
// It does not convert currencies, know tax, format for a language, or hold a database type.
package money
