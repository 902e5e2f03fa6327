package bid_test

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// workedOut returns everything that follows from a bid's inputs and a catalogue: the result, the
// take-off, the strings and the cautions of a sale.
func workedOut(t *testing.T, inputs, document []byte) []byte {
	t.Helper()
	c, err := catalogue.Parse(document)
	if err != nil {
		t.Fatal(err)
	}
	in, err := bid.ParseInputs(inputs)
	if err != nil {
		t.Fatal(err)
	}
	zone, err := time.LoadLocation(in.Workshop.Zone)
	if err != nil {
		t.Fatal(err)
	}
	r, err := bid.Compute(t.Context(), in, c, zone)
	if err != nil {
		t.Fatal(err)
	}
	js, err := survey.Judge(c, in.Instrument.Kind, in.Findings)
	if err != nil {
		t.Fatal(err)
	}
	all, err := json.Marshal([]any{
		r, instrument.TakeOffOf(c, in.Instrument, js),
		instrument.StringsOf(c, in.Instrument, js, instrument.UsualStringTerms()),
		caution.CautionsOfSale(c, in.Instrument, js, in.Workshop.Terms.TaxRegime, in.Stops),
		caution.CautionsOfJob(c, in.Instrument, js, r.Ways[0].Scope, in.Stops),
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// markedInputs returns of a bid in which every mark has its say and no point is in doubt: the
// worlds of doubt are drawn by the codes of points.
func markedInputs(t *testing.T) bid.Inputs {
	t.Helper()
	in := bidFor(
		t, bid.Way{Depth: catalogue.Restore, SalePrice: domaintest.Dec("24000")},
		bid.Way{Depth: catalogue.Recondition, SalePrice: domaintest.Dec("14000")},
	)
	in.Findings = domaintest.SoundSurvey(domaintest.Shipped(t), catalogue.Grand,
		domaintest.Number(
			"SV-01", "85", "",
		), domaintest.Number("SV-17", "5", ""), domaintest.Number("SV-26", "1.2", ""),
		domaintest.Number("SV-27", "3", ""), domaintest.Number("SV-43", "4", ""),
		domaintest.Number("SV-52", "0.1", ""),
		domaintest.Number(
			"SV-21", "-80", "",
		), domaintest.Number("SV-23", "1.1", ""), domaintest.Flag("SV-29", true),
		domaintest.Answer("SV-42", "ivory"),
		domaintest.Answer("SV-61", "siam_rosewood"), domaintest.Flag("SV-62", true),
		domaintest.Flag("SV-45", true), domaintest.Number("SV-33", "13", ""),
	)
	in.Instrument.Year = 1904
	stops := domaintest.Stops(t, "GB", in.Instrument, in.Findings)
	var cleared []clearance.Clearance
	for _, s := range stops {
		c, err := stops.Clear(clearance.Clearance{
			Stop: s.ID, By: "A. Fernwood", Says: "looked into", Reference: "REG-1",
			Dated: domaintest.JobDay,
		}, domain.Owner, domaintest.JobDay)
		if err != nil {
			t.Fatal(err)
		}
		cleared = append(cleared, c)
	}
	in.Stops = domaintest.Stops(t, "GB", in.Instrument, in.Findings, cleared...)
	return in
}

// A workshop that gives the rows other codes, marks and all, gets the same figures, dates and
// words.
func TestCodesMeanNothingToTheProgram(t *testing.T) {
	t.Parallel()
	there, back := renamed("IN-", "IX-", "QC-", "QX-", "SV-", "SX-")
	inputs, document := markedInputs(t).Canonical(), domaintest.Shipped(t).Canonical()
	want := workedOut(t, inputs, document)
	got := workedOut(t, []byte(there.Replace(string(inputs))), []byte(there.Replace(string(document))))
	if back.Replace(string(got)) != string(want) {
		t.Error("under other codes something else comes out")
	}
	bare := regexp.MustCompile(`,"marks":\[[^\]]*\]`).ReplaceAll([]byte(there.Replace(string(document))), nil)
	if got := workedOut(
		t, []byte(there.Replace(string(inputs))), bare,
	); back.Replace(string(got)) == string(want) {
		t.Error("without marks the same comes out, so that they prove nothing")
	}
}

// renamed replaces each first text by the one after it, and back.
func renamed(pairs ...string) (there, back *strings.Replacer) {
	var turned []string
	for i := 0; i < len(pairs); i += 2 {
		turned = append(turned, pairs[i+1], pairs[i])
	}
	return strings.NewReplacer(pairs...), strings.NewReplacer(turned...)
}

// A stored bid names the document of its catalogue, which may be from before marks were kept.
func TestABidOnACatalogueFromBeforeMarksRecomputesToTheSame(t *testing.T) {
	t.Parallel()
	document := domaintest.Shipped(t).Canonical()
	bare := regexp.MustCompile(`"marks":\[[^\]]*\],`).ReplaceAll(document, nil)
	if bytes.Equal(bare, document) {
		t.Fatal("the document has no marks to take out")
	}
	old, err := os.ReadFile("testdata/engine1/inputs.json")
	if err != nil {
		t.Fatal(err)
	}
	for name, inputs := range map[string][]byte{
		"this engine": markedInputs(t).Canonical(), "engine 1": old,
	} {
		if !bytes.Equal(workedOut(t, inputs, bare), workedOut(t, inputs, document)) {
			t.Errorf("%s: without marks something else comes out", name)
		}
	}
}
