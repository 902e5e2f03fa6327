package app

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// DefaultWorkshop returns a workshop with settings to start from.
func DefaultWorkshop(name, zone, currency string) (domain.Workshop, error) {
	shipped, err := catalogue.Shipped()
	if err != nil {
		return domain.Workshop{}, fmt.Errorf("read the shipped catalogue: %w", err)
	}
	w := domain.Workshop{
		Name: name, Zone: zone, Terms: domain.DefaultTerms(currency),
		Open: domain.OpeningHours{Week: domain.DefaultWeek()},
	}
	for _, op := range shipped.Operations {
		w.Terms.LabourRates[op.Skill] = domain.DefaultLabourRate
	}
	return w, nil
}
