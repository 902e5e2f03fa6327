package app_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/job"
)

func TestWhatWasQuotedIsWhatBecomesTheJobOrTheYesIsRefused(t *testing.T) {
	t.Parallel()
	yes := job.QuotationAnswer{Accepted: true, Option: 1, On: domain.DateOf(morning)}
	for _, c := range []struct {
		name   string
		change func(shop, job.Quotation) error
		told   []string // what the refusal names; none: it becomes the job
	}{
		{"nothing new is known", func(shop, job.Quotation) error { return nil }, nil},
		{"the pins prove loose", func(s shop, q job.Quotation) error {
			sv := s.scope(q.Options[0].Scope).Value.Survey
			_, err := s.app.AddFinding(s.Context(), s.who, sv, domaintest.Number("SV-11", "1", "N·m"))
			return err
		}, []string{" came: "}},
		{"the piano is measured anew", func(s shop, q job.Quotation) error {
			i := s.instrument(q.Instrument)
			i.Value.SizeMM = 1500
			_, err := s.app.ChangeInstrument(s.Context(), s.who, i.Value, i.Version)
			return err
		}, []string{"CS-09 takes 2.13 h, not the 2.01 h that were quoted"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := openShop(t)
			q := s.quoted(drawnUp(t, s.app, s.who, clientsPiano()))
			s.ok(c.change(s, q))
			_, err := s.app.AnswerQuotation(t.Context(), s.who, q.ID, yes)
			if c.told == nil {
				s.ok(err)
				return
			}
			for _, text := range c.told {
				if faultKind(err) != domain.Conflict || !strings.Contains(chainOf(err), text) {
					t.Errorf("got %v (%s), want a conflict that tells %q", err, chainOf(err), text)
				}
			}
			again := quotation(q.Instrument, q.Party, q.Options[0].Scope)
			again.Replaces = append(again.Replaces, q.ID)
			again, err = s.app.Quote(t.Context(), s.who, again)
			s.ok(err)
			_, err = s.app.AnswerQuotation(t.Context(), s.who, again.ID, yes)
			s.ok(err)
		})
	}
}
