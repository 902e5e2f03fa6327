package api

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"bentside/api/problem"
	"bentside/openapi"

	"github.com/labstack/echo/v4"
)

// readyTimeout is how long the database may take to answer.
const readyTimeout = 2 * time.Second

// serviceRoutes registers what the service shows about itself without a token.
func (d *Door) serviceRoutes() {
	e := d.echo
	e.GET("/livez", d.getLiveness)
	e.GET("/readyz", d.getReadiness)
	e.GET("/openapi.json", d.getContract)
	e.GET(problem.Path+":type", getProblemType)
}

// getLiveness fails where only a new start of the process can help, so that a service manager acts.
func (d *Door) getLiveness(c echo.Context) error {
	if d.alive != nil {
		if err := d.alive(); err != nil {
			d.log.LogAttrs(
				c.Request().Context(), slog.LevelError, "not alive", slog.Any("error", err),
			)
			return problem.Refuse(problem.Unavailable, "the database is down and does not start")
		}
	}
	return c.JSON(http.StatusOK, openapi.Wellness{Status: openapi.WellnessStatusPass})
}

// getReadiness reports the reason in the log only, since anybody may ask.
func (d *Door) getReadiness(c echo.Context) error {
	if d.draining.Load() {
		return problem.Refuse(problem.Unavailable, "the service is stopping")
	}
	ctx, cancel := context.WithTimeout(c.Request().Context(), readyTimeout)
	defer cancel()
	if err := d.app.Ready(ctx); err != nil {
		d.log.LogAttrs(ctx, slog.LevelWarn, "not ready", slog.Any("error", err))
		return problem.Refuse(problem.Unavailable, "the database is not ready")
	}
	return c.JSON(http.StatusOK, openapi.Wellness{Status: openapi.WellnessStatusPass})
}

func (d *Door) getContract(c echo.Context) error {
	contract, err := publishedContract()
	if err != nil {
		return err
	}
	return c.Blob(http.StatusOK, echo.MIMEApplicationJSON, contract)
}

// publishedContract returns the contract as JSON; it is encoded once for the process.
var publishedContract = sync.OnceValues(func() ([]byte, error) {
	contract, err := openapi.Published()
	if err != nil {
		return nil, err
	}
	b, err := json.Marshal(contract)
	if err != nil {
		return nil, fmt.Errorf("write the contract as JSON: %w", err)
	}
	return b, nil
})

func getProblemType(c echo.Context) error {
	for _, t := range problem.Types {
		if t.Name == c.Param("type") {
			return c.String(http.StatusOK, t.Title+"\n\n"+t.Page+"\n")
		}
	}
	return problem.Refuse(problem.NotFound, "no such type of problem")
}
