package app_test

import (
	"context"
	"strings"
	"sync"
	"testing"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/pricing/valuation"
)

// openWith opens the books today with one file of old books.
func (s shop) openWith(ctx context.Context, name, body string) error {
	_, err := s.app.OpenBooks(ctx, s.who, []catalogue.File{{Name: name, Body: []byte(body)}},
		domain.DateOf(morning), false)
	return err
}

func TestOfManyWhoOpenTheBooksAtOnceOneDoes(t *testing.T) {
	t.Parallel()
	const callers = 4
	s := openShop(t)
	newPart(t, s.app, s.who, "F-1", valuation.FIFO)
	day := domain.DateOf(morning).AddDays(-30).String()
	errs := make([]error, callers)
	var all sync.WaitGroup
	for n := range callers {
		all.Go(func() {
			errs[n] = s.openWith(t.Context(), "stock.csv",
				"part,received_on,quantity,unit,value,reference,note\nF-1,"+day+",4,,28.00,,\n")
		})
	}
	all.Wait()
	opened := 0
	for _, err := range errs {
		switch {
		case err == nil:
			opened++
		case faultKind(err) != domain.Conflict:
			t.Errorf("refused with %v, want a conflict", err)
		}
	}
	if opened != 1 {
		t.Errorf("%d of %d opened the books", opened, callers)
	}
	wantKeptTotals(t, s.db)
}

func TestBooksOpenWithNoJobThatEndsMeanwhile(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	j, _ := s.clientsJob()
	err := s.during(func(ctx context.Context) error {
		_, err := s.app.CloseJob(ctx, s.who, j.ID, app.Closing{
			Outcome: job.PartedOut, On: domain.DateOf(morning), Why: "the frame is cracked",
		})
		return err
	}, func() error {
		return s.openWith(t.Context(), "client_jobs.csv",
			"job,parts,labour,overhead,outside_work,billed\n"+j.ID.String()+",,240.00,180.00,,0\n")
	})
	if faultKind(err) != domain.Invalid || !strings.Contains(err.Error(), "the job is closed") {
		t.Errorf("got %v, want that the job is closed", err)
	}
}
