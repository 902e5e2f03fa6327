package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// called is an operation of the contract, ready to be called.
type called struct {
	id, method, path string
	parameters       openapi3.Parameters
	body             *openapi3.RequestBody
}

// operations are those of the contract that need a token, in a steady order.
func operations(s *stressed) (list []called) {
	doc, err := openapi.Load()
	if err != nil {
		s.t.Fatal(err)
	}
	for path, item := range doc.Paths.Map() {
		for method, o := range item.Operations() {
			if o.Security != nil && len(*o.Security) == 0 {
				continue
			}
			x := called{id: o.OperationID, method: method, path: path}
			x.parameters = slices.Concat(item.Parameters, o.Parameters)
			if o.RequestBody != nil {
				x.body = o.RequestBody.Value
			}
			list = append(list, x)
		}
	}
	slices.SortFunc(list, func(a, b called) int { return strings.Compare(a.id, b.id) })
	return list
}

// headers are those that an operation demands.
func (o called) headers() http.Header {
	h := http.Header{}
	for _, p := range o.parameters {
		switch p.Value.Name {
		case "If-Match":
			h.Set("If-Match", `"v1"`)
		case "If-None-Match":
			if o.parameters.GetByInAndName("header", "If-Match") == nil {
				h.Set("If-None-Match", "*")
			}
		}
	}
	return h
}

// example returns an example of an operation's JSON body, nil without one.
func (o called) example() any {
	if o.body == nil || o.body.Content.Get("application/json") == nil {
		return nil
	}
	return o.body.Content.Get("application/json").Schema.Value.Example
}

var (
	anyUUID   = regexp.MustCompile(`[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}`)
	parameter = regexp.MustCompile(`\{[a-z]+\}`)
)

// pathWith fills in an operation's path.
func (o called) pathWith(id string) string {
	return parameter.ReplaceAllStringFunc(o.path, func(p string) string {
		switch p {
		case "{operation}":
			return "AC-10"
		case "{number}":
			return "1"
		}
		return id
	})
}

// send sends a request of a workshop; status 0 if there is no answer.
func (c *caller) send(
	method, path string, h http.Header, body []byte,
) (status int, header http.Header, answer []byte) {
	ctx, cancel := context.WithTimeout(c.t.Context(), 60*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, method, c.url+path, bytes.NewReader(body))
	if err != nil {
		return 0, nil, nil
	}
	r.Header = h.Clone()
	if r.Header == nil {
		r.Header = http.Header{}
	}
	r.Header.Set("Authorization", "Bearer "+c.token)
	if body != nil && r.Header.Get("Content-Type") == "" {
		r.Header.Set("Content-Type", "application/json")
	}
	a, err := client.Do(r)
	if err != nil {
		return 0, nil, nil
	}
	defer a.Body.Close() //nolint:errcheck // it is read
	answer, _ = io.ReadAll(a.Body)
	return a.StatusCode, a.Header, answer
}

// tenantMatrix calls every operation of the contract with the ids of another workshop, which the
// story of the demo has filled: in the path, in the query, and in the body of a request about
// things of the caller's own. No answer may show anything of the other, and none of its rows may
// change.
func (s *stressed) tenantMatrix(size stressSize) row {
	shop := s.freshShop("Larchmont")
	other, itself := s.tellDemo()
	db := s.super()
	secrets, ids := s.secretsOf(db, other, size.foreignIDs)
	_, header, answer := itself.send(http.MethodGet, "/v1/instruments", nil, nil)
	if shows(secrets, "", header, answer) == "" {
		s.t.Fatal("its own answers show nothing of the other workshop: a leak would not be seen")
	}
	before := s.rowsOf(db, other)
	own := s.ownIDs(db, shop.workshop())
	r := row{what: fmt.Sprintf("every operation × %d ids of another workshop", len(ids))}
	for _, o := range operations(s) {
		for _, id := range ids {
			for _, path := range s.waysWith(o, id, own) {
				var body []byte
				if example := o.example(); example != nil {
					b, err := json.Marshal(example)
					if err != nil {
						s.t.Fatal(err)
					}
					body = anyUUID.ReplaceAll(b, []byte(id))
				}
				start := time.Now()
				status, header, answer := shop.send(o.method, path, o.headers(), body)
				r.took = append(r.took, time.Since(start))
				r.acknowledged++
				if status >= http.StatusInternalServerError || status == 0 {
					r.failed++
					s.t.Logf("%s %s %s: %d %s", o.method, path, body, status, answer)
				}
				if shown := shows(secrets, id, header, answer); shown != "" {
					r.leaked++
					s.t.Logf("%s %s %s: %d shows %q", o.method, path, body, status, shown)
				}
			}
		}
	}
	for table, was := range before {
		if is := s.rowsOf(db, other)[table]; is != was {
			r.leaked++
			s.t.Logf("rows of %s of the other workshop have changed", table)
		}
	}
	return r
}

// foreignQuery are the parameters of a query that hold an id.
var foreignQuery = map[string]bool{"instrument": true, "party": true, "with": true}

// waysWith returns the ways to ask an operation for something with another's id.
func (s *stressed) waysWith(o called, id string, own map[string]string) (paths []string) {
	paths = append(paths, o.pathWith(id))
	segments := strings.Split(o.path, "/")
	mine, known := own[strings.ReplaceAll(segments[2], "-", "_")]
	if known && o.body != nil && strings.Contains(o.path, "{") {
		paths = append(paths, o.pathWith(mine))
		if strings.Count(o.path, "{") > 1 { // the first its own, the second another's
			paths = append(paths, strings.Replace(o.pathWith(id), id, mine, 1))
		}
	}
	for _, p := range o.parameters {
		if p.Value.In == "query" && foreignQuery[p.Value.Name] {
			path := o.pathWith(id)
			if known {
				path = o.pathWith(mine)
			}
			paths = append(paths, path+"?"+p.Value.Name+"="+id)
		}
	}
	return paths
}

// tellDemo tells the demo's story to the service's database and returns its workshop and owner.
func (s *stressed) tellDemo() (uuid.UUID, *caller) {
	s.t.Helper()
	store, err := postgres.Open(s.t.Context(), s.databaseURL(postgres.ServiceRole), 0)
	if err != nil {
		s.t.Fatal(err)
	}
	defer store.Close()
	clock, err := demo.NewClock()
	if err != nil {
		s.t.Fatal(err)
	}
	a := app.New(store, clock.Now, slog.New(slog.DiscardHandler))
	story, err := demo.Tell(s.t.Context(), a, func(string) {})
	if err == nil {
		err = story.Buy(s.t.Context(), a, func(string) {})
	}
	if err != nil {
		s.t.Fatal(err)
	}
	return story.Owner.Workshop, &caller{t: s.t, url: s.shops[0].url, token: story.Token}
}

// tablesOf returns the tables that hold rows of workshops, each with whether its rows have an id.
func (s *stressed) tablesOf(db *pgx.Conn) map[string]bool {
	rows, err := db.Query(s.t.Context(), `
		SELECT table_name, bool_or(column_name = 'id' AND data_type = 'uuid')
		FROM information_schema.columns
		WHERE table_schema = 'public' GROUP BY 1 HAVING bool_or(column_name = 'workshop_id')`)
	if err != nil {
		s.t.Fatal(err)
	}
	all := map[string]bool{}
	var table string
	var has bool
	if _, err := pgx.ForEachRow(rows, []any{&table, &has}, func() error {
		all[table] = has
		return nil
	}); err != nil {
		s.t.Fatal(err)
	}
	return all
}

func (s *stressed) texts(db *pgx.Conn, sql string, args ...any) []string {
	rows, err := db.Query(s.t.Context(), sql, args...)
	if err != nil {
		s.t.Fatal(err)
	}
	list, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		s.t.Fatalf("%s: %v", sql, err)
	}
	return list
}

// secretsOf returns what a workshop's rows say that no other may read, and ids of its things.
func (s *stressed) secretsOf(db *pgx.Conn, workshop uuid.UUID, each int) (secrets, ids []string) {
	for table, has := range s.tablesOf(db) {
		if !has {
			continue
		}
		all := s.texts(db, `SELECT id::text FROM `+table+` WHERE workshop_id = $1 ORDER BY id`, workshop)
		secrets = append(secrets, all...)
		ids = append(ids, all[:min(each, len(all))]...)
	}
	slices.Sort(ids)
	secrets = append(secrets, s.texts(db, `
		SELECT name FROM workshops WHERE id = $1
		UNION SELECT name FROM parties WHERE workshop_id = $1
		UNION SELECT name FROM users JOIN memberships ON user_id = id WHERE workshop_id = $1
		UNION SELECT maker FROM instruments WHERE workshop_id = $1
		UNION SELECT serial FROM instruments WHERE workshop_id = $1`, workshop)...)
	secrets = slices.DeleteFunc(secrets, func(text string) bool {
		// Digits turn up in ids and times, and some texts are examples, which we send ourselves.
		return len(text) < 5 || strings.Trim(text, "0123456789 ") == "" ||
			bytes.Contains(openapi.YAML, []byte(text))
	})
	if len(ids) < 10 || len(secrets) < 50 {
		s.t.Fatalf("%d ids and %d secrets prove little", len(ids), len(secrets))
	}
	return secrets, ids
}

// rowsOf returns a digest of a workshop's rows in each table.
func (s *stressed) rowsOf(db *pgx.Conn, workshop uuid.UUID) map[string]string {
	all := map[string]string{}
	for table := range s.tablesOf(db) {
		all[table] = s.texts(db, `SELECT md5(coalesce(string_agg(t::text, '|' ORDER BY t::text), ''))
			FROM `+table+` t WHERE workshop_id = $1`, workshop)[0]
	}
	return all
}

// ownIDs returns a thing of a workshop in each table. A token's would end the caller's own.
func (s *stressed) ownIDs(db *pgx.Conn, workshop uuid.UUID) map[string]string {
	own := map[string]string{}
	for table, has := range s.tablesOf(db) {
		if !has || table == "tokens" {
			continue
		}
		for _, id := range s.texts(db,
			`SELECT id::text FROM `+table+` WHERE workshop_id = $1 ORDER BY id LIMIT 1`, workshop) {
			own[table] = id
		}
	}
	return own
}

// shows returns what an answer shows of another workshop, apart from the id that was asked for.
func shows(secrets []string, id string, header http.Header, answer []byte) string {
	said := string(answer)
	for _, values := range header {
		said += "\n" + strings.Join(values, "\n")
	}
	for _, text := range secrets {
		if text != id && strings.Contains(said, text) {
			return text
		}
	}
	return ""
}
