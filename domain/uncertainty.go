package domain

import (
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Uncertainty is how much the figures of a bid vary, and how they vary together, by the workshop's
// experience, and what the workshop asks of a price because of it. Bids from before there were
// these settings have the zero value.
type Uncertainty struct {
	// JobSD and GroupSD are the standard deviations of factors on labour whose mean is one: a factor
	// for the whole job, and one for each catalogue.WorkGroup.
	JobSD   decimal.Decimal `json:"job_sd"`
	GroupSD decimal.Decimal `json:"group_sd"`
	// PointsWithWear is the Spearman rank correlation of points that nobody has looked at with how
	// worn the instrument is.
	PointsWithWear decimal.Decimal `json:"points_with_wear"`
	SaleWithWear   SaleWithWear    `json:"sale_with_wear"`
	// SaleSpread is the share of a sale price, given without a range, by which the range reaches to
	// either side of it.
	SaleSpread decimal.Decimal `json:"sale_spread"`
	// Confidence is the least probability with which a price must leave the wanted profit; 0: none
	// is asked.
	Confidence decimal.Decimal `json:"confidence"`
	// RoomToMove is the share by which an opening offer stays below the price that is aimed for.
	RoomToMove decimal.Decimal `json:"room_to_move"`
}

// SaleWithWear is the strength of the Spearman rank correlation of the sale price with how worn the
// instrument is, by the depth of the work. It is given as a positive figure, though the price falls
// as wear rises.
type SaleWithWear struct {
	AsFound     decimal.Decimal `json:"as_found"`
	Recondition decimal.Decimal `json:"recondition"`
	Restore     decimal.Decimal `json:"restore"`
}

// Of returns the strength at a depth.
func (s SaleWithWear) Of(d catalogue.Depth) decimal.Decimal {
	switch d {
	case catalogue.AsFound:
		return s.AsFound
	case catalogue.Recondition:
		return s.Recondition
	case catalogue.Restore:
		return s.Restore
	default:
		return decimal.Zero
	}
}

// DefaultUncertainty returns what holds until a workshop sets figures of its own. The standard
// deviations and correlations are from memory: a rebuilt piano sells as rebuilt, so its price
// hardly depends on how worn it was. Spread and room to move are common practice, no source.
func DefaultUncertainty() Uncertainty {
	percent := func(n int64) decimal.Decimal { return decimal.New(n, -2) }
	return Uncertainty{
		JobSD: percent(15), GroupSD: percent(15), PointsWithWear: percent(30),
		SaleWithWear: SaleWithWear{
			AsFound: percent(40), Recondition: percent(30), Restore: percent(15),
		},
		SaleSpread: percent(10), Confidence: decimal.Zero, RoomToMove: percent(10),
	}
}

var (
	// maxCorrelation leaves every figure some life of its own.
	maxCorrelation = decimal.New(95, -2)
	// maxPriceShare leaves a tenth of the price.
	maxPriceShare = decimal.New(9, -1)
)

func (u Uncertainty) check(f *Faults, at string) {
	for _, x := range []struct {
		name  string
		value decimal.Decimal
		most  decimal.Decimal
	}{
		{"job_sd", u.JobSD, One},
		{"group_sd", u.GroupSD, One},
		{"points_with_wear", u.PointsWithWear, maxCorrelation},
		{"sale_with_wear/as_found", u.SaleWithWear.AsFound, maxCorrelation},
		{"sale_with_wear/recondition", u.SaleWithWear.Recondition, maxCorrelation},
		{"sale_with_wear/restore", u.SaleWithWear.Restore, maxCorrelation},
		{"sale_spread", u.SaleSpread, maxPriceShare},
		{"room_to_move", u.RoomToMove, maxPriceShare},
	} {
		switch {
		case x.value.IsNegative() || x.value.GreaterThan(x.most):
			f.Add(at+"/"+x.name, "must be from 0 to %s, not %s", x.most, x.value)
		case HasMoreDecimals(x.value, sharePlaces):
			f.Add(at+"/"+x.name, "%s has more than %d decimals", x.value, sharePlaces)
		}
	}
	f.checkBelowOne(at+"/confidence", u.Confidence)
}
