package catalogue_test

import (
	"fmt"

	"bentside/domain/catalogue"
)

func ExampleCatalogue_Expr() {
	c, err := catalogue.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range c.Choice("PLANK").Options {
		refused := c.Expr(o.Refused)
		facts := catalogue.Facts{
			Depth:    catalogue.Recondition,
			Severity: func(catalogue.PointCode) catalogue.Severity { return catalogue.MustAct },
			Side:     func(catalogue.PointCode) catalogue.Side { return catalogue.High },
			Settled:  func(string) string { return "restring" },
		}
		if o.Refused != "" && refused.Holds(facts) {
			fmt.Println(o.Name, "is refused:", o.RefusedWhy)
			continue
		}
		for _, code := range o.Operations {
			fmt.Println(o.Name, "brings", code, c.Operation(code).Name)
		}
	}
	// Output:
	// stopgap is refused: no glue under a new restringing, nor in a cracked or parted plank
	// keep_oversize is refused: pins of 7.4 mm leave no size to go up to, and a cracked plank holds no pin
	// replace brings BD-02 New rest plank cut and fitted
	// replace brings BD-03 New rest plank drilled through the frame
}
