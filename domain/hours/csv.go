package hours

import (
	"bytes"
	"encoding/csv"
	"strconv"

	"bentside/domain"

	"github.com/google/uuid"
)

// csvColumns are the columns of a timesheet as a file.
var csvColumns = []string{
	"worked_on", "week", "person", "on_payroll", "job", "instrument", "operation", "task", "duty",
	"rework", "from", "to", "minutes", "hours", "status", "note", "correction", "reverses", "entry",
}

// CSV returns the entries as a file (RFC 4180), a row each; its minutes add up to the total. What
// somebody wrote and begins like a spreadsheet formula gets an apostrophe before it, so that no
// spreadsheet runs it.
func (t Timesheet) CSV() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	if err := w.Write(csvColumns); err != nil {
		return nil, err
	}
	for _, r := range t.Rows {
		if err := w.Write(t.csvRow(r)); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

func (t Timesheet) csvRow(r Row) []string {
	from, to, status := "", "", "approved"
	if r.Clock != nil {
		from, to = Clock(r.Clock.From), Clock(r.Clock.To)
	}
	if r.Approval == uuid.Nil {
		status = "pending"
	}
	return []string{
		r.On.String(), WeekOf(r.On).String(), domain.CellText(t.Person.Name),
		strconv.FormatBool(!t.Person.OffPayroll), idOrEmpty(r.Job), domain.CellText(r.Instrument),
		string(r.Operation), domain.CellText(r.Task), string(r.Duty), string(r.Rework), from, to,
		strconv.Itoa(r.Minutes), domain.HoursOf(r.Minutes).String(), status, domain.CellText(r.Note),
		domain.CellText(r.Correction), idOrEmpty(r.Reverses), r.ID.String(),
	}
}

func idOrEmpty(id uuid.UUID) string {
	if id == uuid.Nil {
		return ""
	}
	return id.String()
}
