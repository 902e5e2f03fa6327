package middleware

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"bentside/api/problem"
	"bentside/domain"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"
)

// rehearsed are the operations in which people type many fields. Where a member breaks the
// contract, the others are held against the rules all the same, so that everything wrong stands in
// one answer. Each was looked through for rules that join several members: see TestFaultsAtOnce.
var rehearsed = map[string]bool{
	"putWorkshop": true, "putPerson": true, "putParty": true, "putStation": true,
	"createInstrument": true, "putInstrument": true,
	"createSurvey": true, "addFinding": true, "putFinding": true,
}

// maxStandIns bounds how often one request is rehearsed.
const maxStandIns = 8

// rehearseOthers returns the rules that a request with wrong members breaks besides. It runs the
// handler in a transaction that is rolled back, with other values in place of the wrong ones, and
// keeps what it is refused for each time. A rule about a wrong member, about what is in it or about
// what it is in isn't told: it may only follow from the value that stood in.
func (ch *Chain) rehearseOthers(
	c echo.Context, op *operation, wrong collector, next echo.HandlerFunc,
) problem.Fields {
	_, isJSON := bodyOf(c.Request().Context()).(map[string]any)
	if !rehearsed[op.id] || !isJSON || len(wrong.Fields) > domain.MaxListedFaults {
		return nil
	}
	times := 1
	for _, values := range wrong.standIns {
		times = max(times, len(values))
	}
	if times > maxStandIns {
		return nil
	}
	var common problem.Fields
	for n := range times {
		body, err := wrong.bodyWithStandIns(c.Request().Context(), n)
		if err != nil {
			return nil
		}
		found := ch.refusals(c, body, next)
		if n == 0 {
			common = found
		}
		common = slices.DeleteFunc(common, func(f openapi.FieldProblem) bool {
			return !slices.Contains(found, f)
		})
	}
	return slices.DeleteFunc(common, func(f openapi.FieldProblem) bool {
		return slices.ContainsFunc(wrong.Fields, func(x openapi.FieldProblem) bool {
			return within(f.Pointer, x.Pointer) || within(x.Pointer, f.Pointer)
		})
	})
}

// within reports whether a pointer is another one or below it.
func within(pointer, other string) bool { return strings.HasPrefix(pointer+"/", other+"/") }

// refusals returns the fields that a handler refuses a body for, and undoes whatever it does. The
// handler's answer is thrown away, and any other refusal or error with it; a panic too, since a
// handler may rely on the contract, which a body with members left out needn't keep.
func (ch *Chain) refusals(c echo.Context, body []byte, next echo.HandlerFunc) problem.Fields {
	response, request := c.Response(), c.Request()
	defer func() { c.SetResponse(response); c.SetRequest(request) }()
	run := func(ctx context.Context) (err error) {
		defer func() {
			if what := recover(); what != nil {
				err = fmt.Errorf("rehearse: %v", what)
			}
		}()
		r := request.Clone(ctx)
		r.Header.Del(idempotencyHeader) // what isn't done uses up no key
		r.Body, r.ContentLength = io.NopCloser(bytes.NewReader(body)), int64(len(body))
		c.SetResponse(echo.NewResponse(&recorder{header: http.Header{}}, c.Echo()))
		c.SetRequest(r)
		return next(c)
	}
	err := ch.rehearse(request.Context(), run)
	var refused *domain.Fault
	var p *problem.Problem
	if errors.As(err, &refused) || errors.As(err, &p) {
		return problem.Of(err).Fields()
	}
	return nil
}

// addStandIns notes what can stand in for a wrong member. What a choice may be, it is in turn; a
// number, a day and a free text are as in the contract's example, or some text. Anything else is
// left out, ids and codes above all, which would say something else altogether.
func (f *collector) addStandIns(at string, s *openapi3.Schema) {
	for s != nil && len(s.AllOf) == 1 && len(s.Enum) == 0 && s.Type == nil {
		s = s.AllOf[0].Value
	}
	var values []any
	switch {
	case s == nil:
		return
	case len(s.Enum) > 0:
		values = s.Enum
	case s.Pattern != "" || s.Format != "" && s.Format != "date":
		return
	case s.Example != nil:
		values = []any{s.Example}
	case s.Type.Is("string"):
		values = []any{"?"}
	default:
		return
	}
	if f.standIns == nil {
		f.standIns = map[string][]any{}
	}
	f.standIns[at] = values
}

// bodyWithStandIns returns the body of a request with the nth stand-in of each wrong member, or
// without the member where it has none. Elements of arrays keep their places.
func (f *collector) bodyWithStandIns(ctx context.Context, n int) ([]byte, error) {
	body, err := copyJSON(bodyOf(ctx))
	if err != nil {
		return nil, err
	}
	for _, x := range f.Fields {
		path := strings.Split(strings.TrimPrefix(x.Pointer, "#/"), "/")
		if x.Pointer == "#" {
			return nil, errors.New("the body as a whole is wrong")
		}
		values := f.standIns[x.Pointer]
		if len(values) == 0 {
			replaceAt(body, path, nil, true)
			continue
		}
		replaceAt(body, path, values[n%len(values)], false)
	}
	return json.Marshal(body)
}

// replaceAt puts a value at a path, or takes out what is there. A path to nowhere does nothing.
func replaceAt(in any, path []string, value any, out bool) {
	name := strings.NewReplacer("~1", "/", "~0", "~").Replace(path[0])
	switch v := in.(type) {
	case map[string]any:
		switch {
		case len(path) > 1:
			replaceAt(v[name], path[1:], value, out)
		case out:
			delete(v, name)
		default:
			v[name] = value
		}
	case []any:
		i, err := strconv.Atoi(name)
		switch {
		case err != nil || i < 0 || i >= len(v):
		case len(path) > 1:
			replaceAt(v[i], path[1:], value, out)
		default:
			v[i] = value
		}
	}
}
