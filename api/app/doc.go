// Package app holds the use cases of the service. The API, the demo and the command line all call
// it, and it is the only place that opens a transaction.
//
// A use case checks the role, loads and locks, asks the pure packages for the decision, saves,
// notes an event, and commits. It holds no rule of the trade: what depends on the state of a piano
// is decided in package domain.
//
// What takes long (drawing, pricing, planning) is computed from a snapshot when its turn has come,
// without a transaction or a connection; see compute and package turns.
//
// Once runs a whole request at most once per Idempotency-Key. The use cases called inside it join
// its transaction, so that their effect and the stored answer commit together.
package app
