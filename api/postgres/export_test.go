package postgres

// InstrumentPage is the query of Reader.Instruments, for a look at its plan.
const InstrumentPage = instrumentPage
