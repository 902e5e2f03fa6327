package api

import (
	"context"
	"log/slog"
	"net/http"
	"time"

	"bentside/openapi"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// readyTimeout is how long the database may take to say that it is there.
const readyTimeout = 2 * time.Second

// serviceRoutes are what the service tells about itself without a token.
func (d *Door) serviceRoutes() {
	e := d.echo
	e.GET("/livez", d.getLiveness)
	e.GET("/readyz", d.getReadiness)
	e.GET("/metrics", echo.WrapHandler(promhttp.HandlerFor(d.figures.registry, promhttp.HandlerOpts{})))
	e.GET("/openapi.json", d.getContract)
	e.GET(problemPath+":type", getProblemType)
}

func (d *Door) getLiveness(c echo.Context) error {
	return c.JSON(http.StatusOK, openapi.Wellness{Status: openapi.WellnessStatusPass})
}

// getReadiness says why not in the log only: the answer is open to everybody.
func (d *Door) getReadiness(c echo.Context) error {
	if d.draining.Load() {
		return refuse(unavailable, "the service is stopping")
	}
	ctx, cancel := context.WithTimeout(c.Request().Context(), readyTimeout)
	defer cancel()
	if err := d.app.Ready(ctx); err != nil {
		d.log.LogAttrs(ctx, slog.LevelWarn, "not ready", slog.Any("error", err))
		return refuse(unavailable, "the database is not ready")
	}
	return c.JSON(http.StatusOK, openapi.Wellness{Status: openapi.WellnessStatusPass})
}

func (d *Door) getContract(c echo.Context) error {
	return c.Blob(http.StatusOK, jsonMediaType, d.contract.json)
}

func getProblemType(c echo.Context) error {
	for _, t := range problemTypes {
		if t.name == c.Param("type") {
			return c.String(http.StatusOK, t.title+"\n\n"+t.page+"\n")
		}
	}
	return refuse(notFound, "there is no such type of problem")
}
