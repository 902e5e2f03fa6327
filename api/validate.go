package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/labstack/echo/v4"
)

const (
	jsonMediaType = "application/json"
	csvMediaType  = "text/csv"
)

// validate holds a request against the contract and reports everything that is
// wrong with it at once. What it passes on is what the handler decodes.
func (d *Door) validate(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op := operationOf(c)
		if op == nil || op.public {
			return next(c)
		}
		if err := d.takeBody(c, op); err != nil {
			return err
		}
		var faults fieldFaults
		r := c.Request()
		for name := range r.URL.Query() {
			if !op.query[name] {
				faults.add("#/query/"+escapePointer(name), "there is no such parameter")
			}
		}
		options := validationOptions
		_, other := bodyOf(r.Context()).([]byte)
		options.ExcludeRequestBody = other // of another sort than JSON: its handler reads it
		faults.collect("#", openapi3filter.ValidateRequest(r.Context(), &openapi3filter.RequestValidationInput{
			Request: r, PathParams: pathParameters(c), Route: op.route, Options: &options,
		}))
		faults.checkMeaning("#", bodyOf(r.Context()))
		if len(faults) > 0 {
			return refuseFields(faults.sorted())
		}
		return next(c)
	}
}

// validationOptions: the validated value is kept because the generated decoder
// would otherwise read the body a second time, ignoring the case of names.
var validationOptions = openapi3filter.Options{
	MultiError:              true,
	KeepValidatedValue:      true,
	SkipSettingDefaults:     true,
	AuthenticationFunc:      openapi3filter.NoopAuthenticationFunc,
	SchemaValidationOptions: []openapi3.SchemaValidationOption{openapi3.EnableFormatValidation()},
}

// takeBody reads the body of an operation that has one, whole and within the
// limit, and makes sure that JSON is one value in UTF-8. A body of another sort
// that the operation takes is for its handler to read.
func (d *Door) takeBody(c echo.Context, op *operation) error {
	if op.route.Operation.RequestBody == nil {
		return nil
	}
	r := c.Request()
	mediaType, _, err := mime.ParseMediaType(r.Header.Get(echo.HeaderContentType))
	if err != nil || !slices.Contains(op.mediaTypes, mediaType) {
		return refuse(unsupportedMediaType, "send the body as %s", strings.Join(op.mediaTypes, " or "))
	}
	limit := d.limit
	if mediaType == csvMediaType {
		limit *= rowsForJSON
	}
	data, err := io.ReadAll(http.MaxBytesReader(c.Response(), r.Body, limit))
	var tooLong *http.MaxBytesError
	switch {
	case errors.As(err, &tooLong):
		return refuse(tooLarge, "a body has at most %d bytes", limit)
	case err != nil:
		return refuse(malformed, "the body ended before it was whole")
	case mediaType == jsonMediaType && !utf8.Valid(data):
		return refuse(malformed, "the body is not UTF-8")
	}
	var value any = data
	if mediaType == jsonMediaType {
		if value, err = decodeJSON(data); err != nil {
			return err
		}
	}
	r = r.WithContext(context.WithValue(r.Context(), bodyKey{}, value))
	r.Body = io.NopCloser(bytes.NewReader(data))
	c.SetRequest(r)
	return nil
}

// rowsForJSON is how much larger than JSON a file of rows may be.
const rowsForJSON = 4

type bodyKey struct{}

// bodyOf is the body of the request: decoded JSON, or the bytes of a file; nil
// where it has none.
func bodyOf(ctx context.Context) any { return ctx.Value(bodyKey{}) }

// decodeJSON reads exactly one JSON value, numbers as they are written.
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
		return nil, refuse(malformed, "there is more after the JSON value, at byte %d", dec.InputOffset())
	}
	var syntax *json.SyntaxError
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, refuse(malformed, "the body is empty; a JSON object is needed")
	case errors.As(err, &syntax):
		return nil, refuse(malformed, "the body is not JSON: %v, at byte %d", syntax, syntax.Offset)
	default:
		return nil, refuse(malformed, "the body is not JSON: it ends in the middle")
	}
}

// pathParameters are the values in the path, unescaped.
func pathParameters(c echo.Context) map[string]string {
	params := map[string]string{}
	for i, name := range c.ParamNames() {
		value := c.ParamValues()[i]
		if plain, err := url.PathUnescape(value); err == nil && c.Request().URL.RawPath != "" {
			value = plain
		}
		params[name] = value
	}
	return params
}
