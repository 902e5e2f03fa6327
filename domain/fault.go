package domain

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// FaultKind says what sort of refusal a Fault is; each has one HTTP status.
type FaultKind string

// The kinds of refusal. Anything else that goes wrong is the service's own
// fault and is shown bare.
const (
	Invalid         FaultKind = "invalid"         // the input breaks a rule
	Unauthenticated FaultKind = "unauthenticated" // nobody we know
	Forbidden       FaultKind = "forbidden"       // known, but not allowed
	NotFound        FaultKind = "not-found"       // not there, or another workshop's
	Conflict        FaultKind = "conflict"        // the state of things forbids it
	Stale           FaultKind = "stale-version"   // somebody changed it since it was read
	NoPrecondition  FaultKind = "no-precondition" // If-Match is missing
	KeyReused       FaultKind = "key-reused"      // same idempotency key, other request
	KeyBusy         FaultKind = "key-busy"        // the first request with that key still runs
	Unavailable     FaultKind = "unavailable"     // try again
)

// FieldFault is one thing wrong with one field.
type FieldFault struct {
	Pointer string // JSON pointer into the request body, "#/findings/0/value", or "#/query/limit"
	Detail  string
	// Line and Column, from 1, are the place in a file; 0 where there is none.
	Line, Column int
}

// Fault is a refusal that may be shown to the user.
type Fault struct {
	Kind   FaultKind
	Detail string
	Fields []FieldFault
	// Chain is the reasons that lead to the refusal, first cause last.
	Chain []string
}

// Error gives the detail and every field fault.
func (f *Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.Detail)
	for _, x := range f.Fields {
		fmt.Fprintf(&b, "; %s: %s", x.Pointer, x.Detail)
	}
	return b.String()
}

// Refuse makes a Fault of a kind.
func Refuse(kind FaultKind, format string, args ...any) *Fault {
	return &Fault{Kind: kind, Detail: fmt.Sprintf(format, args...)}
}

// Faults collects field faults so that all are reported at once.
type Faults []FieldFault

// Add notes one fault.
func (f *Faults) Add(pointer, format string, args ...any) {
	*f = append(*f, FieldFault{Pointer: pointer, Detail: fmt.Sprintf(format, args...)})
}

// Err returns an Invalid Fault with everything noted, or nil.
func (f Faults) Err() error {
	if len(f) == 0 {
		return nil
	}
	return &Fault{Kind: Invalid, Detail: "the request breaks a rule", Fields: f}
}

// PointersBelow makes the pointers of a Fault relative to a part of the request
// that was checked on its own: with base "#/findings/0", the pointer
// "#/findings/0/value" becomes "#/value". Any other error passes unchanged.
func PointersBelow(err error, base string) error {
	return repointed(err, func(pointer string) string {
		if rest, below := strings.CutPrefix(pointer, base); below {
			return "#" + rest
		}
		return pointer
	})
}

// PointersUnder puts the pointers of a Fault under a part of the request: with
// base "#/ways/0", "#/edits/1" becomes "#/ways/0/edits/1". Any other error
// passes unchanged.
func PointersUnder(err error, base string) error {
	return repointed(err, func(pointer string) string { return base + strings.TrimPrefix(pointer, "#") })
}

// repointed is a copy of a Fault with each pointer moved.
func repointed(err error, move func(string) string) error {
	var f *Fault
	if !errors.As(err, &f) {
		return err
	}
	moved := *f
	moved.Fields = slices.Clone(f.Fields)
	for i, x := range moved.Fields {
		moved.Fields[i].Pointer = move(x.Pointer)
	}
	return &moved
}
