package bid

import (
	"slices"

	"bentside/domain"
	"bentside/domain/plan"
)

// RestsOn are the kinds of event that change what a bid is worked out from, wherever they happen.
var RestsOn = slices.Concat(plan.DatesRestOn, []domain.EventKind{
	domain.CatalogueEdited, domain.CatalogueImported, domain.CatalogueOffersAnswered,
	domain.CatalogueRevised,
})

// RestsOnInstrument are the kinds of event that change what a bid is worked out from where they are
// about its instrument.
var RestsOnInstrument = []domain.EventKind{
	domain.FindingAdded, domain.FindingStruck,
	domain.InstrumentChanged, domain.InstrumentCleared, domain.InstrumentMeasured,
	domain.InstrumentScaleMeasured,
	domain.ScopeEdited, domain.ScopeMoved,
}
