package api

import (
	"context"
	"slices"

	"github.com/labstack/echo/v4"
)

// RenderInstrument and ReadInstrument are the two directions of an instrument.
var (
	RenderInstrument = renderInstrument
	ReadInstrument   = readInstrument
)

// Routes returns the routes of the door, such as "GET /v1/bids/:id".
func (d *Door) Routes() []string {
	var list []string
	for _, r := range d.echo.Routes() {
		list = append(list, r.Method+" "+r.Path)
	}
	slices.Sort(list)
	return list
}

// Answer adds a route that is not in the contract.
func (d *Door) Answer(path string, answer func(context.Context) error) {
	d.echo.GET(path, func(c echo.Context) error { return answer(c.Request().Context()) })
}
