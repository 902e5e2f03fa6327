package middleware

import (
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/api/problem"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/labstack/echo/v4"
)

// validate checks a request against the contract and refuses it with everything that is wrong,
// rules included where they can be told already. The handler decodes exactly what has been checked
// here.
func (ch *Chain) validate(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op := operationOf(c)
		if op == nil || op.public {
			return next(c)
		}
		if err := ch.takeBody(c, op); err != nil {
			return err
		}
		r := c.Request()
		wrong := collector{Fields: unreadable(r.URL.RawQuery)}
		if err := wrong.Err(); err != nil {
			return err // what is left out of the query would be missed below
		}
		for name, values := range r.URL.Query() {
			switch at := "#/query/" + problem.EscapePointer(name); {
			case !op.query[name]:
				wrong.Add(at, "unknown parameter")
			case len(values) > 1:
				wrong.Add(at, "must be given once, not %d times", len(values))
			case slices.ContainsFunc(values, unstorable):
				wrong.Add(at, "must be UTF-8 without the character U+0000")
			}
		}
		checkLengths(&wrong.Fields, "#", op.body, bodyOf(r.Context()))
		if err := wrong.Err(); err != nil {
			return err
		}
		options := validationOptions
		_, other := bodyOf(r.Context()).([]byte)
		options.ExcludeRequestBody = other // not JSON: the handler reads it
		wrong.collect(
			"#", openapi3filter.ValidateRequest(r.Context(), &openapi3filter.RequestValidationInput{
				Request: r, PathParams: pathParameters(c), Route: op.route, Options: &options,
			}))
		checkMeaning(&wrong.Fields, "#", bodyOf(r.Context()))
		if len(wrong.Fields) > 0 {
			wrong.Fields = append(wrong.Fields, ch.rehearseOthers(c, op, wrong, next)...)
			return wrong.Err()
		}
		return next(c)
	}
}

// unreadable returns the parameters that net/url leaves out of a query without a word.
func unreadable(query string) problem.Fields {
	var wrong problem.Fields
	for pair := range strings.SplitSeq(query, "&") {
		at, _, _ := strings.Cut(pair, "=")
		at, _, _ = strings.Cut(at, ";")
		at = "#/query/" + problem.EscapePointer(at)
		if strings.Contains(pair, ";") {
			wrong.Add(at, "must not hold a semicolon; separate parameters by &, and write %%3B in a value")
		} else if _, err := url.QueryUnescape(pair); err != nil {
			wrong.Add(at, "must have two hexadecimal digits after each %%; write %%25 for the sign itself")
		}
	}
	return wrong
}

// unstorable reports whether the database cannot store a text, so that searching for it is a
// mistake.
func unstorable(text string) bool {
	return !utf8.ValidString(text) || strings.ContainsRune(text, 0)
}

// validationOptions keep the validated value because the generated decoder would otherwise read the
// body a second time, ignoring the case of names.
var validationOptions = openapi3filter.Options{
	MultiError:              true,
	KeepValidatedValue:      true,
	SkipSettingDefaults:     true,
	AuthenticationFunc:      openapi3filter.NoopAuthenticationFunc,
	SchemaValidationOptions: []openapi3.SchemaValidationOption{openapi3.EnableFormatValidation()},
}

// pathParameters returns the values in the path, unescaped.
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
