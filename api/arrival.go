package api

import (
	"context"
	"net/url"
	"regexp"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
)

const requestIDHeader = "X-Request-Id"

var wellFormedRequestID = regexp.MustCompile(`^[A-Za-z0-9._:-]{1,64}$`)

type arrivalKey struct{}

// arrival is what is known of a request before anything else.
type arrival struct {
	id  string
	url *url.URL
}

// identify gives each request an id, the client's own where it is well formed,
// and the headers that all answers carry.
func (d *Door) identify(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		id := r.Header.Get(requestIDHeader)
		if !wellFormedRequestID.MatchString(id) {
			made, err := uuid.NewV7()
			if err != nil {
				return err
			}
			id = made.String()
		}
		c.SetRequest(r.WithContext(context.WithValue(r.Context(), arrivalKey{}, arrival{id, r.URL})))
		h := c.Response().Header()
		h.Set(requestIDHeader, id)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")
		h.Set("Cache-Control", "no-store")
		return next(c)
	}
}

// arrivalOf is the arrival of the request that a context belongs to.
func arrivalOf(ctx context.Context) arrival {
	a, _ := ctx.Value(arrivalKey{}).(arrival)
	return a
}

// requestID is the id of the request that a context belongs to.
func requestID(ctx context.Context) string { return arrivalOf(ctx).id }
