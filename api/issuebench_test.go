package api_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// writers write at once, and each writes so many issues in one turn.
const (
	writers   = 8
	perWriter = 25
)

// BenchmarkIssues issues parts to a job by eight writers at once, and inserts the rows that such an
// issue leaves, bare, through eight connections: without a request, a lock, a check or a kept
// total. The two take turns. Each writer has a part of its own, or all issue the same one. ×bare is
// how many times as long an issue takes.
func BenchmarkIssues(b *testing.B) {
	for _, parts := range []int{writers, 1} {
		b.Run(fmt.Sprintf("parts=%d", parts), func(b *testing.B) {
			s := openShop(b)
			j := jobUnderWay(b, s.as(domain.Owner))
			keeper := s.as(domain.Bookkeeper)
			class := newID(b).String()
			want[any](b, keeper.do(http.MethodPut, "/v1/part-classes/"+class,
				map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
			kept := make([]string, parts+1) // the last for the pattern of the bare rows
			for i := range kept {
				kept[i] = partOf(b, keeper, class, fmt.Sprint("W-", i))
				want[any](b, keeper.do(http.MethodPost, kept[i]+"/moves", map[string]any{
					"kind": "receipt", "quantity": "1000000", "value": amount("720000.00"),
				}), http.StatusCreated)
			}
			body := fmt.Sprintf(`{"kind":"issue","quantity":"1","job":"%s","operation":"%s"}`, j.ID,
				j.Tasks[0].Operation)
			sender := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: writers}}
			issue := func(part string) {
				if err := sent(b.Context(), sender, s, part+"/moves", body); err != nil {
					b.Error(err)
				}
			}
			issue(kept[parts])
			bare := newBareIssues(b, s, strings.TrimPrefix(kept[parts], "/v1/parts/"))
			var served, plain time.Duration
			n := 0
			for b.Loop() {
				served += atOnce(func(writer int) { issue(kept[writer%parts]) })
				plain += atOnce(func(int) { bare.insert(b) })
				n += writers * perWriter
			}
			b.ReportMetric(float64(n)/served.Seconds(), "issues/s")
			b.ReportMetric(float64(n)/plain.Seconds(), "bare/s")
			b.ReportMetric(served.Seconds()/plain.Seconds(), "×bare")
			b.ReportMetric(float64(bare.rows()), "rows/issue")
			b.ReportMetric(0, "ns/op") // the sum of both means nothing
		})
	}
}

// sent posts a body as the bookkeeper.
func sent(ctx context.Context, by *http.Client, s *shop, path, body string) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, s.url+path, strings.NewReader(body))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Authorization", "Bearer "+s.tokens[domain.Bookkeeper])
	resp, err := by.Do(r)
	if err != nil {
		return err
	}
	defer resp.Body.Close() //nolint:errcheck // it has been read
	answer, err := io.ReadAll(resp.Body)
	if err == nil && resp.StatusCode != http.StatusCreated {
		err = fmt.Errorf("answered %d: %s", resp.StatusCode, answer)
	}
	return err
}

// atOnce has every writer do something so many times, and returns how long that took.
func atOnce(do func(writer int)) time.Duration {
	var all sync.WaitGroup
	start := time.Now()
	for writer := range writers {
		all.Go(func() {
			for range perWriter {
				do(writer)
			}
		})
	}
	all.Wait()
	return time.Since(start)
}

// bareIssues inserts the rows of an issue under ids of their own.
type bareIssues struct {
	pool     *pgxpool.Pool
	patterns []pattern
	number   atomic.Int64 // counts moves and events, where nobody else does
}

// pattern is a row to insert, with the places of its values that must be new.
type pattern struct {
	sql     string
	values  []any
	move    []int // the id of the move
	own     []int // an id
	numbers []int
}

// issueRows are the rows that an issue leaves, besides totals that it changes; $1 is the move.
var issueRows = []struct{ table, where string }{
	{"stock_moves", "id = $1"},
	{"stock_entries", "move_id = $1"},
	{"cost_lines", "source_id = $1"},
	{"events", "recorded_at = (SELECT recorded_at FROM stock_moves WHERE id = $1)"},
}

// newBareIssues reads the rows of the newest move of a part.
func newBareIssues(b *testing.B, s *shop, part string) *bareIssues {
	b.Helper()
	c, err := pgxpool.ParseConfig(s.database)
	if err != nil {
		b.Fatal(err)
	}
	c.MaxConns, c.MinConns = writers, writers
	c.AfterConnect = func(ctx context.Context, x *pgx.Conn) error {
		_, err := x.Exec(ctx, `SELECT set_config('app.workshop', $1, false)`, s.owner.Workshop.String())
		return err
	}
	bare := &bareIssues{}
	if bare.pool, err = pgxpool.NewWithConfig(b.Context(), c); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(bare.pool.Close)
	var move uuid.UUID
	if err := bare.pool.QueryRow(b.Context(), `SELECT id FROM stock_moves WHERE part_id = $1
		ORDER BY number DESC LIMIT 1`, part).Scan(&move); err != nil {
		b.Fatal(err)
	}
	for _, x := range issueRows {
		list := bare.patternsOf(b, x.table, x.where, move)
		if len(list) == 0 {
			b.Fatalf("an issue leaves no row in %s", x.table)
		}
		bare.patterns = append(bare.patterns, list...)
	}
	bare.number.Store(1_000_000_000) // beyond all that the service counts
	return bare
}

func (x *bareIssues) rows() int { return len(x.patterns) }

func (x *bareIssues) patternsOf(b *testing.B, table, where string, move uuid.UUID) []pattern {
	b.Helper()
	rows, err := x.pool.Query(b.Context(), "SELECT * FROM "+table+" WHERE "+where, move)
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	var list []pattern
	for rows.Next() {
		p := pattern{}
		if p.values, err = rows.Values(); err != nil {
			b.Fatal(err)
		}
		var names, places []string
		for i, f := range rows.FieldDescriptions() {
			names = append(names, f.Name)
			places = append(places, fmt.Sprint("$", i+1))
			id, isID := p.values[i].([16]byte)
			switch {
			case isID && id == move:
				p.move = append(p.move, i)
			case f.Name == "id":
				p.own = append(p.own, i)
			case f.Name == "position" || f.Name == "number" && table == "stock_moves":
				p.numbers = append(p.numbers, i)
			}
		}
		p.sql = fmt.Sprintf("INSERT INTO %s (%s) VALUES (%s)", table, strings.Join(names, ", "),
			strings.Join(places, ", "))
		list = append(list, p)
	}
	if rows.Err() != nil {
		b.Fatal(rows.Err())
	}
	return list
}

// insert inserts the rows of one issue in one transaction.
func (x *bareIssues) insert(b *testing.B) {
	batch := &pgx.Batch{}
	move := uuid.New()
	for _, p := range x.patterns {
		values := append([]any(nil), p.values...)
		for _, i := range p.move {
			values[i] = move
		}
		for _, i := range p.own {
			values[i] = uuid.New()
		}
		for _, i := range p.numbers {
			values[i] = x.number.Add(1)
		}
		batch.Queue(p.sql, values...)
	}
	if err := x.pool.SendBatch(b.Context(), batch).Close(); err != nil {
		b.Error(err)
	}
}
