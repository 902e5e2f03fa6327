package api

import (
	"context"

	"bentside/api/middleware"
	"bentside/domain"
	"bentside/openapi"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

func renderMoney(a money.Amount) openapi.Money {
	return openapi.Money{Amount: a.Text(), Currency: a.Currency().Code()}
}

func renderRange(r pricing.Range) openapi.MoneyRange {
	return openapi.MoneyRange{
		Low: renderMoney(r.Low), Likely: renderMoney(r.Likely), High: renderMoney(r.High),
	}
}

// renderSpan renders what an amount comes to in all. What engine 8 and earlier stored has no
// expected value.
func renderSpan(r pricing.Range) openapi.MoneySpan {
	return openapi.MoneySpan{
		Low: renderMoney(r.Low), Likely: renderMoney(r.Likely), Expected: renderExpected(r),
		High: renderMoney(r.High),
	}
}

func renderLikely(r pricing.Range) openapi.LikelyMoney {
	return openapi.LikelyMoney{Likely: renderMoney(r.Likely), Expected: renderExpected(r)}
}

func renderExpected(r pricing.Range) *openapi.Money {
	if r.Expected.Currency().IsZero() {
		return nil
	}
	expected := renderMoney(r.Expected)
	return &expected
}

// renderOptional renders an amount that may be missing.
func renderOptional(a *money.Amount) *openapi.Money {
	if a == nil {
		return nil
	}
	m := renderMoney(*a)
	return &m
}

// amountReader converts amounts of money that must all be in one currency, and collects the faults.
type amountReader struct {
	currency string
	faults   domain.Faults
}

// amountReader returns a reader of amounts in the workshop's currency.
func (h *handlers) amountReader(ctx context.Context) (*amountReader, error) {
	w, err := h.app.Read(ctx, middleware.Actor(ctx)).Workshop(ctx)
	if err != nil {
		return nil, err
	}
	return &amountReader{currency: w.Value.Terms.Currency}, nil
}

// decimal returns an amount in major units; zero where it was left out.
func (r *amountReader) decimal(pointer string, m *openapi.Money) decimal.Decimal {
	if m == nil {
		return decimal.Decimal{}
	}
	if m.Currency != r.currency {
		r.faults.Add(pointer+"/currency", "must be %s, the workshop's currency", r.currency)
		return decimal.Decimal{}
	}
	d, err := money.Quantity.Parse(m.Amount)
	if err != nil {
		r.faults.Add(pointer+"/amount", "%v", err)
	}
	return d
}

// amount returns an amount in the reader's currency; zero where it was left out.
func (r *amountReader) amount(pointer string, m *openapi.Money) money.Amount {
	c, err := money.ParseCurrency(r.currency)
	if err != nil {
		r.faults.Add(pointer+"/currency", "%v", err)
		return money.Amount{}
	}
	if m == nil {
		return money.Zero(c)
	}
	d := r.decimal(pointer, m)
	a, err := money.Round(d, c, money.HalfUp)
	if err != nil {
		r.faults.Add(pointer+"/amount", "%v", err)
	}
	return a
}
