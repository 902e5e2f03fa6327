// Package problem decides how errors are reported to a client: which types of problem are
// registered, which of them an error becomes, and the problem document (RFC 9457) that is sent. A
// refusal of the domain or of the router becomes a problem by its kind. Anything else is a failure
// of the service, of which the client is told nothing but the id of its request.
//
// The package does not decide what is refused: the domain, the use cases and package middleware do.
// It does not log.
package problem
