package clearance_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/survey"
)

// A piano of 1979 that was re-covered, or never had ivory. What stops it says whether that is the
// record or a finding, and how it is put right.
func TestAStopSaysWhetherItRestsOnTheRecordOrOnAFinding(t *testing.T) {
	t.Parallel()
	ivory, plastic := domaintest.Answer("SV-42", "ivory"), domaintest.Answer("SV-42", "plastic")
	const record, amend = "rests on the instrument's record, whose covering is ivory", "amend the covering"
	for _, c := range []struct {
		name, covering string
		surveys        []survey.Survey
		says, not      []string // nil says: nothing bars it
	}{
		{
			"ivory on record, not looked at", "ivory", nil,
			[]string{record + ": " + amend},
			[]string{"SV-42", "what was found"},
		},
		{
			"ivory on record, found plastic by the owner", "ivory",
			[]survey.Survey{looked(9, "Ada", domain.Owner, plastic)},
			[]string{record + ", and not on what was found (SV-42 ", ": " + amend},
			[]string{"looked at by"},
		},
		{
			"ivory on record, re-covered since it was found", "ivory",
			[]survey.Survey{
				looked(2, "Rui", domain.Buyer, ivory), looked(9, "Ada", domain.Owner, plastic),
			},
			[]string{record + ", and not on what was found (SV-42 ", ": " + amend},
			[]string{"looked at by owner"},
		},
		{
			"ivory on record and found", "ivory",
			[]survey.Survey{looked(2, "Rui", domain.Buyer, ivory)},
			[]string{record + ", and on what was found (SV-42 ", amend, "looked at by owner or manager"},
			nil,
		},
		{
			"ivory on record and found, and plastic to a buyer", "ivory",
			[]survey.Survey{
				looked(2, "Tomé", domain.Bench, ivory), looked(9, "Rui", domain.Buyer, plastic),
			},
			[]string{record + ", and on what was found (SV-42 ", "covered with: ivory"},
			[]string{"plastic"},
		},
		{
			"ivory found, plastic on record", "plastic",
			[]survey.Survey{looked(2, "Rui", domain.Buyer, ivory)},
			[]string{" (SV-42 "},
			[]string{"record"},
		},
		{
			"the record amended, found plastic by the owner", "plastic",
			[]survey.Survey{looked(9, "Ada", domain.Owner, plastic)},
			nil, nil,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := ivoryGrand(t, 1979)
			r.Instrument.Covering, r.Surveys = c.covering, c.surveys
			for i := range r.Surveys {
				r.Surveys[i].Findings = checked(t, r, r.Surveys[i].Findings)
			}
			if c.says == nil {
				if list := stops(t, r).Barring(catalogue.Acts...); len(list) > 0 {
					t.Errorf("barred: %s", list[0].Text())
				}
				return
			}
			text := stop(t, r, "ivory-too-late").Text()
			for _, want := range c.says {
				if !strings.Contains(text, want) {
					t.Errorf("%q doesn't say %q", text, want)
				}
			}
			for _, not := range c.not {
				if strings.Contains(text, not) {
					t.Errorf("%q says %q", text, not)
				}
			}
		})
	}
}
