package convert

import (
	"bentside/domain"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// ReadUncertainty reads the figures that are given; the others are the defaults.
func ReadUncertainty(given openapi.Uncertainty) domain.Uncertainty {
	u := domain.DefaultUncertainty()
	set := func(figure, to *decimal.Decimal) {
		if to != nil {
			*figure = *to
		}
	}
	set(&u.JobSD, given.JobSd)
	set(&u.GroupSD, given.GroupSd)
	set(&u.PointsWithWear, given.PointsWithWear)
	set(&u.SaleWithWear.AsFound, given.SaleWithWear.AsFound)
	set(&u.SaleWithWear.Recondition, given.SaleWithWear.Recondition)
	set(&u.SaleWithWear.Restore, given.SaleWithWear.Restore)
	set(&u.SaleSpread, given.SaleSpread)
	set(&u.Confidence, given.Confidence)
	set(&u.RoomToMove, given.RoomToMove)
	return u
}

// Uncertainty is the reverse of ReadUncertainty.
func Uncertainty(u domain.Uncertainty) openapi.Uncertainty {
	return openapi.Uncertainty{
		JobSd: &u.JobSD, GroupSd: &u.GroupSD, PointsWithWear: &u.PointsWithWear,
		SaleWithWear: openapi.SaleWithWear{
			AsFound: &u.SaleWithWear.AsFound, Recondition: &u.SaleWithWear.Recondition,
			Restore: &u.SaleWithWear.Restore,
		},
		SaleSpread: &u.SaleSpread, Confidence: &u.Confidence, RoomToMove: &u.RoomToMove,
	}
}
