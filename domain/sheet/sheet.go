package sheet

import (
	"fmt"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
)

// Sheet is a bid on one page.
type Sheet struct {
	Title    string // the instrument
	Head     []string
	Sections []Section
	Foot     []string
	At       time.Time // when the bid was worked out, in the workshop's zone
}

// Section is a part of the sheet under a heading: a table, or lines of which each says one thing,
// or both.
type Section struct {
	Title string
	Table [][]string // the first row is the head, the first cell of each row its name
	Lines []string
}

// Subject is the bid that a sheet is about, with what stops the instrument now, the catalogue that
// its inputs name and the workshop's zone.
type Subject struct {
	Inputs    bid.Inputs
	Result    bid.Result
	Now       clearance.List
	Catalogue *catalogue.Catalogue
	Zone      *time.Location
}

// The size of the page in plain text. A4 takes it at six lines to the inch.
const (
	pageLines   = 66
	pageColumns = 95
)

// The lines that parts of the page take at most, and those that are kept for the cautions.
const (
	headLines    = 5
	stopLines    = 7
	basisLines   = 11
	cautionLines = 10
	leastLooks   = 5
)

// Of returns the sheet of a bid. The parts of a settled size come first; what nobody looked at and
// the cautions share what they leave of the page.
func Of(b Subject) Sheet {
	in := b.Inputs
	s := Sheet{Title: title(in.Instrument), At: in.At.In(b.Zone), Foot: []string{
		"Cut to one page; the bid has the rest. " + catalogue.Deference,
	}}
	var head []string
	switch {
	case !bid.OfOlderModel(in.Engine):
	case !bid.TookLinesAsIndependent(in.Engine):
		head = append(head, fmt.Sprintf("Worked out by the older model (engine %s), which paid more where "+
			"a bad finding takes work away. Work it out anew.", in.Engine))
	default:
		head = append(head, fmt.Sprintf("Worked out by the older model (engine %s), which took all lines "+
			"of work as independent: its ranges and chances are too narrow. Work it out anew.", in.Engine))
	}
	s.Head = cut(append(head, description(in.Instrument),
		fmt.Sprintf("%s, %s. %s", in.Workshop.Name, domain.DateOf(s.At),
			b.formSays())), headLines, 1)
	stops := Section{Title: "Deal-breakers", Lines: cut(b.dealBreakers(), stopLines, 2)}
	looks := Section{Title: "Look at first"}
	depths := Section{Title: b.depthsTitle(), Table: b.table()}
	basis := Section{Title: "What the prices rest on", Lines: cut(b.basis(), basisLines, 2)}
	assumed := Section{Title: "Assumed, confirmed by nobody", Lines: b.assumed()}
	cautions := Section{Title: "Take care"}
	s.Sections = []Section{stops, looks, depths, basis, assumed, cautions}
	s.Sections[1].Lines = cut(b.looks(), max(pageLines-s.height()-cautionLines, leastLooks), 1)
	s.Sections[5].Lines = cut(b.cautions(), pageLines-s.height(), 1)
	return s
}

// formSays says what the prices of a form are.
var formSays = map[bid.Form]string{
	bid.Purchase:     "To be bought",
	bid.Consigned:    "To be sold for its owner; prices are payouts",
	bid.PartExchange: "To be taken in part payment; prices are allowances",
	bid.DonorOfParts: "To be bought and broken up for its parts",
}

// formSays says how the instrument would become ours, and what the prices are.
func (b Subject) formSays() string {
	form := b.Inputs.Asked.AcquiredBy()
	says, before := formSays[form], ""
	if b.Inputs.Asked.PremiumShare.IsPositive() || len(b.Inputs.Asked.Premium) > 0 {
		before = "before premium"
	}
	switch {
	case form != bid.Purchase:
		return says + "."
	case b.Inputs.Asked.Sealed:
		says = "To be bid for at an auction or in a tender; prices are limits on the hammer"
		if before != "" {
			says += ", " + before
		}
	case before != "":
		says += "; prices " + before
	}
	return says + "."
}

func title(i instrument.Instrument) string {
	return strings.TrimSpace(i.Maker + " " + i.Model)
}

// description tells the instrument in a line, as far as it is on record.
func description(i instrument.Instrument) string {
	parts := []string{fmt.Sprintf("%s of %d.%02d m", i.Kind, i.SizeMM/1000, i.SizeMM%1000/10)}
	add := func(format, value string) {
		if value != "" {
			parts = append(parts, fmt.Sprintf(format, value))
		}
	}
	add("No %s", i.Serial)
	add("stock number %s", i.StockNumber)
	if i.Year != 0 {
		parts = append(parts, fmt.Sprintf("made in %d", i.Year))
	}
	parts = append(parts, fmt.Sprintf("%d notes", i.Notes))
	add("%s", strings.TrimSpace(i.Colour+" "+i.Finish))
	add("%s keys", i.Covering)
	add("stands in %s", i.Country)
	return strings.Join(parts, ", ")
}
