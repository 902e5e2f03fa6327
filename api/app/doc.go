// Package app holds the use cases of the service. JSON, pages, background work
// and the demo are doors to it, and it is the only place that opens a
// transaction.
//
// A use case checks the role, loads and locks, asks the pure packages for the
// decision, saves, notes what happened, and commits. It holds no rule of the
// trade of its own: a branch on what a piano is like belongs in package domain.
//
// Once runs a whole request at most once per Idempotency-Key: the use cases
// called inside it join its transaction, so the effect and the stored answer
// stand or fall together.
package app
