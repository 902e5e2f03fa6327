package middleware

import (
	"fmt"
	"net/http"
	"runtime/debug"

	"github.com/labstack/echo/v4"
)

// panicError is a panic that was caught, with its stack.
type panicError struct {
	value any
	stack []byte
}

func (e *panicError) Error() string { return fmt.Sprintf("panic: %v\n%s", e.value, e.stack) }

// recover turns a panic into an error, so that it ends one request and not the service.
func (ch *Chain) recover(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) (err error) {
		defer func() {
			switch v := recover(); v {
			case nil:
			case http.ErrAbortHandler: // the server's own way to drop a connection
				panic(v)
			default:
				err = &panicError{value: v, stack: debug.Stack()}
			}
		}()
		return next(c)
	}
}
