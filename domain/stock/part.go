package stock

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Class groups parts of a similar nature and use, such as wire or felt. All of them are valued in
// one way (IAS 2.25).
type Class struct {
	ID     uuid.UUID        `json:"id"`
	Name   string           `json:"name"`
	Method valuation.Method `json:"method"`
}

// Check returns an Invalid Fault with everything wrong in a class, or nil.
func (c Class) Check() error {
	var f domain.Faults
	checkText(&f, "#/name", c.Name, domain.MaxName)
	if c.Method != valuation.FIFO && c.Method != valuation.MovingAverage {
		f.Add("#/method", "must be fifo or moving_average, not %q", c.Method)
	}
	return f.Err()
}

// CheckChange returns a Conflict Fault if a class would value parts in another way that have been
// moved already. Another method is a change of policy, which isn't made by editing a class.
func (c Class) CheckChange(from Class, moved bool) error {
	if moved && c.Method != from.Method {
		return domain.Refuse(domain.Conflict,
			"parts of this class have been moved, so that its method stays %s", from.Method)
	}
	return nil
}

// Part is a kind of thing that is kept in stock and used interchangeably.
type Part struct {
	ID    uuid.UUID `json:"id"`
	Code  string    `json:"code"` // the workshop's own, unique
	Name  string    `json:"name"`
	Class uuid.UUID `json:"class"`
	// Unit is what stock is counted in, such as m or piece.
	Unit string `json:"unit"`
	// PurchaseUnit is what it is bought by, such as coil; empty: Unit. Content is how many Units one
	// of them holds.
	PurchaseUnit string          `json:"purchase_unit,omitempty"`
	Content      decimal.Decimal `json:"content"`
	Minimum      decimal.Decimal `json:"minimum"` // in Units; below it the part is short
	// Supplier is the party that it is usually bought from; zero: nobody in particular.
	Supplier uuid.UUID `json:"supplier"`
	Note     string    `json:"note,omitempty"`
	Serves   []Served  `json:"serves,omitempty"`
}

// Served is a material of the catalogue that a part serves.
type Served struct {
	Operation catalogue.Code `json:"operation"`
	Material  string         `json:"material"`
	// Units is how many units of stock one unit of the material takes.
	Units decimal.Decimal `json:"units"`
}

// maxServed is the most materials that a part serves.
const maxServed = 50

// Limits of what a part is described with.
const (
	maxCode = 60
	maxUnit = 30
)

// Check returns an Invalid Fault with everything wrong in a part, or nil.
func (p Part) Check() error {
	var f domain.Faults
	checkText(&f, "#/code", p.Code, maxCode)
	checkText(&f, "#/name", p.Name, domain.MaxName)
	checkText(&f, "#/unit", p.Unit, maxUnit)
	if p.Class == uuid.Nil {
		f.Add("#/class", "must name the class that it belongs to")
	}
	if p.PurchaseUnit != "" {
		checkText(&f, "#/purchase_unit", p.PurchaseUnit, maxUnit)
		if p.PurchaseUnit == p.Unit {
			f.Add("#/purchase_unit", "must be left out where it is the unit of stock, %s", p.Unit)
		}
		checkQuantity(&f, "#/content", p.Content)
	} else if !p.Content.IsZero() {
		f.Add("#/content", "must be left out where there is no purchase unit")
	}
	if p.Minimum.IsNegative() {
		f.Add("#/minimum", "must be 0 or more, not %s", p.Minimum)
	} else if err := money.Quantity.Check(p.Minimum); err != nil {
		f.Add("#/minimum", "%v", err)
	}
	f.CheckLength("#/note", p.Note, domain.MaxText)
	if len(p.Serves) > maxServed {
		f.Add("#/serves", "must be at most %d materials", maxServed)
	}
	for i, s := range p.Serves {
		at := fmt.Sprintf("#/serves/%d", i)
		if s.Operation == "" {
			f.Add(at+"/operation", "must name an operation of the catalogue")
		}
		checkText(&f, at+"/material", s.Material, domain.MaxName)
		checkQuantity(&f, at+"/units", s.Units)
	}
	return f.Err()
}

// CheckChange returns a Conflict Fault if a part that has been moved would be counted in another
// unit or valued in another way.
func (p Part) CheckChange(from Part, was, will valuation.Method, moved bool) error {
	switch {
	case !moved:
		return nil
	case p.Unit != from.Unit:
		return domain.Refuse(domain.Conflict,
			"the part has been moved, so that it is counted in %s for good", from.Unit)
	case was != will:
		return domain.Refuse(domain.Conflict,
			"the part has been moved, so that it only goes into a class of the method %s", was)
	}
	return nil
}

// inUnits converts a quantity in one of the part's two units to its unit of stock, exactly. It
// notes a fault for another unit and for a quantity that can't be kept.
func (p Part) inUnits(f *domain.Faults, q decimal.Decimal, unit string) decimal.Decimal {
	switch {
	case unit == "" || unit == p.Unit:
		return q
	case p.PurchaseUnit == "":
		f.Add("#/unit", "must be %s, not %q", p.Unit, unit)
		return q
	case unit != p.PurchaseUnit:
		f.Add("#/unit", "must be %s or %s, not %q", p.Unit, p.PurchaseUnit, unit)
		return q
	}
	units := q.Mul(p.Content)
	if err := money.Quantity.Check(units); err != nil {
		f.Add("#/quantity", "%s %s are %s %s, which has too many digits", q, unit, units, p.Unit)
	}
	return units
}

// Units converts a quantity in one of the part's two units to its unit of stock, exactly. Anything
// else is an Invalid Fault about #/quantity or #/unit.
func (p Part) Units(q decimal.Decimal, unit string) (decimal.Decimal, error) {
	var f domain.Faults
	units := q
	if checkQuantity(&f, "#/quantity", q) {
		units = p.inUnits(&f, q, unit)
	}
	return units, f.Err()
}

// checkText notes a fault unless a text is given and short enough.
func checkText(f *domain.Faults, pointer, text string, most int) {
	if strings.TrimSpace(text) == "" || utf8.RuneCountInString(text) > most {
		f.Add(pointer, "must be given, in at most %d characters", most)
	}
}

// maxQuantity is the most that can be moved at a time.
var maxQuantity = decimal.NewFromInt(1_000_000_000)

// checkQuantity notes a fault unless a quantity is more than zero, can be kept and is sane.
func checkQuantity(f *domain.Faults, pointer string, q decimal.Decimal) bool {
	err := money.Quantity.Check(q)
	switch {
	case err != nil:
		f.Add(pointer, "%v", err)
	case !q.IsPositive() || q.GreaterThan(maxQuantity):
		f.Add(pointer, "must be more than 0 and at most %s, not %s", maxQuantity, q)
	default:
		return true
	}
	return false
}
