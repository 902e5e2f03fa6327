package postgres

import "github.com/google/uuid"

// OneInstrument is the query of Reader.Instrument, for a look at its cost.
const OneInstrument = oneInstrument

// ScanInstrument reads a row of OneInstrument.
var ScanInstrument = scanInstrument

// InstrumentPage is the query of Reader.Instruments with its arguments, for a
// look at its plan.
func InstrumentPage(workshop uuid.UUID, f InstrumentFilter, p Page) (string, []any) {
	q := instrumentPage(workshop, f, p)
	return q.sql, q.args
}
