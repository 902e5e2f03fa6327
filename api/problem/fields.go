package problem

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/openapi"
)

// Fields collects what is wrong with the parameters and the body of a request.
type Fields []openapi.FieldProblem

// Add notes one fault at a JSON pointer.
func (f *Fields) Add(pointer, format string, args ...any) {
	*f = append(*f, openapi.FieldProblem{Pointer: pointer, Detail: fmt.Sprintf(format, args...)})
}

// Err returns a validation problem that lists every fault once, in the order of the pointers, up to
// [domain.MaxListedFaults]; nil where nothing was noted.
func (f Fields) Err() error {
	if len(f) == 0 {
		return nil
	}
	slices.SortFunc(f, func(a, b openapi.FieldProblem) int {
		return cmp.Or(cmp.Compare(a.Pointer, b.Pointer), cmp.Compare(a.Detail, b.Detail))
	})
	f = slices.Compact(f)
	p := Refuse(validation, "%d things are wrong with the request", len(f))
	if len(f) == 1 {
		p.detail = "one thing is wrong with the request"
	}
	if len(f) > domain.MaxListedFaults {
		p.detail += fmt.Sprintf("; the first %d are listed", domain.MaxListedFaults)
		f = f[:domain.MaxListedFaults]
	}
	p.fields = f
	return p
}

// RefuseField returns a validation problem of one parameter or member.
func RefuseField(pointer, format string, args ...any) error {
	var f Fields
	f.Add(pointer, format, args...)
	return f.Err()
}

// EscapePointer writes a name as a part of a JSON pointer (RFC 6901).
func EscapePointer(name string) string { return pointerEscapes.Replace(name) }

var pointerEscapes = strings.NewReplacer("~", "~0", "/", "~1") // which takes 6 kB to make
