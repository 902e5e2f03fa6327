// Package middleware holds what every request passes before it reaches a handler, a file for each
// step, in this order:
//
//	arrival.go       the request's id, and the headers of every answer
//	observe.go       access log and metrics (metrics.go)
//	recover.go       recovery from panics
//	timeout.go       the time limit
//	contract.go      which operation of the contract the request is for
//	authenticate.go  who sends it
//	guard.go         whether the role may do it, by the table of operations
//	conditional.go   the version that an update must name; 304 for what the client has
//	validate.go      parameters and body (body.go) against the contract; what is wrong (fields.go)
//	once.go          one effect for each Idempotency-Key (idempotencykey.go)
//
// chain.go puts them in order and turns errors into answers. Handlers get what they need from the
// context: Actor and URL.
//
// The package does not know what an operation does, which parts of a resource a role is shown, or
// how tags and problems are written.
package middleware
