// Package api is "the service": its JSON door over HTTP. The packages below it
// are the use cases (app), the store (postgres) and the other doors.
//
// A request passes, in this order: request id, access log with metrics,
// recovery from panics, time limit, the operation it is for, its token
// (authenticate), what the role may do (guard), the version that an update must
// name (precondition), the contract (validate), the answer kept under its
// Idempotency-Key (once), and then one handler, which decodes, makes one call
// and renders. Whatever goes wrong comes back as an error and is rendered in
// one place, as a problem document (RFC 9457).
//
// Handlers read through app.Read and write through the use cases; they hold no
// rule of the trade. What a role may see is decided in view.go and nowhere
// else. Types of the web framework do not leave this package.
//
//	door, err := api.New(api.Config{App: a, Log: log, CursorKey: key})
//	http.ListenAndServe(address, door)
//
// The contract is openapi/openapi.yaml; server.gen.go follows from it. The
// package does not terminate TLS, limit rates or know pages.
package api
