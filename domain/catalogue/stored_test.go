package catalogue_test

import (
	"encoding/json"
	"slices"
	"testing"

	"bentside/domain/catalogue"
)

// A document from before links and companions had a standing is given what its rows ship with, so
// that nothing is offered for it; a row that the workshop made itself has none.
func TestADocumentFromBeforeStandingsOfLinksIsGivenThem(t *testing.T) {
	t.Parallel()
	now := shipped(t)
	own := *now
	own.Links = append(own.Links[:len(own.Links):len(own.Links)], catalogue.Link{
		From: "KY-02", To: "QC-03", Type: catalogue.FinishStart, Hard: true, Reason: "ours",
	})
	document := documentWithout(t, &own, "standing", "links", "companions")
	c, err := catalogue.Parse(document)
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range now.Links {
		if got := c.Links[i].Standing; got != l.Standing {
			t.Errorf("the link from %s to %s: got %q, want %q", l.From, l.To, got, l.Standing)
		}
	}
	for i, k := range now.Companions {
		if got := c.Companions[i].Standing; got != k.Standing {
			t.Errorf("the companion %s: got %q, want %q", k.ID, got, k.Standing)
		}
	}
	if got := c.Links[len(now.Links)].Standing; got != "" {
		t.Errorf("the workshop's own link: got %q, want none", got)
	}
	then, err := catalogue.ParseRows(document)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range catalogue.ShippedChanges(then, now, c) {
		if o.Now != nil {
			t.Errorf("offered: %s", o.RowKey)
		}
	}
}

// Before companions had a necessity all were needed. What ships as usual now is read as usual; a
// row of the workshop's own stays needed, so that what was refused stays refused.
func TestADocumentFromBeforeTheNecessityOfCompanionsIsGivenIt(t *testing.T) {
	t.Parallel()
	now := shipped(t)
	own := *now
	own.Companions = append(own.Companions[:len(own.Companions):len(own.Companions)],
		catalogue.Companion{
			ID: "ours", When: "KY-02", Calls: []catalogue.Call{{Operation: "TU-03"}},
			Reason: "our way", Standing: "from memory",
		})
	c, err := catalogue.Parse(documentWithout(t, &own, "necessity", "companions"))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]catalogue.Necessity{}
	for i, k := range c.Companions {
		got[k.ID] = k.Necessity
		if k.Necessity == catalogue.Usual && own.Companions[i].Necessity != catalogue.Usual {
			t.Errorf("%s is read as usual and ships as %s", k.ID, own.Companions[i].Necessity)
		}
	}
	for id, want := range map[string]catalogue.Necessity{
		"plank-lifts-frame": catalogue.Needed, "stripped-goes-back": catalogue.Needed,
		"restring-dampers": catalogue.Usual, "frame-out-varnish": catalogue.Usual,
		"ours": catalogue.Needed,
	} {
		if got[id] != want {
			t.Errorf("%s is read as %q, want %s", id, got[id], want)
		}
	}
}

// An operation that speaks for an option all by itself settles the choice when a buyer adds it, so
// it must bring the rest of the option along.
func TestAnOperationThatSettlesAChoiceBringsTheRestOfItsOption(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for _, choice := range c.Choices {
		for _, o := range choice.Options {
			for _, code := range o.Operations {
				if len(c.OptionsWith(code)) > 1 {
					continue // it leaves open which option is meant
				}
				for _, other := range o.Operations {
					if other != code && !brings(c, code, other) {
						t.Errorf("%s alone settles %s=%s and doesn't bring %s", code, choice.Group,
							o.Name, other)
					}
				}
			}
		}
	}
}

// brings reports whether companions lead from one operation to another.
func brings(c *catalogue.Catalogue, from, to catalogue.Code) bool {
	seen := map[catalogue.Code]bool{from: true}
	for open := []catalogue.Code{from}; len(open) > 0; open = open[1:] {
		for _, k := range c.CompanionsOf(open[0]) {
			for _, call := range k.Calls {
				reached := []catalogue.Code{call.Operation}
				if choice := c.Choice(call.Group); choice != nil {
					i := slices.IndexFunc(choice.Options, func(o catalogue.Option) bool {
						return o.Name == call.Option
					})
					reached = choice.Options[i].Operations
				}
				for _, code := range reached {
					if !seen[code] {
						seen[code], open = true, append(open, code)
					}
				}
			}
		}
	}
	return seen[to]
}

// documentWithout returns the document of a catalogue, the rows of some tables without a member.
func documentWithout(t *testing.T, c *catalogue.Catalogue, member string, tables ...string) []byte {
	t.Helper()
	var members map[string]any
	if err := json.Unmarshal(c.Canonical(), &members); err != nil {
		t.Fatal(err)
	}
	for _, table := range tables {
		for _, r := range members[table].([]any) {
			delete(r.(map[string]any), member)
		}
	}
	b, err := json.Marshal(members)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
