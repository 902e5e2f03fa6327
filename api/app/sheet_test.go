package app_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"bentside/domain/bid"
	"bentside/domain/sheet"
)

// A buyer carries one page: 66 lines of 95 columns.
func TestTheSheetOfABidOfEveryEngineIsOnePage(t *testing.T) {
	t.Parallel()
	for _, k := range everyKeptBid(t) {
		text := k.sheet.Text()
		lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
		if len(lines) > 66 {
			t.Errorf("%s has %d lines:\n%s", k.name, len(lines), text)
		}
		for _, l := range lines {
			if utf8.RuneCountInString(l) > 95 {
				t.Errorf("%s has a line of %d columns: %s", k.name, utf8.RuneCountInString(l), l)
			}
		}
	}
}

// The buyer must see which figures an older model made.
func TestTheSheetOfAnOlderBidNamesItsModel(t *testing.T) {
	t.Parallel()
	for _, k := range everyKeptBid(t) {
		says := strings.Contains(k.sheet.Text(), "older model (engine "+k.engine+")")
		if older := bid.OfOlderModel(k.engine); says != older {
			t.Errorf("%s: says so: %v, want %v", k.name, says, older)
		}
	}
}

// While a finding stops the deal there is nothing to offer, so no price stands on the page, and
// what bars the deal comes first.
func TestTheSheetOfAStoppedBidShowsNoPrice(t *testing.T) {
	t.Parallel()
	seen := false
	for _, k := range everyKeptBid(t) {
		if len(k.result.Ways) != 1 || k.result.Ways[0].Outcome != bid.Stopped {
			continue
		}
		seen = true
		text := k.sheet.Text()
		for _, price := range []string{
			"open at", "pay at most", "walk away above", "profit", "chance of a loss",
		} {
			if strings.Contains(text, price) {
				t.Errorf("%s is stopped and speaks of %q", k.name, price)
			}
		}
		if !strings.Contains(text, "STOPPED") || strings.Contains(k.sheet.Sections[0].Lines[0], "None") {
			t.Errorf("%s does not say what stops it:\n%s", k.name, text)
		}
	}
	if !seen {
		t.Error("no stopped bid is kept")
	}
}

// No model of an old piano makes anything certain.
func TestNoSheetCallsAnythingCertain(t *testing.T) {
	t.Parallel()
	certain := regexp.MustCompile(`(^|\s)(0|100) %`)
	for _, k := range everyKeptBid(t) {
		for _, section := range k.sheet.Sections {
			for _, row := range section.Table {
				if strings.Contains(row[0], "chance") && certain.MatchString(strings.Join(row, "\n")) {
					t.Errorf("%s: %q", k.name, row)
				}
			}
		}
	}
}

// Every figure of tax is a matter for an adviser.
func TestEverySheetSaysWhichTaxItAssumes(t *testing.T) {
	t.Parallel()
	for _, k := range everyKeptBid(t) {
		text := strings.Join(strings.Fields(k.sheet.Text()), " ")
		if !regexp.MustCompile(`Tax assumed: [^.]+: ask your adviser\.`).MatchString(text) {
			t.Errorf("%s does not say which tax it assumes:\n%s", k.name, text)
		}
	}
}

// A default that nobody confirmed is listed with the result, on paper too, however full the page.
func TestNoSheetLeavesOutADefaultThatNobodyConfirmed(t *testing.T) {
	t.Parallel()
	for _, k := range everyKeptBid(t) {
		text := strings.Join(strings.Fields(k.sheet.Text()), " ")
		for _, a := range k.inputs.Assumptions(k.result) {
			if !strings.Contains(text, a.Brief) {
				t.Errorf("%s leaves out %q", k.name, a.Brief)
			}
		}
	}
}

type keptSheet struct {
	name   string // engine and bid
	engine string
	inputs bid.Inputs
	result bid.Result
	sheet  sheet.Sheet
}

// everyKeptBid returns the bids that are kept of all versions of the engine.
func everyKeptBid(t *testing.T) []keptSheet {
	t.Helper()
	newest, err := strconv.Atoi(bid.Engine)
	if err != nil {
		t.Fatal(err)
	}
	var list []keptSheet
	for n := 1; n <= newest; n++ {
		engine := strconv.Itoa(n)
		for _, name := range keptNames(t, engine) {
			if name == planName {
				continue
			}
			in, err := bid.ParseInputs(read(t, keptFile(engine, name, "inputs")))
			if err != nil {
				t.Fatal(err)
			}
			r, err := bid.ParseResult(read(t, keptFile(engine, name, "result")))
			if err != nil {
				t.Fatal(err)
			}
			c, _ := keptCatalogue(t, in.Catalogue)
			list = append(list, keptSheet{
				name: engine + "/" + name, engine: engine, inputs: in, result: r, sheet: sheet.Of(sheet.Subject{
					Inputs: in, Result: r, Catalogue: c, Zone: zoneOf(t, in.Workshop),
				}),
			})
		}
	}
	return list
}
