package instrument_test

import (
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
)

// A piano that we may buy is considered; ours and a client's wait for work.
func TestOnlyAnOfferedPianoIsConsideredFirst(t *testing.T) {
	t.Parallel()
	for owner, want := range map[instrument.Ownership]instrument.State{
		instrument.Offered: instrument.Considered, instrument.Stock: instrument.Waiting,
		instrument.Client: instrument.Waiting,
	} {
		if got := instrument.FirstState(owner); got != want {
			t.Errorf("%s: got %s, want %s", owner, got, want)
		}
	}
}

func TestAPartlyMeasuredScaleSaysHowManyNotesAreTheExamples(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Scale = domaintest.WholeScale()[:30]
	r := instrument.StringsOf(&catalogue.Catalogue{}, in, nil, instrument.UsualStringTerms())
	if !strings.HasPrefix(r.Says, "30 notes of the scale were measured; the other 58 are illustrative") ||
		r.Basis != instrument.Assumed || strings.Contains(r.Says, "left out") {
		t.Errorf("got %q", r.Says)
	}
	in.Notes = 90
	r = instrument.StringsOf(&catalogue.Catalogue{}, in, nil, instrument.UsualStringTerms())
	if !strings.HasSuffix(r.Says, "; 2 notes beyond the example scale are left out") {
		t.Errorf("of 90 notes: %q", r.Says)
	}
}

// The dossier's example takes 150 m of plain wire (from memory).
func TestTheWireOfAWholeScaleSaysItsMetres(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Scale = domaintest.WholeScale()
	q, _ := domaintest.TakeOff(t, in).Of("kg of plain wire")
	if !strings.HasPrefix(q.Formula, "150.") && !strings.HasPrefix(q.Formula, "149.") ||
		!strings.Contains(q.Formula, "m of the scale in 14 gauges") {
		t.Errorf("got %q", q.Formula)
	}
}
