package middleware

import (
	"context"

	"github.com/labstack/echo/v4"
)

// limitTime cancels the context of a request that takes too long.
func (ch *Chain) limitTime(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		ctx, cancel := context.WithTimeout(r.Context(), ch.timeout)
		defer cancel()
		c.SetRequest(r.WithContext(ctx))
		return next(c)
	}
}
