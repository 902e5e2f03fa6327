package middleware

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"mime"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"bentside/api/problem"

	"github.com/labstack/echo/v4"
)

const (
	csvMediaType = "text/csv"
	csvFactor    = 4 // a CSV body may be this many times as long as a JSON body
)

// takeBody reads the body of an operation that has one, up to the limit, and checks that JSON is
// one value in UTF-8. A body of another media type is left to its handler.
func (ch *Chain) takeBody(c echo.Context, op *operation) error {
	if op.route.Operation.RequestBody == nil {
		return nil
	}
	r := c.Request()
	mediaType, _, err := mime.ParseMediaType(r.Header.Get(echo.HeaderContentType))
	if err != nil || !slices.Contains(op.mediaTypes, mediaType) {
		return problem.Refuse(problem.UnsupportedMediaType,
			"send the body as %s", strings.Join(op.mediaTypes, " or "))
	}
	limit := ch.limit
	if mediaType == csvMediaType {
		limit *= csvFactor
	}
	data, err := io.ReadAll(http.MaxBytesReader(c.Response(), r.Body, limit))
	var tooLong *http.MaxBytesError
	switch {
	case errors.As(err, &tooLong):
		return problem.Refuse(problem.TooLarge, "a body may have at most %d bytes", limit)
	case err != nil:
		return problem.Refuse(problem.Malformed, "the body ended too early")
	case mediaType == echo.MIMEApplicationJSON && !utf8.Valid(data):
		return problem.Refuse(problem.Malformed, "the body must be UTF-8")
	}
	var value any = data
	if mediaType == echo.MIMEApplicationJSON {
		if value, err = decodeJSON(data); err != nil {
			return err
		}
		if err := checkMembersOnce(data); err != nil {
			return err
		}
		if value, data, err = withWholeNumbers(value, data); err != nil {
			return err
		}
	}
	r = r.WithContext(context.WithValue(r.Context(), bodyKey{}, value))
	r.Body = io.NopCloser(bytes.NewReader(data))
	c.SetRequest(r)
	return nil
}

type bodyKey struct{}

// bodyOf returns the body of the request: decoded JSON, or the bytes of a file; nil where there is
// none.
func bodyOf(ctx context.Context) any { return ctx.Value(bodyKey{}) }

// withWholeNumbers returns a decoded body, and its text, with numbers such as 5.0 and 1e2 written
// as 5 and 100: they are integers to JSON Schema, but not to encoding/json.
func withWholeNumbers(value any, data []byte) (any, []byte, error) {
	value, changed := wholeNumbers(value)
	if !changed {
		return value, data, nil
	}
	data, err := json.Marshal(value)
	return value, data, err
}

func wholeNumbers(value any) (_ any, changed bool) {
	switch v := value.(type) {
	case json.Number:
		return wholeNumber(v)
	case []any:
		for i, x := range v {
			whole, is := wholeNumbers(x)
			v[i], changed = whole, changed || is
		}
	case map[string]any:
		for name, x := range v {
			whole, is := wholeNumbers(x)
			v[name], changed = whole, changed || is
		}
	}
	return value, changed
}

// wholeNumber reads a number as a double, the only precision that JSON readers agree on (RFC 8259,
// section 6).
func wholeNumber(n json.Number) (_ json.Number, changed bool) {
	const exact = 1 << 53
	x, err := n.Float64()
	if err != nil || !strings.ContainsAny(n.String(), ".eE") ||
		x != math.Trunc(x) || math.Abs(x) > exact {
		return n, false
	}
	return json.Number(strconv.FormatInt(int64(x), 10)), true
}

// copyJSON copies a decoded body.
func copyJSON(value any) (any, error) {
	data, err := json.Marshal(value)
	if err != nil {
		return nil, err
	}
	return decodeJSON(data)
}

// decodeJSON decodes exactly one JSON value and keeps numbers as they were written.
func decodeJSON(data []byte) (any, error) {
	var value any
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	err := dec.Decode(&value)
	if err == nil {
		_, err = dec.Token()
		if errors.Is(err, io.EOF) {
			return value, nil
		}
		return nil, problem.Refuse(problem.Malformed,
			"only one JSON value is allowed; there is more at byte %d",
			dec.InputOffset())
	}
	var syntax *json.SyntaxError
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, problem.Refuse(problem.Malformed, "the body is empty; it must be a JSON object")
	case errors.As(err, &syntax):
		return nil, problem.Refuse(problem.Malformed, "the body is not JSON: %v, at byte %d",
			syntax, syntax.Offset)
	default:
		return nil, problem.Refuse(problem.Malformed, "the body is not JSON: it ends in the middle")
	}
}
