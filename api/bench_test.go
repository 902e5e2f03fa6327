package api_test

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/labstack/echo/v4"
)

// The baseline of these benchmarks is a bare echo handler that sends the same
// SQL through pgx and writes the same sort of JSON, over the same loopback and
// to the same database, but knows no tokens, roles, contract, versions or
// metrics. Requests to the two take turns, so that both meet the same machine.

// bareRow is what the bare handler reads of an instrument: all of it.
type bareRow struct {
	ID                                uuid.UUID
	Kind, Owner, Maker, Model, Serial string
	StockNumber                       *string
	Year                              *int
	SizeMM, Notes                     int
	LastSingle, LastPair, Covered     *int
	Covering, Finish, Colour          string
	Decorated                         bool
	Action                            string
	Version                           int64
	CreatedAt                         time.Time
}

// serveBare serves the bare handlers for a workshop.
func serveBare(b *testing.B, databaseURL string, workshop uuid.UUID) string {
	b.Helper()
	pool, err := pgxpool.New(b.Context(), databaseURL)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(pool.Close)
	e := echo.New()
	e.GET("/instruments/:id", func(c echo.Context) error {
		batch := &pgx.Batch{}
		batch.Queue(`SELECT set_config('app.workshop', $1, true)`, workshop.String())
		batch.Queue(`
			SELECT id, kind, owner, maker, model, serial, stock_number, year, size_mm, notes, last_single, last_pair, covered,
			       covering, finish, colour, decorated, action, version, created_at
			FROM instruments
			WHERE workshop_id = $1 AND id = $2`, workshop, c.Param("id"))
		res := pool.SendBatch(c.Request().Context(), batch)
		defer res.Close() //nolint:errcheck // the rows have been read
		if _, err := res.Exec(); err != nil {
			return err
		}
		rows, err := res.Query()
		if err != nil {
			return err
		}
		row, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByPos[bareRow])
		if err != nil {
			return err
		}
		return c.JSON(http.StatusOK, row)
	})
	e.POST("/surveys/:id/findings", func(c echo.Context) error { return bareFinding(c, pool, workshop) })
	server := httptest.NewServer(e)
	b.Cleanup(server.Close)
	return server.URL
}

// bareFinding writes a finding with its event, as the store does.
func bareFinding(c echo.Context, pool *pgxpool.Pool, workshop uuid.UUID) error {
	var f struct{ Point, Where, Value, Unit string }
	if err := c.Bind(&f); err != nil {
		return err
	}
	id, err := uuid.NewV7()
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	begin := fmt.Sprintf("BEGIN; SELECT set_config('app.workshop', '%s', true)", workshop)
	tx, err := pool.BeginTx(ctx, pgx.TxOptions{BeginQuery: begin})
	if err != nil {
		return err
	}
	defer tx.Rollback(ctx) //nolint:errcheck // after a commit there is nothing to roll back
	for _, s := range []struct {
		sql  string
		args []any
	}{
		{`UPDATE surveys SET version = version + 1 WHERE id = $1`, []any{c.Param("id")}},
		{
			`INSERT INTO findings (workshop_id, id, survey_id, point, place, value, unit, canonical, answer, note, raise, created_at)
		  VALUES ($1, $2, $3, $4, $5, $6::text::numeric, $7, $6::text::numeric, '', '', '', now())`,
			[]any{workshop, id, c.Param("id"), f.Point, f.Where, f.Value, f.Unit},
		},
		{`WITH head AS (UPDATE heads SET feed_position = feed_position + 1 WHERE workshop_id = $1 RETURNING feed_position)
		  INSERT INTO events (workshop_id, position, kind, subject, recorded_at, actor, request_id, reason, data)
		  SELECT $1, feed_position, 'finding.added', $2, now(), $2, '', '', '{}' FROM head`, []any{workshop, id}},
	} {
		if _, err := tx.Exec(ctx, s.sql, s.args...); err != nil {
			return err
		}
	}
	if err := tx.Commit(ctx); err != nil {
		return err
	}
	return c.JSON(http.StatusCreated, map[string]any{"id": id, "point": f.Point, "value": f.Value, "unit": f.Unit})
}

// timed sends one request over a kept connection and gives how long it took.
func timed(b *testing.B, method, url, token, body string, status int) time.Duration {
	b.Helper()
	r, err := http.NewRequestWithContext(b.Context(), method, url, strings.NewReader(body))
	if err != nil {
		b.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Authorization", "Bearer "+token)
	start := time.Now()
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		b.Fatal(err)
	}
	answer, err := io.ReadAll(resp.Body)
	took := time.Since(start)
	resp.Body.Close() //nolint:errcheck,gosec // it has been read
	if err != nil || resp.StatusCode != status {
		b.Fatalf("%s %s: %d %s %v", method, url, resp.StatusCode, answer, err)
	}
	return took
}

// compare sends the same request to the service and to the bare handler by
// turns and reports the ratio of their times.
func compare(b *testing.B, ours, bare func() time.Duration) {
	b.Helper()
	ours() // the first request of each compiles patterns and opens connections
	bare()
	var a, c time.Duration
	n := 0
	for b.Loop() {
		a += ours()
		c += bare()
		n++
	}
	b.ReportMetric(float64(a.Microseconds())/float64(n), "µs/request")
	b.ReportMetric(float64(c.Microseconds())/float64(n), "µs/bare")
	b.ReportMetric(float64(a)/float64(c), "×bare")
	b.ReportMetric(0, "ns/op") // of both together: means nothing
}

// BenchmarkGetInstrument reads one instrument over loopback.
func BenchmarkGetInstrument(b *testing.B) {
	s := openShop(b)
	i, _ := surveyed(b, s.as(domain.Owner))
	bare := serveBare(b, s.database, s.owner.Workshop)
	compare(b,
		func() time.Duration {
			return timed(b, http.MethodGet, s.url+"/v1/instruments/"+i.ID.String(), s.tokens[domain.Owner], "", http.StatusOK)
		},
		func() time.Duration {
			return timed(b, http.MethodGet, bare+"/instruments/"+i.ID.String(), "", "", http.StatusOK)
		})
}

// BenchmarkPostFinding enters one finding over loopback.
func BenchmarkPostFinding(b *testing.B) {
	s := openShop(b)
	_, sv := surveyed(b, s.as(domain.Owner))
	bare := serveBare(b, s.database, s.owner.Workshop)
	const body = `{"point":"SV-03","where":"note 40","value":"47.5","unit":"mm"}`
	compare(b,
		func() time.Duration {
			return timed(b, http.MethodPost, s.url+"/v1/surveys/"+sv.ID.String()+"/findings", s.tokens[domain.Owner], body, http.StatusCreated)
		},
		func() time.Duration {
			return timed(b, http.MethodPost, bare+"/surveys/"+sv.ID.String()+"/findings", "", body, http.StatusCreated)
		})
}
