package domain

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
)

// Assumption is a figure that a workshop starts with, which moved a price or a date and which
// nobody has confirmed. A setting that was changed counts as confirmed, since somebody entered it.
type Assumption struct {
	Key   AssumptionKey
	Text  string
	Brief string // in a few words, for a list of all of them
}

// AssumptionKey names a setting that can be assumed.
type AssumptionKey string

// What can be assumed, that of prices first. AssumedUnfitBrings isn't a setting: the question of a
// bid names it, so it can't be confirmed.
const (
	AssumedTaxRegime    AssumptionKey = "tax_regime"
	AssumedMarginScheme AssumptionKey = "margin_scheme"
	AssumedLabourRates  AssumptionKey = "labour_rates"
	AssumedOverheadRate AssumptionKey = "overhead_rate"
	AssumedCatalogue    AssumptionKey = "catalogue"
	AssumedTargetShare  AssumptionKey = "target_share"
	AssumedSelling      AssumptionKey = "selling"
	AssumedFinanceRate  AssumptionKey = "finance_rate"
	AssumedWorkFinanced AssumptionKey = "work_financed"
	AssumedStorage      AssumptionKey = "storage_per_day"
	AssumedDaysOnFloor  AssumptionKey = "days_on_floor"
	AssumedBiddingStep  AssumptionKey = "bidding_step"
	AssumedLossLimit    AssumptionKey = "loss_limit"
	AssumedConfidence   AssumptionKey = "confidence"
	AssumedUnknownOdds  AssumptionKey = "unknown_odds"
	AssumedTogether     AssumptionKey = "hours_together"
	AssumedWear         AssumptionKey = "wear"
	AssumedSaleSpread   AssumptionKey = "sale_spread"
	AssumedUnfitBrings  AssumptionKey = "unfit_brings"
	AssumedRoomToMove   AssumptionKey = "room_to_move"
	AssumedHours        AssumptionKey = "opening_hours"
	AssumedHolidays     AssumptionKey = "holidays"
	AssumedPeople       AssumptionKey = "people"
	AssumedStations     AssumptionKey = "stations"
	AssumedRooms        AssumptionKey = "rooms"
)

// settings are where each assumption is put right: the path of a resource, with the pointer of a
// property.
var settings = map[AssumptionKey]string{
	AssumedTaxRegime:    "/v1/workshop#/terms/tax_regime",
	AssumedMarginScheme: "/v1/workshop#/terms/tax_regime",
	AssumedLabourRates:  "/v1/workshop#/terms/labour_rates",
	AssumedOverheadRate: "/v1/workshop#/terms/overhead_rate",
	AssumedCatalogue:    "/v1/catalogue",
	AssumedTargetShare:  "/v1/workshop#/terms/target_share",
	AssumedSelling:      "/v1/workshop#/terms/selling_share",
	AssumedFinanceRate:  "/v1/workshop#/terms/finance_rate",
	AssumedWorkFinanced: "/v1/workshop#/terms/work_financed",
	AssumedStorage:      "/v1/workshop#/terms/storage_per_day",
	AssumedDaysOnFloor:  "/v1/workshop#/terms/days_on_floor",
	AssumedBiddingStep:  "/v1/workshop#/terms/bidding_step",
	AssumedLossLimit:    "/v1/workshop#/terms/loss_limit",
	AssumedConfidence:   "/v1/workshop#/terms/uncertainty/confidence",
	AssumedUnknownOdds:  "/v1/workshop#/terms/unknown_odds",
	AssumedTogether:     "/v1/workshop#/terms/uncertainty/job_sd",
	AssumedWear:         "/v1/workshop#/terms/uncertainty/sale_with_wear",
	AssumedSaleSpread:   "/v1/workshop#/terms/uncertainty/sale_spread",
	AssumedUnfitBrings:  "/v1/instruments/{id}/bids#/unfit_brings",
	AssumedRoomToMove:   "/v1/workshop#/terms/uncertainty/room_to_move",
	AssumedHours:        "/v1/workshop#/open/week",
	AssumedHolidays:     "/v1/workshop#/open/holidays",
	AssumedPeople:       "/v1/people",
	AssumedStations:     "/v1/stations",
	AssumedRooms:        "/v1/stations",
}

// AssumptionAbout is what an assumption moves.
type AssumptionAbout string

// About Money: costs, tax, what is wanted. AboutOdds: how figures may come out otherwise.
// AboutDates: when it is ready and sold.
const (
	AboutMoney AssumptionAbout = "money"
	AboutOdds  AssumptionAbout = "odds"
	AboutDates AssumptionAbout = "dates"
)

// AssumptionsAbout lists what assumptions move.
var AssumptionsAbout = []AssumptionAbout{AboutMoney, AboutOdds, AboutDates}

// About returns what the assumption moves.
func (a Assumption) About() AssumptionAbout {
	switch a.Key {
	case AssumedLossLimit, AssumedConfidence, AssumedUnknownOdds, AssumedTogether, AssumedWear,
		AssumedSaleSpread:
		return AboutOdds
	case AssumedDaysOnFloor, AssumedHours, AssumedHolidays, AssumedPeople, AssumedStations,
		AssumedRooms:
		return AboutDates
	default:
		return AboutMoney
	}
}

// Setting returns where the assumption is put right.
func (a Assumption) Setting() string { return settings[a.Key] }

// Unconfirmed returns the assumptions whose settings aren't among the confirmed ones.
func Unconfirmed(list []Assumption, confirmed []AssumptionKey) []Assumption {
	return slices.DeleteFunc(slices.Clone(list), func(a Assumption) bool {
		return slices.Contains(confirmed, a.Key)
	})
}

// assumedWords are what dates take for granted, in a word or two.
var assumedWords = map[AssumptionKey]string{
	AssumedHours: "opening hours", AssumedHolidays: "holidays",
	AssumedPeople: "people", AssumedStations: "stations", AssumedRooms: "rooms",
}

// DatesAssume says in a line what dates take for granted, of a list that may hold assumptions of
// prices too; nothing where all was entered or confirmed.
func DatesAssume(list []Assumption) string {
	var words []string
	for _, a := range list {
		if w, ok := assumedWords[a.Key]; ok {
			words = append(words, w)
		}
	}
	if len(words) == 0 {
		return ""
	}
	return "The dates take for granted what nobody has entered: " + strings.Join(words, ", ") + "."
}

// Confirmation is the word that a setting is right as it is. It is kept for good.
type Confirmation struct {
	Key AssumptionKey
	By  uuid.UUID
	At  time.Time
}

// CheckConfirmed returns an Invalid Fault that names every key that isn't a setting which can be
// assumed, or nil.
func CheckConfirmed(keys []AssumptionKey) error {
	var f Faults
	for i, k := range keys {
		if k == AssumedUnfitBrings {
			f.Add(fmt.Sprintf("#/keys/%d", i), "isn't a setting; give unfit_brings with the bid's question")
		} else if _, ok := settings[k]; !ok {
			f.Add(fmt.Sprintf("#/keys/%d", i),
				"must be the key of an assumption as bids and dates list it, not %q", k)
		}
	}
	return f.Err()
}
