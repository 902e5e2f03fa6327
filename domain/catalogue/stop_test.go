package catalogue_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

func stopIDs(list []catalogue.Stop) []string {
	ids := make([]string, len(list))
	for i, s := range list {
		ids[i] = s.ID
	}
	return ids
}

// The Ivory Act holds in the UK, the EU's rule in its member states, and everywhere else whatever
// the authority there says. A crack in the frame is one everywhere.
func TestTheCountryDecidesWhichLawHolds(t *testing.T) {
	t.Parallel()
	table, err := catalogue.Stops()
	if err != nil {
		t.Fatal(err)
	}
	for country, want := range map[string]string{
		"GB": "ivory-register", "AT": "ivory-eu", "IE": "ivory-eu", "US": "ivory-us",
		"CH": "ivory-elsewhere", "NO": "ivory-elsewhere", "": "ivory-elsewhere",
	} {
		ids := stopIDs(catalogue.StopsIn(table, country))
		if !slices.Contains(ids, want) || !slices.Contains(ids, "frame-cracked") {
			t.Errorf("%q: got %q, want %s and frame-cracked among them", country, ids, want)
		}
		for _, other := range []string{
			"ivory-register", "ivory-eu", "ivory-us", "ivory-elsewhere",
		} {
			if other != want && slices.Contains(ids, other) {
				t.Errorf("%q: %s holds beside %s", country, other, want)
			}
		}
	}
}

// Whatever the law bars is lifted by no work and by no word on what was found, except that somebody
// names a material that may be another.
func TestNoWordAndNoWorkOfOursMeetsTheLaw(t *testing.T) {
	t.Parallel()
	table, err := catalogue.Stops()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range table {
		if s.Law && s.Relief == catalogue.ByWord && s.ID != "bone-unnamed" {
			t.Errorf("%s is lifted by a word", s.ID)
		}
		if s.Law && strings.Contains(string(s.When), "ivory") && s.Donor {
			t.Errorf("%s lets ivory be bought for parts: loose pieces fall under no exemption", s.ID)
		}
		if s.Law && s.Relief != catalogue.ByWord && slices.Contains(s.Looks, "buyer") {
			t.Errorf("%s is lifted by a look of whoever buys", s.ID)
		}
		if s.Law && slices.Contains(s.Acts, catalogue.ToWork) {
			t.Errorf("%s bars work, which is no dealing: a client keeps his piano", s.ID)
		}
	}
}

func TestABrokenStopIsNamedByFileAndLine(t *testing.T) {
	t.Parallel()
	const head = "id,point,when,places,law,acts,donor,relief,repair,roles,looks,hazard,says,until,not_before,each_owner,standing\n"
	for _, c := range []struct{ name, row, want string }{
		{
			"a point that isn't there", "a,SV-99,SV-99:must_act,any,,buy,,word,,owner,owner,,x,y,,,from memory",
			`point: unknown point "SV-99"`,
		},
		{
			"a condition on something else", "a,SV-29,SV-53:must_act,any,,buy,,word,,owner,owner,,x,y,,,from memory",
			"when: must ask for SV-29",
		},
		{
			"a place that is none", "a,SV-29,SV-29:must_act,UK,,buy,,word,,owner,owner,,x,y,,,from memory",
			`places: "UK" must be the code of a country`,
		},
		{
			"an act that is none", "a,SV-29,SV-29:must_act,any,,lend,,word,,owner,owner,,x,y,,,from memory",
			`acts: "lend" must be one of`,
		},
		{
			"work that isn't there", "a,SV-29,SV-29:must_act,any,,buy,,word,FR-99,owner,owner,,x,y,,,from memory",
			`repair: unknown operation "FR-99"`,
		},
		{
			"a law met by work", "a,SV-29,SV-29:must_act,any,yes,buy,,papers,FR-01,owner,owner,,x,y,,,from memory",
			"relief: no work of ours lifts what the law bars",
		},
		{
			"papers for a trade fact", "a,SV-29,SV-29:must_act,any,,buy,,papers,,owner,owner,,x,y,,,from memory",
			"relief: only the law asks for papers",
		},
		{
			"nobody to clear it", "a,SV-29,SV-29:must_act,any,,buy,,word,,,,,x,y,,,from memory",
			"relief: somebody must be named who may clear it",
		},
		{
			"a look of somebody who may not clear it",
			"a,SV-29,SV-29:must_act,any,,buy,,word,,owner,buyer,,x,y,,,from memory",
			`looks: "buyer" must be one of those who may clear it`,
		},
		{
			"nobody whose look lifts it", "a,SV-29,SV-29:must_act,any,,buy,,word,,owner,,,x,y,,,from memory",
			"looks: somebody must be named",
		},
		{
			"a hazard without a caution",
			"a,SV-29,SV-29:must_act,any,,buy,,word,,owner,owner,gravity,x,y,,,from memory",
			`hazard: unknown hazard "gravity"`,
		},
		{
			"a source that isn't listed", "a,SV-29,SV-29:must_act,any,,buy,,word,,owner,owner,,x,y,,,source S9" + "99",
			"standing: names a source that is not among the sources: S9" + "99",
		},
		{
			"no id", ",SV-29,SV-29:must_act,any,,buy,,word,,owner,owner,,x,y,,,from memory",
			"must have an id",
		},
		{
			"nothing that is the matter",
			"a,SV-29,SV-29:must_act,any,,buy,,word,,owner,owner,,,y,,,from memory", "must have an id, say",
		},
		{
			"no end", "a,SV-29,SV-29:must_act,any,,buy,,word,,owner,owner,,x,,,,from memory",
			"must have an id, say what is the matter and until when",
		},
		{
			"no standing", "a,SV-29,SV-29:must_act,any,,buy,,word,,owner,owner,,x,y,,,hearsay",
			`standing: "hearsay" must begin with one of`,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := catalogue.ReadStops(shipped(t), func(string) ([]byte, error) {
				return []byte(head + c.row + "\n"), nil
			})
			if err == nil || !strings.HasPrefix(err.Error(), "stops.csv:2: "+c.want) {
				t.Errorf("got %v, want stops.csv:2 and %q", err, c.want)
			}
		})
	}
}

// ISO 3166-1 has 249 codes; 27 countries are member states of the EU since 2020.
func TestCountriesAreThoseOfISO3166(t *testing.T) {
	t.Parallel()
	if _, ok := catalogue.CountryOf("UK"); ok {
		t.Error("UK is taken for a code: it is GB")
	}
	n, members := 0, 0
	for a := 'A'; a <= 'Z'; a++ {
		for b := 'A'; b <= 'Z'; b++ {
			c, ok := catalogue.CountryOf(string(a) + string(b))
			if ok {
				n++
			}
			if c.Union == "EU" {
				members++
			}
		}
	}
	if n != 249 || members != 27 {
		t.Errorf("got %d countries and %d member states, want 249 and 27", n, members)
	}
	_, err := catalogue.ReadCountries(func(string) ([]byte, error) {
		return []byte("code,name,union\nGB,Britain,\nGB,Britain,\n"), nil
	})
	if err == nil || !strings.Contains(err.Error(), "countries.csv:3") {
		t.Errorf("got %v, want the second row of a code refused", err)
	}
}
