package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// ledger is what the writers know, kept outside of the database: what was sent, and what of it was
// acknowledged under which id.
type ledger struct {
	t    *testing.T
	mu   sync.Mutex
	file *os.File
	sent map[string]uuid.UUID // marker → workshop
	kept map[string]string    // marker → id
	took []time.Duration
	bad  []string // answers that the service owes an apology for
	off  int      // answers of 503 with Retry-After, while something was down
}

func newLedger(t *testing.T) *ledger {
	t.Helper()
	f, err := os.Create(filepath.Join(t.TempDir(), "acknowledged"))
	if err != nil {
		t.Fatal(err)
	}
	return &ledger{t: t, file: f, sent: map[string]uuid.UUID{}, kept: map[string]string{}}
}

// acknowledge notes an acknowledged write and forces it to the disk, as the service must have done.
func (l *ledger) acknowledge(marker, id string, took time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.took = append(l.took, took)
	if before, again := l.kept[marker]; again {
		if before != id {
			l.bad = append(l.bad, fmt.Sprintf("%s was answered %s and then %s", marker, before, id))
		}
		return
	}
	l.kept[marker] = id
	_, err := fmt.Fprintln(l.file, marker, id)
	if err := errors.Join(err, l.file.Sync()); err != nil {
		l.t.Error(err)
	}
}

// writer sends writes, each with a key, until each is acknowledged.
type writer struct {
	*ledger
	shop     caller
	workshop uuid.UUID
	station  string
	rng      *rand.Rand
}

// write sends one write again and again until it is acknowledged. Sometimes it hangs up early, or
// asks once more although it has its answer.
func (w *writer) write(marker string) {
	path, body := "/v1/instruments", map[string]any{
		"kind": "grand", "owner": "stock", "maker": "Hartvig & Sohn", "size_mm": 1850, "notes": 88,
		"serial": marker,
	}
	switch w.rng.IntN(3) {
	case 0:
		path, body = "/v1/tokens", map[string]any{"note": marker}
	case 1:
		path, body = "/v1/absences", map[string]any{
			"station": w.station, "first": "2031-03-03", "last": "2031-03-03", "why": marker,
		}
	}
	w.mu.Lock()
	w.sent[marker] = w.workshop
	w.mu.Unlock()
	repeats := 0
	if w.rng.IntN(10) == 0 {
		repeats = 1
	}
	for deadline := time.Now().Add(3 * time.Minute); time.Now().Before(deadline); {
		ctx, cancel := context.WithTimeout(w.t.Context(), 20*time.Second)
		if w.rng.IntN(8) == 0 {
			ctx, cancel = context.WithTimeout(w.t.Context(), time.Duration(w.rng.IntN(15))*time.Millisecond)
		}
		start := time.Now()
		status, header, answer, err := w.post(ctx, path, marker, body)
		took := time.Since(start)
		cancel()
		var made struct {
			ID    string
			Token struct{ ID string }
		}
		switch {
		case err != nil: // cut off, by us or by them: the outcome is unknown
		case status == http.StatusCreated && json.Unmarshal(answer, &made) == nil:
			w.acknowledge(marker, made.ID+made.Token.ID, took) // one of the two
			if repeats == 0 {
				return
			}
			repeats--
			continue
		case status == http.StatusServiceUnavailable && header.Get("Retry-After") != "":
			w.mu.Lock()
			w.off++
			w.mu.Unlock()
		case status == http.StatusConflict: // the one before is still under way
		default:
			w.mu.Lock()
			w.bad = append(w.bad, fmt.Sprintf("%s %s: %d %s", path, marker, status, answer))
			w.mu.Unlock()
			return
		}
		time.Sleep(time.Duration(10+w.rng.IntN(40)) * time.Millisecond)
	}
	w.t.Errorf("%s was not answered within three minutes", marker)
}

func (w *writer) post(
	ctx context.Context, path, key string, body any,
) (int, http.Header, []byte, error) {
	b, err := json.Marshal(body)
	if err != nil {
		return 0, nil, nil, err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, w.shop.url+path, bytes.NewReader(b))
	if err != nil {
		return 0, nil, nil, err
	}
	r.Header.Set("Authorization", "Bearer "+w.shop.token)
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Idempotency-Key", `"`+key+`"`)
	a, err := client.Do(r)
	if err != nil {
		return 0, nil, nil, err
	}
	defer a.Body.Close() //nolint:errcheck // it is read
	answer, err := io.ReadAll(a.Body)
	return a.StatusCode, a.Header, answer, err
}

// underWriters lets writers of both workshops write while trouble is made, and then compares what
// they know with what the database holds.
func (s *stressed) underWriters(what string, writers int, trouble func()) row {
	s.t.Helper()
	l := newLedger(s.t)
	var over atomic.Bool
	var wait sync.WaitGroup
	prefix := fmt.Sprintf("%s-%d", strings.ReplaceAll(what, " ", "-")[:9], s.rng.Uint32())
	for n := range writers {
		shop := s.shops[n%len(s.shops)]
		w := &writer{
			ledger: l, shop: shop, workshop: shop.workshop(), station: shop.station(),
			rng: rand.New(rand.NewPCG(*stressSeed, uint64(n))), //nolint:gosec // replayable
		}
		wait.Go(func() {
			for i := 0; !over.Load(); i++ {
				w.write(fmt.Sprintf("%s-%d-%d", prefix, n, i))
				time.Sleep(5 * time.Millisecond)
			}
		})
	}
	trouble()
	over.Store(true)
	wait.Wait()
	r := l.compare(s, prefix)
	r.what = fmt.Sprintf("%s, %d writers, %d put off", what, writers, l.off)
	return r
}

// workshop returns the id of a caller's workshop.
func (c *caller) workshop() uuid.UUID {
	c.t.Helper()
	return uuid.MustParse(c.first("/v1/me", "workshop"))
}

// station adds a station to a caller's workshop and returns it.
func (c *caller) station() string {
	c.t.Helper()
	id := uuid.NewString()
	status, _, b := c.send(http.MethodPut, "/v1/stations/"+id, http.Header{"If-None-Match": {"*"}},
		[]byte(`{"name":"bench `+id[:8]+`","count":1,"room":"workshop"}`))
	if status != http.StatusCreated {
		c.t.Fatalf("add a station: %d %s", status, b)
	}
	return id
}

// first returns a text of an answer.
func (c *caller) first(path, member string) string {
	c.t.Helper()
	_, b := c.call(http.MethodGet, path, nil)
	var all map[string]any
	if err := json.Unmarshal(b, &all); err != nil {
		c.t.Fatalf("GET %s: %v %s", path, err, b)
	}
	text, _ := all[member].(string)
	return text
}

// compare asks the database itself, past the service, what became of the writes.
func (l *ledger) compare(s *stressed, prefix string) row {
	type stored struct {
		Marker   string
		Workshop uuid.UUID
		ID       string
	}
	rows, err := s.super().Query(s.t.Context(), `
		SELECT serial, workshop_id, id::text FROM instruments WHERE starts_with(serial, $1)
		UNION ALL SELECT note, workshop_id, id::text FROM tokens WHERE starts_with(note, $1)
		UNION ALL SELECT why, workshop_id, id::text FROM absences WHERE starts_with(why, $1)`, prefix)
	if err != nil {
		s.t.Fatal(err)
	}
	list, err := pgx.CollectRows(rows, pgx.RowToStructByPos[stored])
	if err != nil {
		s.t.Fatal(err)
	}
	r := row{acknowledged: len(l.kept), failed: len(l.bad), took: l.took}
	found := map[string]stored{}
	for _, x := range list {
		if _, twice := found[x.Marker]; twice {
			r.duplicated++
			s.t.Logf("duplicated: %+v", x)
		}
		found[x.Marker] = x
		if l.sent[x.Marker] != x.Workshop {
			r.leaked++
			s.t.Logf("in the wrong workshop: %+v", x)
		}
	}
	for marker, id := range l.kept {
		if found[marker].ID != id {
			r.lost++
			s.t.Logf("lost: %s, acknowledged as %s, is %+v", marker, id, found[marker])
		}
	}
	for _, what := range l.bad[:min(len(l.bad), 10)] {
		s.t.Log(what)
	}
	return r
}
