package api_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/labstack/echo/v4"
)

// The baseline of these benchmarks is a bare echo handler that sends the same SQL through pgx and
// writes the same sort of JSON, over the same loopback and to the same database, but knows no
// tokens, roles, contract, versions or metrics. Requests to the two take turns, so that both meet
// the same machine.

// bareRow is an instrument as the bare handler reads it: all of its columns.
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
		list, err := bareInstruments(c, pool, workshop, `id = $2`, c.Param("id"))
		if err != nil {
			return err
		}
		return c.JSON(http.StatusOK, list[0])
	})
	e.GET("/instruments", func(c echo.Context) error {
		list, err := bareInstruments(c, pool, workshop, `state = $2 ORDER BY created_at, id LIMIT 51`,
			c.QueryParam("state"))
		if err != nil {
			return err
		}
		return c.JSON(http.StatusOK, map[string]any{"items": list})
	})
	e.POST("/surveys/:id/findings", func(c echo.Context) error {
		return bareFinding(c, pool, workshop)
	})
	server := httptest.NewServer(e)
	b.Cleanup(server.Close)
	return server.URL
}

// bareInstruments reads instruments of a workshop, as the store does.
func bareInstruments(
	c echo.Context, pool *pgxpool.Pool, workshop uuid.UUID, which string, arg any,
) ([]bareRow, error) {
	batch := &pgx.Batch{}
	batch.Queue(`SELECT set_config('app.workshop', $1, true)`, workshop.String())
	batch.Queue(`
		SELECT id, kind, owner, maker, model, serial, stock_number, year, size_mm, notes,
		       last_single, last_pair, covered, covering, finish, colour, decorated, action,
		       version, created_at
		FROM instruments
		WHERE workshop_id = $1 AND `+which, workshop, arg)
	res := pool.SendBatch(c.Request().Context(), batch)
	defer res.Close() //nolint:errcheck // the rows have been read
	if _, err := res.Exec(); err != nil {
		return nil, err
	}
	rows, err := res.Query()
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[bareRow])
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
			`INSERT INTO findings (workshop_id, id, survey_id, point, place, value, unit, canonical,
			                       answer, note, raise, created_at)
			 VALUES ($1, $2, $3, $4, $5, $6::text::numeric, $7, $6::text::numeric, '', '', '', now())`,
			[]any{workshop, id, c.Param("id"), f.Point, f.Where, f.Value, f.Unit},
		},
		{
			`WITH head AS (
				UPDATE heads SET feed_position = feed_position + 1 WHERE workshop_id = $1
				RETURNING feed_position)
			 INSERT INTO events (workshop_id, position, kind, subject, recorded_at, actor, request_id,
			                     reason, data)
			 SELECT $1, feed_position, 'finding.added', $2, now(), $2, '', '', '{}' FROM head`,
			[]any{workshop, id},
		},
	} {
		if _, err := tx.Exec(ctx, s.sql, s.args...); err != nil {
			return err
		}
	}
	if err := tx.Commit(ctx); err != nil {
		return err
	}
	return c.JSON(http.StatusCreated, map[string]any{
		"id": id, "point": f.Point, "value": f.Value, "unit": f.Unit,
	})
}

// timed sends one request over a kept connection and returns how long it took.
func timed(b *testing.B, method, url, token, body string, status int) time.Duration {
	b.Helper()
	took, _ := exchanged(b, method, url, token, body, status)
	return took
}

// exchanged is timed and returns the answer too.
func exchanged(b *testing.B, method, url, token, body string, status int) (time.Duration, []byte) {
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
	return took, answer
}

// compare sends the same request to the service and to the bare handler by turns and reports the
// ratio of their times.
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
	b.ReportMetric(0, "ns/op") // the sum of both means nothing
}

// BenchmarkGetInstrument reads one instrument over loopback.
func BenchmarkGetInstrument(b *testing.B) {
	s := openShop(b)
	i, _ := surveyed(b, s.as(domain.Owner))
	bare := serveBare(b, s.database, s.owner.Workshop)
	compare(b,
		func() time.Duration {
			return timed(b, http.MethodGet, s.url+"/v1/instruments/"+i.ID.String(),
				s.tokens[domain.Owner], "", http.StatusOK)
		},
		func() time.Duration {
			return timed(b, http.MethodGet, bare+"/instruments/"+i.ID.String(), "", "", http.StatusOK)
		})
}

// BenchmarkPostFinding records one finding over loopback.
func BenchmarkPostFinding(b *testing.B) {
	s := openShop(b)
	_, sv := surveyed(b, s.as(domain.Owner))
	bare := serveBare(b, s.database, s.owner.Workshop)
	const body = `{"point":"SV-03","where":"note 40","value":"47.5","unit":"mm"}`
	compare(b,
		func() time.Duration {
			return timed(b, http.MethodPost, s.url+"/v1/surveys/"+sv.ID.String()+"/findings",
				s.tokens[domain.Owner], body, http.StatusCreated)
		},
		func() time.Duration {
			return timed(b, http.MethodPost, bare+"/surveys/"+sv.ID.String()+"/findings",
				"", body, http.StatusCreated)
		})
}

// BenchmarkListInstruments lists the first 50 of what is ready, out of 100,000 instruments of the
// workshop.
func BenchmarkListInstruments(b *testing.B) {
	b.Run("instruments=100000", func(b *testing.B) {
		s := openShop(b)
		conn, err := pgx.Connect(b.Context(), s.database)
		if err != nil {
			b.Fatal(err)
		}
		defer conn.Close(b.Context()) //nolint:errcheck // the database goes with the benchmark
		for _, q := range []struct {
			sql  string
			args []any
		}{
			{`SELECT set_config('app.workshop', $1, false)`, []any{s.owner.Workshop.String()}},
			{`INSERT INTO instruments (workshop_id, id, kind, owner, state, maker, model, serial,
			                          stock_number, size_mm, notes, covering, finish, colour,
			                          decorated, action, created_at)
			 SELECT current_workshop(), gen_random_uuid(), 'grand', 'stock',
			        (ARRAY['waiting', 'in_work', 'ready', 'gone'])[1 + n % 4],
			        'Aldermere', '', n::text, 'S-' || n, 1850, 88, '', '', '', false, '',
			        now() - n * interval '1 minute'
			 FROM generate_series(1, 100000) AS n`, nil},
		} {
			if _, err := conn.Exec(b.Context(), q.sql, q.args...); err != nil {
				b.Fatal(err)
			}
		}
		bare := serveBare(b, s.database, s.owner.Workshop)
		compare(b,
			func() time.Duration {
				return timed(b, http.MethodGet, s.url+"/v1/instruments?state=ready&limit=50",
					s.tokens[domain.Owner], "", http.StatusOK)
			},
			func() time.Duration {
				return timed(b, http.MethodGet, bare+"/instruments?state=ready", "", "", http.StatusOK)
			})
	})
}

// BenchmarkBuyersHour draws a scope, estimates it and bids at that depth, three requests in all,
// against three bare reads of one row.
func BenchmarkBuyersHour(b *testing.B) {
	s := openShop(b)
	i, sv := surveyed(b, s.as(domain.Owner))
	token, at := s.tokens[domain.Owner], s.url+"/v1/instruments/"+i.ID.String()
	bare := serveBare(b, s.database, s.owner.Workshop)
	post := func(url string, body map[string]any, into any) time.Duration {
		text, err := json.Marshal(body)
		if err != nil {
			b.Fatal(err)
		}
		took, answer := exchanged(b, http.MethodPost, url, token, string(text), http.StatusCreated)
		if err := json.Unmarshal(answer, into); err != nil {
			b.Fatal(err)
		}
		return took
	}
	compare(b,
		func() time.Duration {
			var scope openapi.Scope
			took := post(at+"/scopes", map[string]any{"survey": sv.ID, "depth": "restore"}, &scope)
			took += timed(b, http.MethodGet, s.url+"/v1/scopes/"+scope.ID.String()+"/estimate",
				token, "", http.StatusOK)
			var bid openapi.Bid
			return took + post(at+"/bids", map[string]any{
				"survey": sv.ID, "transport_in": amount("380.00"),
				"ways": []any{
					map[string]any{
						"depth": "restore", "sale_price": amount("48500.00"), "scope": scope.ID,
					},
				},
			}, &bid)
		},
		func() time.Duration {
			var took time.Duration
			for range 3 {
				took += timed(b, http.MethodGet, bare+"/instruments/"+i.ID.String(), "", "", http.StatusOK)
			}
			return took
		})
}
