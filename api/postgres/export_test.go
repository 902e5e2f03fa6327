package postgres

// The queries of Reader.Instruments and Reader.Instrument, for a look at their
// plans and cost.
const (
	InstrumentPage = instrumentPage
	OneInstrument  = oneInstrument
)

// ScanInstrument reads a row of OneInstrument.
var ScanInstrument = scanInstrument
