package domain

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// FaultKind is the kind of refusal that a Fault is. Each kind has one HTTP status.
type FaultKind string

// The kinds of refusal. Any other error is the service's own, and its text is not shown.
const (
	Invalid         FaultKind = "invalid"         // the input breaks a rule
	Unauthenticated FaultKind = "unauthenticated" // we don't know who asks
	Forbidden       FaultKind = "forbidden"       // known, but not allowed
	NotFound        FaultKind = "not-found"       // doesn't exist, or is another workshop's
	Conflict        FaultKind = "conflict"        // the state of the thing asked about forbids it
	Stale           FaultKind = "stale-version"   // somebody has changed it since it was read
	NoPrecondition  FaultKind = "no-precondition" // If-Match is missing
	// the idempotency key came with another request before
	KeyReused FaultKind = "key-reused"
	// the first request with that key is still running
	KeyBusy     FaultKind = "key-busy"
	Unavailable FaultKind = "unavailable" // try again
	Busy        FaultKind = "busy"        // too much is being computed: try again later
	TooMany     FaultKind = "too-many"    // too much is being computed for this workshop
	// it may or may not have taken effect; asking again with the same key tells
	OutcomeUnknown FaultKind = "outcome-unknown"
)

// Passing reports whether the same request may succeed when it is sent again later.
func (k FaultKind) Passing() bool {
	return k == KeyBusy || k == Unavailable || k == Busy || k == TooMany || k == OutcomeUnknown
}

// FieldFault is one thing that is wrong with one field.
type FieldFault struct {
	Pointer string // JSON pointer into the request body, "#/findings/0/value", or "#/query/limit"
	Detail  string
	// Line and Column, from 1, are the position in a file that was sent; 0 where there is no file.
	Line, Column int
}

// Fault is a refusal whose text may be shown to the user.
type Fault struct {
	Kind   FaultKind
	Detail string
	Fields []FieldFault
	// Chain holds the reasons that led to the refusal, the root cause last.
	Chain []string
	// RetryAfter is when to try again, from now; zero: not said.
	RetryAfter time.Duration
}

// Error returns the detail followed by every field fault.
func (f *Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.Detail)
	for _, x := range f.Fields {
		fmt.Fprintf(&b, "; %s: %s", x.Pointer, x.Detail)
	}
	return b.String()
}

// Refuse returns a Fault of a kind.
func Refuse(kind FaultKind, format string, args ...any) *Fault {
	return &Fault{Kind: kind, Detail: fmt.Sprintf(format, args...)}
}

// RefuseAt returns a Fault of a kind about one member of a request.
func RefuseAt(kind FaultKind, pointer, format string, args ...any) *Fault {
	f := Refuse(kind, format, args...)
	f.Fields = []FieldFault{{Pointer: pointer, Detail: f.Detail}}
	if kind == Invalid {
		f.Detail = oneBroken
	}
	return f
}

// oneBroken says what the field faults then tell.
const oneBroken = "the request breaks a rule"

// Faults collects field faults, so that all of them are reported at once.
type Faults []FieldFault

// Add notes one fault.
func (f *Faults) Add(pointer, format string, args ...any) {
	*f = append(*f, FieldFault{Pointer: pointer, Detail: fmt.Sprintf(format, args...)})
}

// CheckLength notes a fault where a text has more than so many characters.
func (f *Faults) CheckLength(pointer, text string, most int) {
	if utf8.RuneCountInString(text) > most {
		f.Add(pointer, "must have at most %d characters", most)
	}
}

// CheckWhy notes a fault unless a text says why, or the like, and is short enough.
func (f *Faults) CheckWhy(pointer, text, why string) {
	if strings.TrimSpace(text) == "" {
		f.Add(pointer, "must say %s", why)
	}
	f.CheckLength(pointer, text, MaxText)
}

// CheckHappened notes a fault unless a day is today or an earlier one, within living memory.
func (f *Faults) CheckHappened(pointer string, on, today Date) {
	if n := on.DaysUntil(today); n < 0 || n > MaxDaysBack {
		f.Add(pointer, "must be today, %s, or earlier, at most 50 years ago, not %s", today, on)
	}
}

// MaxListedFaults is the most field faults that a refusal lists. Whoever has made more mistakes has
// made the same one many times.
const MaxListedFaults = 100

// JoinFaults returns the Invalid Faults among some errors as one, or the first error that is none.
func JoinFaults(errs ...error) error {
	var all Faults
	for _, err := range errs {
		var f *Fault
		switch {
		case err == nil:
		case errors.As(err, &f) && f.Kind == Invalid:
			all = append(all, f.Fields...)
		default:
			return err
		}
	}
	return all.Err()
}

// Full reports whether no more faults would be listed, so that looking for them can stop.
func (f Faults) Full() bool { return len(f) >= MaxListedFaults }

// Err returns an Invalid Fault with the first MaxListedFaults faults noted, or nil where there are
// none.
func (f Faults) Err() error {
	switch {
	case len(f) == 0:
		return nil
	case len(f) > MaxListedFaults:
		return &Fault{
			Kind: Invalid, Fields: f[:MaxListedFaults:MaxListedFaults],
			Detail: fmt.Sprintf("the request breaks a rule in %d places; the first %d are listed", len(f),
				MaxListedFaults),
		}
	}
	return &Fault{Kind: Invalid, Detail: oneBroken, Fields: f}
}

// RelativePointers cuts base off the pointers of a Fault, for a part of the request that a caller
// checks on its own: with base "#/findings/0", "#/findings/0/value" becomes "#/value". Any other
// error is returned unchanged.
func RelativePointers(err error, base string) error {
	return withPointers(err, func(pointer string) string {
		if rest, below := strings.CutPrefix(pointer, base); below {
			return "#" + rest
		}
		return pointer
	})
}

// PrefixPointers puts base before the pointers of a Fault that came of checking a part of the
// request: with base "#/ways/0", "#/edits/1" becomes "#/ways/0/edits/1". Any other error is
// returned unchanged.
func PrefixPointers(err error, base string) error {
	return withPointers(
		err, func(pointer string) string { return base + strings.TrimPrefix(pointer, "#") },
	)
}

// withPointers returns a copy of a Fault in which each pointer is changed by a function.
func withPointers(err error, change func(string) string) error {
	var f *Fault
	if !errors.As(err, &f) {
		return err
	}
	changed := *f
	changed.Fields = slices.Clone(f.Fields)
	for i, x := range changed.Fields {
		changed.Fields[i].Pointer = change(x.Pointer)
	}
	return &changed
}

// Text returns the fault in one sentence, without the pointers of its fields.
func (f *Fault) Text() string {
	if len(f.Fields) == 0 {
		return f.Detail
	}
	details := make([]string, len(f.Fields))
	for i, x := range f.Fields {
		details[i] = x.Detail
	}
	return strings.Join(details, "; ")
}
