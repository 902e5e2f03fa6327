package middleware

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

// arrival is what is known about a request before anything else.
type arrival struct {
	id     string
	url    *url.URL
	accept []string // the Accept headers
}

// identify gives each request an id, the client's own if it is well formed, and sets the headers of
// every answer.
func (ch *Chain) identify(next echo.HandlerFunc) echo.HandlerFunc {
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
		a := arrival{id: id, url: r.URL, accept: r.Header.Values(echo.HeaderAccept)}
		c.SetRequest(r.WithContext(context.WithValue(r.Context(), arrivalKey{}, a)))
		h := c.Response().Header()
		h.Set(requestIDHeader, id)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")
		h.Set("Cache-Control", "no-store")
		return next(c)
	}
}

// arrivalOf returns the arrival of the request of a context.
func arrivalOf(ctx context.Context) arrival {
	a, _ := ctx.Value(arrivalKey{}).(arrival)
	return a
}

// URL returns the address that the request of a context was sent to.
func URL(ctx context.Context) *url.URL { return arrivalOf(ctx).url }

// requestID returns the id of the request of a context.
func requestID(ctx context.Context) string { return arrivalOf(ctx).id }
