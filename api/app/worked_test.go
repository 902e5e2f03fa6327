package app_test

import (
	"testing"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
)

func TestDatesWaitForWhatSettlesSinceItsWorkWasBooked(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	now := morning
	a, _ := opened(t, 4, func() time.Time { return now })
	who := founded(t, a)
	stock := someInstrument()
	stock.Owner = instrument.Stock
	j := accepted(t, a, who, drawnUp(t, a, who, stock))
	for _, code := range []catalogue.Code{"IN-02", "IN-03"} {
		now = now.Add(2 * time.Hour)
		if _, err := a.RecordProgress(
			ctx, who, j.ID,
			job.Progress{Operation: code, Finished: true},
		); err != nil {
			t.Fatal(err)
		}
	}
	settled := now.Add(168 * time.Hour)
	now = now.AddDate(0, 0, 2)
	dates, err := a.JobDates(ctx, who, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range dates.Steps {
		if s.Operation == "DS-01" && s.Start.Before(settled) {
			t.Errorf(
				"the piano is stripped down from %v, and has not settled before %v", s.Start,
				settled,
			)
		}
	}
	if len(dates.Path) == 0 || dates.Path[0].Start.Before(settled) {
		t.Errorf(
			"what drives the date: %+v, want it to begin once the piano has settled, %v",
			dates.Path, settled,
		)
	}
}
