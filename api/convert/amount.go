package convert

import (
	"bentside/domain"
	"bentside/openapi"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Money returns an amount in major units with its currency.
func Money(a money.Amount) openapi.Money {
	return openapi.Money{Amount: a.Text(), Currency: a.Currency().Code()}
}

// MoneyRange returns the low, likely and high figure of an amount.
func MoneyRange(r pricing.Range) openapi.MoneyRange {
	return openapi.MoneyRange{
		Low: Money(r.Low), Likely: Money(r.Likely), High: Money(r.High),
	}
}

// MoneySpan renders what an amount comes to in all. What engine 8 and earlier stored has no
// expected value.
func MoneySpan(r pricing.Range) openapi.MoneySpan {
	return openapi.MoneySpan{
		Low: Money(r.Low), Likely: Money(r.Likely), Expected: renderExpected(r),
		High: Money(r.High),
	}
}

// LikelyMoney returns what an amount likely comes to, and its expected value.
func LikelyMoney(r pricing.Range) openapi.LikelyMoney {
	return openapi.LikelyMoney{Likely: Money(r.Likely), Expected: renderExpected(r)}
}

func renderExpected(r pricing.Range) *openapi.Money {
	if r.Expected.Currency().IsZero() {
		return nil
	}
	expected := Money(r.Expected)
	return &expected
}

// OptionalMoney renders an amount that may be missing.
func OptionalMoney(a *money.Amount) *openapi.Money {
	if a == nil {
		return nil
	}
	m := Money(*a)
	return &m
}

// ReadMoney reads an amount in whatever currency it names, and notes its faults.
func ReadMoney(f *domain.Faults, pointer string, m openapi.Money) money.Amount {
	c, err := money.ParseCurrency(m.Currency)
	if err != nil {
		f.Add(pointer+"/currency", "%v", err)
		return money.Amount{}
	}
	a, err := money.Parse(m.Amount, c)
	if err != nil {
		f.Add(pointer+"/amount", "%v", err)
	}
	return a
}

// ReadOptionalMoney is ReadMoney of an amount that may be left out; nil where it was.
func ReadOptionalMoney(f *domain.Faults, pointer string, m *openapi.Money) *money.Amount {
	if m == nil {
		return nil
	}
	a := ReadMoney(f, pointer, *m)
	return &a
}

// ReadMoneyOrZero is ReadMoney of an amount that may be left out; the zero Amount where it was.
func ReadMoneyOrZero(f *domain.Faults, pointer string, m *openapi.Money) money.Amount {
	if m == nil {
		return money.Amount{}
	}
	return ReadMoney(f, pointer, *m)
}

// AmountReader converts amounts of money that must all be in one currency, and collects the faults.
type AmountReader struct {
	Currency string
	Faults   domain.Faults
}

// Decimal returns an amount in major units; zero where it was left out.
func (r *AmountReader) Decimal(pointer string, m *openapi.Money) decimal.Decimal {
	if m == nil {
		return decimal.Decimal{}
	}
	if m.Currency != r.Currency {
		r.Faults.Add(pointer+"/currency", "must be %s, the workshop's currency", r.Currency)
		return decimal.Decimal{}
	}
	d, err := money.Quantity.Parse(m.Amount)
	if err != nil {
		r.Faults.Add(pointer+"/amount", "%v", err)
	}
	return d
}

// Optional converts an amount that may be left out.
func (r *AmountReader) Optional(pointer string, m *openapi.Money) *decimal.Decimal {
	if m == nil {
		return nil
	}
	d := r.Decimal(pointer, m)
	return &d
}

// Amount returns an amount in the reader's currency; zero where it was left out.
func (r *AmountReader) Amount(pointer string, m *openapi.Money) money.Amount {
	c, err := money.ParseCurrency(r.Currency)
	if err != nil {
		r.Faults.Add(pointer+"/currency", "%v", err)
		return money.Amount{}
	}
	if m == nil {
		return money.Zero(c)
	}
	d := r.Decimal(pointer, m)
	a, err := money.Round(d, c, money.HalfUp)
	if err != nil {
		r.Faults.Add(pointer+"/amount", "%v", err)
	}
	return a
}
