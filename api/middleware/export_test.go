package middleware

import (
	"cmp"
	"context"
	"log/slog"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"
)

// What the external tests look at of the inside.
var (
	ParseKey   = parseKey
	DecodeJSON = decodeJSON
)

// GuardedOperations returns the operations that the guard knows.
func GuardedOperations() []string { return slices.Sorted(maps.Keys(permissions)) }

// Target is an operation with a body, and how long the lists in it may be.
type Target struct {
	Method, Path string
	Lists        map[string]int
}

// Doorway returns what every request with a body passes before its handler, which here takes
// anything, and all operations with a body.
func Doorway(tb testing.TB) (http.Handler, []Target) {
	tb.Helper()
	contract, err := theContract()
	if err != nil {
		tb.Fatal(err)
	}
	ch := &Chain{
		contract: contract, log: slog.New(slog.DiscardHandler), limit: 1 << 20,
		rehearse: func(ctx context.Context, run func(context.Context) error) error {
			return run(ctx)
		},
	}
	e := echo.New()
	e.HTTPErrorHandler = ch.renderError
	e.Use(ch.identify, ch.recover, ch.findOperation, ch.validate)
	var list []Target
	for key, op := range contract.operations {
		method, path, _ := strings.Cut(key, " ")
		e.Add(method, path, func(c echo.Context) error {
			_, err := fingerprint(c.Request())
			return err
		})
		if op.route.Operation.RequestBody == nil {
			continue
		}
		at := Target{method, parameter.ReplaceAllString(path, id), map[string]int{}}
		if op.body != nil {
			for name, p := range op.body.Value.Properties {
				if most := p.Value.MaxItems; most != nil {
					at.Lists[name] = int(*most) //nolint:gosec // at most thousands
				}
			}
		}
		list = append(list, at)
	}
	slices.SortFunc(list, func(a, b Target) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Method, b.Method))
	})
	return e, list
}

const id = "0190a6e0-0000-7000-8000-000000000001"

var parameter = regexp.MustCompile(`:[a-z]+`)
