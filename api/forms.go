package api

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/openapi"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

func renderMoney(a money.Amount) openapi.Money {
	return openapi.Money{Amount: a.Text(), Currency: a.Currency().Code()}
}

func renderRange(r pricing.Range) openapi.MoneyRange {
	return openapi.MoneyRange{Low: renderMoney(r.Low), Likely: renderMoney(r.Likely), High: renderMoney(r.High)}
}

func renderHours(h pricing.Hours) openapi.ThreePoint {
	return openapi.ThreePoint{Low: h.Low, Likely: h.Likely, High: h.High}
}

func renderThreePoint(t catalogue.ThreePoint) openapi.ThreePoint {
	return openapi.ThreePoint{Low: t.Low, Likely: t.Likely, High: t.High}
}

// orZeroTime leaves out an instant that there is not.
func orZeroTime(t *time.Time) time.Time {
	if t == nil {
		return time.Time{}
	}
	return *t
}

// texts writes names of the domain as the contract's strings.
func texts[F, T ~string](list []F) []T {
	if list == nil {
		return nil
	}
	out := make([]T, len(list))
	for i, x := range list {
		out[i] = T(x)
	}
	return out
}

// orEmptyList writes no items as [] and not as null.
func orEmptyList[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// parseDay reads a day that the contract has checked already.
func parseDay(day openapi.Day) (domain.Date, error) {
	d, err := domain.ParseDate(day)
	if err != nil {
		return d, domain.Refuse(domain.Invalid, "%v", err)
	}
	return d, nil
}

// amountIn reads sums that must all be in one currency.
type amountIn struct {
	currency string
	faults   domain.Faults
}

// decimal is the sum in major units; nothing where it was left out.
func (r *amountIn) decimal(pointer string, m *openapi.Money) decimal.Decimal {
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
