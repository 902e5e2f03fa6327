package domain

import (
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Workshop is the tenant: everything else belongs to one.
type Workshop struct {
	ID   uuid.UUID `json:"id"`
	Name string    `json:"name"`
	Zone string    `json:"zone"` // IANA time zone
	// Country is the code of the country whose law holds where an instrument stands in the
	// workshop; empty: not said.
	Country string       `json:"country,omitempty"`
	Terms   Terms        `json:"terms"`
	Open    OpeningHours `json:"open"`
	// Revenue is when what clients pay for work becomes revenue. No bid and no plan rests on it.
	Revenue RevenuePolicy `json:"-"`
	// Confirmed are the settings that somebody said are right as they are.
	Confirmed []AssumptionKey `json:"confirmed,omitempty"`
}

// Check returns an Invalid Fault with everything wrong in a workshop's settings, or nil. Whether
// the zone exists is for the caller to check, who has the table of zones.
func (w Workshop) Check() error {
	var f Faults
	f.checkName(w.Name)
	if w.Zone == "" {
		f.Add("#/zone", "must be an IANA time zone such as Europe/Lisbon")
	}
	CheckCountry(&f, "#/country", w.Country)
	w.Revenue.check(&f)
	w.Terms.check(&f)
	w.Open.check(&f)
	return f.Err()
}

// CheckChange is like Check, for settings that replace old ones.
func (w Workshop) CheckChange(old Workshop) error {
	if w.Terms.Currency != old.Terms.Currency {
		return Faults{
			{
				Pointer: "#/terms/currency",
				Detail:  "cannot change: amounts are kept in " + old.Terms.Currency,
			},
		}.Err()
	}
	return w.Check()
}

// CheckCountry notes a fault unless the code is that of a country, or empty.
func CheckCountry(f *Faults, pointer, code string) {
	if code == "" {
		return
	}
	if _, ok := catalogue.CountryOf(code); !ok {
		f.Add(pointer, "must be the ISO 3166-1 code of a country, such as GB or AT, not %q", code)
	}
}
