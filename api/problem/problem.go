package problem

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"bentside/openapi"

	"github.com/labstack/echo/v4"
)

// Type is a registered type of problem: its status, its title and the page that its address shows.
type Type struct {
	Name   string // the last part of its address
	Status int
	Title  string
	Page   string
}

// The registered types of problem. A client may rely on the name and the status; the texts are for
// people.
var (
	Malformed = Type{
		"malformed", http.StatusBadRequest, "The request cannot be read",
		"The body must be one JSON value in UTF-8, and a page cursor must come from the same list, " +
			"unchanged. Correct the body, or start the list again without a cursor.",
	}
	Unauthenticated = Type{
		"unauthenticated", http.StatusUnauthorized, "A token is needed",
		"Send \"Authorization: Bearer <token>\" with a token of the workshop that has not expired and " +
			"was not revoked.",
	}
	Forbidden = Type{
		"forbidden", http.StatusForbidden, "The role may not do this",
		"The token is valid, but its holder's role does not include this. GET /v1/me lists what it " +
			"includes.",
	}
	NotFound = Type{
		"not-found", http.StatusNotFound, "Not found",
		"Nothing is at this address, or it belongs to another workshop.",
	}
	methodNotAllowed = Type{
		"method-not-allowed", http.StatusMethodNotAllowed, "The address does not accept this method",
		"The Allow header lists the methods that it accepts.",
	}
	NotAcceptable = Type{
		"not-acceptable", http.StatusNotAcceptable, "The answer has no media type that is accepted",
		"Send an Accept header that allows one of the media types that the contract lists for the " +
			"operation, or none.",
	}
	conflict = Type{
		"conflict", http.StatusConflict, "The present state forbids it",
		"The request is well formed but contradicts what is stored or decided. Where one reason leads " +
			"to another, \"chain\" lists them, the first cause last. Read the resource again, resolve the " +
			"contradiction, and send a new request.",
	}
	keyBusy = Type{
		"idempotency-key-busy", http.StatusConflict, "The first request is still running",
		"Another request with this Idempotency-Key is being processed. Send the same request again a " +
			"little later to get its answer.",
	}
	staleVersion = Type{
		"stale-version", http.StatusPreconditionFailed, "It has changed since it was read",
		"The version in If-Match is not the present one, or If-None-Match: * found something else " +
			"under the id. Read it again, look at the difference, and send the change again.",
	}
	TooLarge = Type{
		"too-large", http.StatusRequestEntityTooLarge, "The body is too large",
		"Send less at a time.",
	}
	UnsupportedMediaType = Type{
		"unsupported-media-type", http.StatusUnsupportedMediaType,
		"The body has another media type than is accepted here",
		"Send the body with \"Content-Type: application/json\", or as the contract says: an archive as " +
			"application/zip, rows as text/csv.",
	}
	validation = Type{
		"validation", http.StatusUnprocessableEntity, "The request breaks a rule",
		"\"errors\" lists everything that is wrong, each with a JSON pointer into the body " +
			"(\"#/findings/0/value\") or to a parameter (\"#/query/limit\", \"#/header/If-Match\", " +
			"\"#/path/id\").",
	}
	keyReused = Type{
		"idempotency-key-reused", http.StatusUnprocessableEntity, "The key belongs to another request",
		"This Idempotency-Key was sent with a different request before. Use a new key for each request.",
	}
	PreconditionRequired = Type{
		"precondition-required", http.StatusPreconditionRequired, "The version that was read is needed",
		"Send If-Match with the ETag of the version that the change is made to, or If-None-Match: * to " +
			"add something new under an id of your own.",
	}
	internal = Type{
		"internal", http.StatusInternalServerError, "The service failed",
		"The service's log has the reason under \"request_id\". Nothing of the request was stored.",
	}
	Unavailable = Type{
		"unavailable", http.StatusServiceUnavailable, "The service cannot answer now",
		"Send the request again after Retry-After seconds; with an Idempotency-Key that is safe for " +
			"every POST.",
	}
	busy = Type{
		"busy", http.StatusServiceUnavailable, "Too much is being worked out",
		"Dates, drawings, prices and plans stand in a queue of their own, and it is full. Nothing of " +
			"the request was stored. Send it again after Retry-After seconds.",
	}
	tooMany = Type{
		"too-many-computations", http.StatusTooManyRequests,
		"The workshop has too much worked out at once",
		"Each workshop may have so many dates, drawings, prices and plans under way at once. Nothing of " +
			"the request was stored. Wait for those that were sent, or send it again after Retry-After " +
			"seconds.",
	}
	outcomeUnknown = Type{
		"outcome-unknown", http.StatusServiceUnavailable,
		"It is not known whether the request took effect",
		"The database was lost while it kept what the request wrote. Send the request again with the " +
			"same Idempotency-Key: it takes effect once, and its answer is given. Without a key, read " +
			"what it was to change before you send it again.",
	}
)

// Types lists every registered type.
var Types = []Type{
	Malformed, Unauthenticated, Forbidden, NotFound, methodNotAllowed, NotAcceptable, conflict,
	keyBusy, staleVersion, TooLarge, UnsupportedMediaType, validation, keyReused,
	PreconditionRequired, internal, Unavailable, outcomeUnknown, busy, tooMany,
}

const (
	// Path is where the pages of the types are served.
	Path      = "/problems/"
	mediaType = "application/problem+json"
)

// Problem is an error on its way to the client.
type Problem struct {
	Type
	detail string
	fields []openapi.FieldProblem
	chain  []string
	header map[string]string
}

// Fields returns what is wrong with single parameters and members.
func (p *Problem) Fields() Fields { return p.fields }

// Error lists what is wrong, for the log.
func (p *Problem) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", p.Name, p.detail)
	for _, f := range p.fields {
		fmt.Fprintf(&b, "; %s: %s", f.Pointer, f.Detail)
	}
	return b.String()
}

// Refuse returns a problem of a type with what is wrong in this case.
func Refuse(t Type, format string, args ...any) *Problem {
	return &Problem{Type: t, detail: fmt.Sprintf(format, args...)}
}

// At names the parameter or the member that is wrong, with what would be right.
func (p *Problem) At(pointer, detail string) *Problem {
	q := *p
	q.fields = append(slices.Clone(p.fields), openapi.FieldProblem{Pointer: pointer, Detail: detail})
	return &q
}

// document returns the problem document (RFC 9457).
func (p *Problem) document(id string) openapi.Problem {
	return openapi.Problem{
		Type: Path + p.Name, Title: p.Title, Status: p.Status, Detail: p.detail,
		Errors: p.fields, Chain: p.chain, RequestID: id,
	}
}

// Write answers a request with the problem.
func (p *Problem) Write(c echo.Context, requestID string) error {
	body, err := json.Marshal(p.document(requestID))
	if err != nil {
		return err
	}
	h := c.Response().Header()
	for name, value := range p.header {
		h.Set(name, value)
	}
	return c.Blob(p.Status, mediaType, body)
}
