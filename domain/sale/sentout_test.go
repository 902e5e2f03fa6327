package sale_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/job"
	"bentside/domain/sale"

	"github.com/google/uuid"
)

// A piano whose keyboard is out is handed over neither to its buyer nor, unsold, to its owner; the
// refusal names keyboard and firm.
func TestNoPianoIsHandedOverWhileItsKeyboardIsOut(t *testing.T) {
	t.Parallel()
	day := domain.Date{Year: 2026, Month: 3, Day: 2}
	s := sale.Stands{Today: day, Jobs: []job.Job{{
		ID: uuid.UUID{5}, State: job.Open, Sendings: []job.Sending{{
			What: "keyboard", FirmName: "Fernhill Keys", SentOn: day, FirstDue: day, Due: day,
		}},
	}}}
	_, _, err := sale.HandOver{}.Give(sale.Sale{On: day, Buyer: uuid.UUID{6}}, s)
	_, _, owners := sale.ConsignmentEnd{Note: "unsold"}.Finish(sale.Consignment{On: day}, s)
	for name, err := range map[string]error{"its buyer": err, "its owner": owners} {
		fault, ok := err.(*domain.Fault) //nolint:errorlint // it isn't wrapped
		if !ok || fault.Kind != domain.Conflict || len(fault.Chain) != 1 ||
			!strings.HasPrefix(fault.Chain[0], "keyboard at Fernhill Keys since 2026-03-02") {
			t.Errorf("to %s: %v, want the keyboard named", name, err)
		}
	}
	s.Jobs[0].Sendings[0].End = &job.SendingEnd{Outcome: job.SendingDone, On: day}
	s.Jobs[0].State = job.Closed
	if err := job.NothingOut(s.Jobs, "it can't leave"); err != nil {
		t.Errorf("it is back, and yet %v", err)
	}
}
