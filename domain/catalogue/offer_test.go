package catalogue_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"bentside/domain/catalogue"

	"pgregory.net/rapid"
)

// secondShipped returns a later shipped version: other hours for the plank, other wording of a
// rule, a new link and one rule less.
func secondShipped(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	c := shipped(t)
	r := *c.Operation("KY-02")
	r.Note = "felt is bought by the strip"
	next, err := c.With([]catalogue.Change{
		{
			Set: &catalogue.Setting{
				Operation: "BD-02",
				Hours:     map[catalogue.Kind]catalogue.Hours{catalogue.Grand: hours("31")},
				Standing:  "derived",
			},
			Why: "later data",
		},
		{Put: &catalogue.Row{Operation: &r}, Why: "later data"},
		{
			Put: &catalogue.Row{
				Link: &catalogue.Link{
					From: "KY-02", To: "QC-03", Type: "FS", Hard: true,
					Reason: "keys before the last look",
				},
			},
			After: "DS-02 to DS-03 FS", Why: "later data",
		},
		{Remove: &catalogue.RowKey{Table: "rules", Row: "age-alone"}, Why: "later data"},
	})
	if err != nil {
		t.Fatal(err)
	}
	return next
}

func key(table, row string) catalogue.RowKey { return catalogue.RowKey{Table: table, Row: row} }

func TestWhatTheWorkshopLeftAloneIsOfferedAndWhatItChangedIsContested(t *testing.T) {
	t.Parallel()
	then, now := shipped(t), secondShipped(t)
	own, err := then.With([]catalogue.Change{
		{
			Set: &catalogue.Setting{
				Operation: "BD-02",
				Hours:     map[catalogue.Kind]catalogue.Hours{catalogue.Grand: hours("26")},
			},
			Why: "ours",
		},
		{Set: &catalogue.Setting{Operation: "FR-05", Crew: 2}, Why: "ours, and ships as before"},
	})
	if err != nil {
		t.Fatal(err)
	}
	offers := catalogue.ShippedChanges(then, now, own)
	got := map[catalogue.RowKey]catalogue.ShippedState{}
	for _, o := range offers {
		got[o.RowKey] = o.State
	}
	want := map[catalogue.RowKey]catalogue.ShippedState{
		key("operations", "BD-02"):        catalogue.Contested,
		key("operations", "KY-02"):        catalogue.Offered,
		key("links", "KY-02 to QC-03 FS"): catalogue.Offered,
		key("rules", "age-alone"):         catalogue.Offered,
	}
	if len(got) != len(want) {
		t.Errorf("got %v, want %v", got, want)
	}
	for k, state := range want {
		if got[k] != state {
			t.Errorf("%s is %q, want %q", k, got[k], state)
		}
	}
	isPlank := func(o catalogue.ShippedChange) bool { return o.Row == "BD-02" }
	plank := offers[slices.IndexFunc(offers, isPlank)]
	if want := []string{"hours", "standing"}; !slices.Equal(plank.Members, want) {
		t.Errorf("the plank differs in %v, want %v", plank.Members, want)
	}
	setup := func(r *catalogue.Row) string {
		return r.Operation.Hours[catalogue.Grand].Setup.String()
	}
	if got := []string{
		setup(plank.Then), setup(plank.Now), setup(plank.Own),
	}; !slices.Equal(got, []string{"28", "31", "26"}) {
		t.Errorf("hours then, now and own: %v, want 28, 31, 26", got)
	}
}

// A later catalogue differs by the rows that it adds, changes and lacks; their order isn't a
// difference.
func TestTheRowsInWhichTwoCataloguesDiffer(t *testing.T) {
	t.Parallel()
	then, now := shipped(t), secondShipped(t)
	turned := *then
	turned.Rules = slices.Clone(then.Rules)
	slices.Reverse(turned.Rules)
	if got := catalogue.Diff(then, &turned); len(got) > 0 {
		t.Errorf("in another order %v differ", got)
	}
	want := []string{
		"operations KY-02 changed [note]", "operations BD-02 changed [hours standing]",
		"links KY-02 to QC-03 FS added []", "rules age-alone removed []",
	}
	got := catalogue.Diff(then, now)
	for _, x := range got {
		if said := fmt.Sprint(x.RowKey, " ", x.Change, " ", x.Members); !slices.Contains(want, said) {
			t.Errorf("differs: %s", said)
		}
	}
	if len(got) != len(want) || got[len(got)-1].Change != "removed" {
		t.Errorf("%d rows differ, want %d with the removed one last", len(got), len(want))
	}
	back := catalogue.Diff(now, then)
	if len(back) != len(want) || back[len(back)-1].Row != "KY-02 to QC-03 FS" {
		t.Errorf("the other way round %v differ", back)
	}
}

// A new row goes behind the row that it follows in what ships, or before all where it is the first.
func TestANewRowTakesThePlaceThatItShipsIn(t *testing.T) {
	t.Parallel()
	then := shipped(t)
	for _, at := range []int{0, 1, 2, len(then.Rules)} {
		now := *then
		fresh := then.Rules[5]
		fresh.ID = "fresh"
		now.Rules = slices.Insert(slices.Clone(then.Rules), at, fresh)
		if err := now.Check(); err != nil {
			t.Fatal(err)
		}
		owned, _, err := catalogue.Decide(then, &now, then, catalogue.Answers{All: true})
		if err != nil {
			t.Fatal(err)
		}
		isFresh := func(r catalogue.Rule) bool { return r.ID == "fresh" }
		if got := slices.IndexFunc(owned.Rules, isFresh); got != at {
			t.Errorf("it stands in place %d, and ships in %d", got, at)
		}
	}
}

func TestADocumentOfRowsEndsWithThem(t *testing.T) {
	t.Parallel()
	document := shipped(t).Canonical()
	if _, err := catalogue.ParseRows(document); err != nil {
		t.Fatal(err)
	}
	for _, after := range []string{"{}", "x", "]"} {
		if _, err := catalogue.ParseRows(append(slices.Clone(document), after...)); err == nil {
			t.Errorf("%q after the rows is let pass", after)
		}
	}
}

// An operation that the workshop changed is its own; all others, and the materials, are as shipped.
func TestOnlyWhatAWorkshopChangedCountsAsItsOwn(t *testing.T) {
	t.Parallel()
	then, own := shipped(t), secondShipped(t)
	all := catalogue.AsShipped{Operations: len(then.Operations), Materials: len(then.Materials)}
	if got := catalogue.CountAsShipped(then, then); got != all {
		t.Errorf("as shipped: %+v, want %+v", got, all)
	}
	all.Operations -= 2 // BD-02 and KY-02
	if got := catalogue.CountAsShipped(then, own); got != all {
		t.Errorf("with two operations changed: %+v, want %+v", got, all)
	}
}

func TestTakingAllLeavesAloneWhatTheWorkshopChanged(t *testing.T) {
	t.Parallel()
	then, now := shipped(t), secondShipped(t)
	own, err := then.With([]catalogue.Change{{
		Set: &catalogue.Setting{
			Operation: "BD-02",
			Hours:     map[catalogue.Kind]catalogue.Hours{catalogue.Grand: hours("26")},
		}, Why: "ours",
	}})
	if err != nil {
		t.Fatal(err)
	}
	owned, base, err := catalogue.Decide(then, now, own, catalogue.Answers{All: true})
	if err != nil {
		t.Fatal(err)
	}
	if got := owned.Operation("BD-02").Hours[catalogue.Grand].Setup; !got.Equal(dec("26")) {
		t.Errorf("the plank's own hours became %s", got)
	}
	if owned.Operation("KY-02").Note == "" || len(owned.Links) != len(then.Links)+1 ||
		len(owned.Rules) != len(then.Rules)-1 {
		t.Error("not everything that the workshop left alone was taken")
	}
	at := slices.IndexFunc(
		owned.Links, func(l catalogue.Link) bool { return l.From == "KY-02" && l.To == "QC-03" },
	)
	if owned.Links[at-1].To != "DS-03" {
		t.Errorf("the new link stands behind %+v, not where it ships", owned.Links[at-1])
	}
	left := catalogue.ShippedChanges(base, now, owned)
	if len(left) != 1 || left[0].RowKey != key("operations", "BD-02") {
		t.Fatalf("still on offer: %v, want the contested plank alone", left)
	}
	kept, base2, err := catalogue.Decide(
		base, now, owned, catalogue.Answers{Keep: []catalogue.RowKey{left[0].RowKey}},
	)
	if err != nil || kept.Hash() != owned.Hash() {
		t.Fatalf("keeping its own changed the catalogue: %v", err)
	}
	if still := catalogue.ShippedChanges(base2, now, kept); len(still) != 0 {
		t.Errorf("what was kept is offered again: %v", still)
	}
	took, _, err := catalogue.Decide(
		base, now, owned, catalogue.Answers{Take: []catalogue.RowKey{left[0].RowKey}},
	)
	if err != nil || !took.Operation("BD-02").Hours[catalogue.Grand].Setup.Equal(dec("31")) {
		t.Errorf("named, the contested row was not taken: %v", err)
	}
}

func TestAnAnswerToNoOfferIsRefused(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	plank := key("operations", "BD-02")
	_, _, err := catalogue.Decide(c, secondShipped(t), c, catalogue.Answers{
		Take: []catalogue.RowKey{
			plank, key("operations", "XX-01"),
		}, Keep: []catalogue.RowKey{plank, key("rules", "sharps")},
	})
	var none *catalogue.NotOfferedError
	var two *catalogue.TwoAnswersError
	if !errors.As(err, &none) || !errors.As(err, &two) || two.Row != plank {
		t.Errorf("got %v, want two rows that are not offered and one with two answers", err)
	}
}

// Properties of a three-way comparison, over catalogues that differ in the notes of some
// operations: nothing is offered where shipped then and now agree; taking everything by name leaves
// nothing on offer and makes the row as it ships; what is not offered stays the workshop's own.
func TestThreeWaysOfARow(t *testing.T) {
	t.Parallel()
	whole := shipped(t)
	c := &catalogue.Catalogue{Currency: whole.Currency, Points: whole.Points}
	for _, code := range []catalogue.Code{
		"BD-02", "KY-02", "FR-05", "TU-01", "IN-01", "IN-02", "IN-03", "QC-03",
	} {
		o := *whole.Operation(code)
		o.Lead = nil // which may name other operations
		c.Operations = append(c.Operations, o)
	}
	rapid.Check(t, func(t *rapid.T) {
		version := func(name string) *catalogue.Catalogue {
			var changes []catalogue.Change
			for _, code := range []catalogue.Code{"BD-02", "KY-02", "FR-05", "TU-01"} {
				if note := rapid.SampledFrom([]string{"", "a", "b"}).Draw(
					t, name+" "+string(code),
				); note != "" {
					changes = append(
						changes,
						catalogue.Change{
							Set: &catalogue.Setting{Operation: code, Note: note}, Why: "so",
						},
					)
				}
			}
			next, err := c.With(changes)
			if err != nil {
				t.Fatal(err)
			}
			return next
		}
		then, now, own := version("then"), version("now"), version("own")
		offers := catalogue.ShippedChanges(then, now, own)
		note := func(c *catalogue.Catalogue, code catalogue.Code) string {
			return c.Operation(code).Note
		}
		var all []catalogue.RowKey
		for _, o := range offers {
			code := catalogue.Code(o.Row)
			all = append(all, o.RowKey)
			if note(then, code) == note(now, code) || note(own, code) == note(now, code) {
				t.Fatalf(
					"%s: then %q, now %q, own %q is offered", code, note(then, code),
					note(now, code), note(own, code),
				)
			}
			if (o.State == catalogue.Offered) != (note(own, code) == note(then, code)) {
				t.Fatalf(
					"%s: then %q, now %q, own %q is %s", code, note(then, code), note(now, code),
					note(own, code), o.State,
				)
			}
		}
		owned, base, err := catalogue.Decide(then, now, own, catalogue.Answers{Take: all})
		if err != nil {
			t.Fatal(err)
		}
		if left := catalogue.ShippedChanges(base, now, owned); len(left) != 0 {
			t.Fatalf("all taken, still on offer: %v", left)
		}
		for i := range c.Operations {
			code := c.Operations[i].Code
			want := note(own, code)
			if slices.Contains(all, key("operations", string(code))) {
				want = note(now, code)
			}
			if note(owned, code) != want {
				t.Fatalf("%s came out as %q, want %q", code, note(owned, code), want)
			}
		}
	})
}
