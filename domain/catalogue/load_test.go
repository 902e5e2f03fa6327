package catalogue_test

import (
	"testing"

	"bentside/domain/catalogue"
)

func TestTheShippedCatalogueLoads(t *testing.T) {
	t.Parallel()
	c, err := catalogue.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	t.Log(len(c.Operations), len(c.Links), len(c.Rules))
}
