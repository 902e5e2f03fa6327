package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"

	"bentside/openapi"

	"github.com/labstack/echo/v4"
)

// problemType is a registered sort of problem: its status, its title and the
// page that its address shows.
type problemType struct {
	name   string // the last part of its address
	status int
	title  string
	page   string
}

// The registered types of problem. A client may rely on the name and the
// status; the texts are for people.
var (
	malformed = problemType{
		"malformed", http.StatusBadRequest, "The request cannot be read",
		"The body is no well-formed JSON in UTF-8, or a page cursor was changed or belongs to another list. " +
			"Correct the body, or begin the list anew without a cursor.",
	}
	unauthenticated = problemType{
		"unauthenticated", http.StatusUnauthorized, "A token is needed",
		"Send \"Authorization: Bearer <token>\" with a token of the workshop that has not expired and was not revoked.",
	}
	forbidden = problemType{
		"forbidden", http.StatusForbidden, "The role may not do this",
		"The token is good, but its holder's role does not include this. GET /v1/me lists what it includes.",
	}
	notFound = problemType{
		"not-found", http.StatusNotFound, "There is no such thing",
		"Nothing is at this address, or what is there belongs to another workshop.",
	}
	methodNotAllowed = problemType{
		"method-not-allowed", http.StatusMethodNotAllowed, "The address does not know this method",
		"The Allow header lists the methods that it knows.",
	}
	conflict = problemType{
		"conflict", http.StatusConflict, "The state of things forbids it",
		"The request is well formed but contradicts what is stored or decided. Where reasons build on each other they " +
			"stand in \"chain\", the first cause last. Read the thing again, settle the contradiction, and send a new request.",
	}
	keyBusy = problemType{
		"idempotency-key-busy", http.StatusConflict, "The first request still runs",
		"Another request with this Idempotency-Key is being worked on. Send the same request again a little later to get its answer.",
	}
	staleVersion = problemType{
		"stale-version", http.StatusPreconditionFailed, "It has changed since it was read",
		"The version in If-Match is not the present one, or If-None-Match: * found something else under the id. " +
			"Read it again, look at the difference, and send the change anew.",
	}
	tooLarge = problemType{
		"too-large", http.StatusRequestEntityTooLarge, "The body is too large",
		"Send less at a time.",
	}
	unsupportedMediaType = problemType{
		"unsupported-media-type", http.StatusUnsupportedMediaType, "The body is of another sort than is read here",
		"Send the body with \"Content-Type: application/json\", or as the contract has it: an archive as application/zip, rows as text/csv.",
	}
	validation = problemType{
		"validation", http.StatusUnprocessableEntity, "The request breaks a rule",
		"\"errors\" lists everything that is wrong, each with a JSON pointer into the body (\"#/findings/0/value\") or to a " +
			"parameter (\"#/query/limit\", \"#/header/If-Match\", \"#/path/id\").",
	}
	keyReused = problemType{
		"idempotency-key-reused", http.StatusUnprocessableEntity, "The key belongs to another request",
		"This Idempotency-Key came with a different request before. A key names one request: take a new key.",
	}
	preconditionRequired = problemType{
		"precondition-required", http.StatusPreconditionRequired, "The version that was read is needed",
		"Send If-Match with the ETag of the version that the change is made to, or If-None-Match: * to add something new " +
			"under an id of your own.",
	}
	internal = problemType{
		"internal", http.StatusInternalServerError, "The service has a fault",
		"The fault is in the service's log under \"request_id\". Nothing of the request was kept.",
	}
	unavailable = problemType{
		"unavailable", http.StatusServiceUnavailable, "The service cannot answer now",
		"Send the request again after Retry-After seconds; with an Idempotency-Key that is safe for every POST.",
	}
)

// problemTypes lists every registered type.
var problemTypes = []problemType{
	malformed, unauthenticated, forbidden, notFound, methodNotAllowed, conflict, keyBusy, staleVersion, tooLarge,
	unsupportedMediaType, validation, keyReused, preconditionRequired, internal, unavailable,
}

const (
	problemPath      = "/problems/"
	problemMediaType = "application/problem+json"
)

// problem is a refusal on its way to the client.
type problem struct {
	problemType
	detail string
	fields []openapi.FieldProblem
	chain  []string
	header map[string]string
}

// Error makes a problem an error, so that middleware can return one.
func (p *problem) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", p.name, p.detail)
	for _, f := range p.fields {
		fmt.Fprintf(&b, "; %s: %s", f.Pointer, f.Detail)
	}
	return b.String()
}

func refuse(t problemType, format string, args ...any) *problem {
	return &problem{problemType: t, detail: fmt.Sprintf(format, args...)}
}

// refuseFields is a validation problem that lists what is wrong.
func refuseFields(fields []openapi.FieldProblem) *problem {
	p := refuse(validation, "%d things are wrong with the request", len(fields))
	if len(fields) == 1 {
		p.detail = "one thing is wrong with the request"
	}
	p.fields = fields
	return p
}

// refuseField is a validation problem of one parameter or member.
func refuseField(pointer, format string, args ...any) *problem {
	return refuseFields([]openapi.FieldProblem{{Pointer: pointer, Detail: fmt.Sprintf(format, args...)}})
}

// document is the problem as RFC 9457 has it.
func (p *problem) document(id string) openapi.Problem {
	return openapi.Problem{
		Type: problemPath + p.name, Title: p.title, Status: p.status, Detail: p.detail,
		Errors: p.fields, Chain: p.chain, RequestID: id,
	}
}

// write sends the problem.
func (p *problem) write(c echo.Context) error {
	body, err := json.Marshal(p.document(requestID(c.Request().Context())))
	if err != nil {
		return err
	}
	h := c.Response().Header()
	for name, value := range p.header {
		h.Set(name, value)
	}
	return c.Blob(p.status, problemMediaType, body)
}
