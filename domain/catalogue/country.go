package catalogue

import (
	"fmt"
	"io/fs"
	"sync"
)

// Country is a country as ISO 3166-1 lists it.
type Country struct {
	Code  string // of two capitals: GB, AT
	Name  string // in English
	Union string // EU for its member states; empty: of none
}

// CountryOf returns the country of a code; false if there is none. UK is none: its code is GB.
func CountryOf(code string) (Country, bool) {
	list, err := countries()
	if err != nil {
		panic(err) // the build is broken
	}
	c, ok := list[code]
	return c, ok
}

var countries = sync.OnceValues(func() (map[string]Country, error) {
	return readCountries(
		func(name string) ([]byte, error) { return fs.ReadFile(data, "data/"+name) },
	)
})

func readCountries(read func(name string) ([]byte, error)) (map[string]Country, error) {
	s := &sheets{read, &checking{Catalogue: &Catalogue{}}}
	list := map[string]Country{}
	for _, r := range s.rows("countries", "code", "name", "union") {
		c := Country{Code: r.text("code"), Name: r.text("name"), Union: r.text("union")}
		if _, twice := list[c.Code]; twice || !isCountryCode(c.Code) || c.Name == "" {
			r.wrong("code", "%q must be two capitals, stand once and have a name", c.Code)
		}
		list[c.Code] = c
	}
	if len(s.flaws) > 0 {
		return nil, fmt.Errorf("read the countries: %w", s.flaws)
	}
	return list, nil
}

func isCountryCode(s string) bool {
	return len(s) == 2 && s[0] >= 'A' && s[0] <= 'Z' && s[1] >= 'A' && s[1] <= 'Z'
}
