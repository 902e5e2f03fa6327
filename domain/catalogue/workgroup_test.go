package catalogue_test

import (
	"bytes"
	"regexp"
	"testing"

	"bentside/domain/catalogue"
)

// ungrouped returns a catalogue as it was stored before groups of work were kept.
func ungrouped(c *catalogue.Catalogue) []byte {
	return regexp.MustCompile(`"group":"(belly|action|case)",`).ReplaceAll(c.Canonical(), nil)
}

// What the trade calls belly work runs from the rim's glue joints to the strings. Moving, tuning
// and checking take as long on a worn piano as on any other.
func TestShippedWorkIsGroupedByThePhaseThatItBelongsTo(t *testing.T) {
	t.Parallel()
	phases := map[string]catalogue.WorkGroup{
		"belly": catalogue.Belly, "frame": catalogue.Belly, "stringing": catalogue.Belly,
		"action": catalogue.Action, "keys": catalogue.Action, "dampers": catalogue.Action,
		"regulation": catalogue.Action, "voicing": catalogue.Action,
		"casework": catalogue.Case,
		"intake":   "", "tuning": "", "handover": "",
	}
	dismantling := map[catalogue.Code]catalogue.WorkGroup{
		"DS-01": "",              // strip down: a bit of everything
		"DS-02": catalogue.Belly, // strings and pins
		"DS-03": catalogue.Belly, // the frame
		"DS-04": "",              // keys or fittings out and back
	}
	for _, o := range shipped(t).Operations {
		want, ok := phases[o.Phase]
		if o.Phase == "dismantling" {
			want, ok = dismantling[o.Code]
		}
		if !ok || o.Group != want {
			t.Errorf("%s %s: got group %q, want %q", o.Code, o.Name, o.Group, want)
		}
	}
}

// Operations that came into the catalogue since stand in no such document.
func TestAStoredDocumentFromBeforeGroupsIsReadWithThem(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	stored := ungrouped(c)
	if bytes.Equal(stored, c.Canonical()) {
		t.Fatal("the document has no groups to take out")
	}
	for name, read := range map[string]func([]byte) (*catalogue.Catalogue, error){
		"Parse": catalogue.Parse, "ParseRows": catalogue.ParseRows,
	} {
		got, err := read(stored)
		if err != nil {
			t.Fatal(err)
		}
		since := func(k catalogue.RowKey) bool {
			return k.Table == "operations" && !catalogue.GroupStoredBefore(catalogue.Code(k.Row))
		}
		for _, change := range catalogue.Diff(c, got) {
			if !since(change.RowKey) {
				t.Errorf("%s: a row that differs: %v", name, change)
			}
		}
		for _, offer := range catalogue.ShippedChanges(got, c, got) {
			if !since(offer.RowKey) {
				t.Errorf("%s: a group is on offer as if it were new: %v", name, offer)
			}
		}
		grouped := 0
		for _, o := range got.Operations {
			if o.Group != "" {
				grouped++
			}
		}
		if grouped != 66 {
			t.Errorf("%s: %d operations have a group, want 66", name, grouped)
		}
	}
}

// Where one operation has a group, the document knows of groups, and what has none is meant so.
func TestAGroupThatAWorkshopTookAwayStaysAway(t *testing.T) {
	t.Parallel()
	plank := *shipped(t).Operation("BD-02")
	plank.Group = ""
	own := *shipped(t).Operation("CS-10")
	own.Code, own.Group = "OW-1", catalogue.Case
	next, err := shipped(t).With([]catalogue.Change{
		{Put: &catalogue.Row{Operation: &plank}, Why: "we buy planks in, ready to fit"},
		{Put: &catalogue.Row{Operation: &own}, Why: "we lacquer brass"},
		{Set: &catalogue.Setting{Operation: "KY-02", Crew: 2}, Why: "two at the keys"},
	})
	if err != nil {
		t.Fatal(err)
	}
	again, err := catalogue.Parse(next.Canonical())
	if err != nil {
		t.Fatal(err)
	}
	for code, want := range map[catalogue.Code]catalogue.WorkGroup{
		"BD-02": "", "OW-1": catalogue.Case, "KY-02": catalogue.Action,
	} {
		if got := again.Operation(code).Group; got != want {
			t.Errorf("%s: got group %q, want %q", code, got, want)
		}
	}
}
