package job_test

import (
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// Who books down the list of a job's tasks is never asked why something went before its time.
func TestTasksStandInTheOrderInWhichTheyCanBeDone(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	in.Owner = instrument.Stock
	s := domaintest.ScopeOf(t, in, catalogue.Restore, []survey.Finding{
		domaintest.Number("SV-15", "4", ""), domaintest.Number("SV-50", "3", ""),
		domaintest.Number("SV-33", "9", ""), domaintest.Number("SV-16", "3", ""),
	})
	j, err := job.Accept(c, s, in, domain.Date{})
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Tasks) < 30 {
		t.Fatalf("%d tasks", len(j.Tasks))
	}
	done := time.Now()
	for i := range j.Tasks {
		task := &j.Tasks[i]
		if ahead := j.Ahead(c, task.Operation); len(ahead) > 0 {
			t.Errorf("%s comes before %s", task.Operation, ahead[0].Operation)
		}
		task.FinishedAt, task.Left = &done, decimal.Zero
	}
}
