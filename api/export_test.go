package api

import (
	"context"
	"slices"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/labstack/echo/v4"
)

// What the external tests look at of the inside.
var (
	ParseKey      = parseKey
	AnyTagMatches = anyTagMatches
	VersionIn     = versionIn
	DerivedTag    = derivedTag
	Unpack        = unpack
)

// VersionTag is the tag of a version in the full view.
func VersionTag(version int64) string { return versionTag(version, fullView) }

// DefaultLimit is how many items a page has where the client does not say.
const DefaultLimit = defaultLimit

// Routes are the routes of the door, "GET /v1/bids/:id".
func (d *Door) Routes() []string {
	var list []string
	for _, r := range d.echo.Routes() {
		list = append(list, r.Method+" "+r.Path)
	}
	slices.Sort(list)
	return list
}

// RouterPath writes a path of the contract as the router does.
func RouterPath(path string) string { return routerPath(path) }

// ActOf is what the guard asks of an operation.
func ActOf(operation string) (domain.Act, bool) {
	act, ok := acts[operation]
	return act, ok
}

// GuardedOperations are the operations that the guard knows.
func GuardedOperations() []string {
	var list []string
	for id := range acts {
		list = append(list, id)
	}
	slices.Sort(list)
	return list
}

// Cursors signs places with a key.
type Cursors = cursors

// NewCursors makes Cursors.
func NewCursors(key []byte) (Cursors, error) { return newCursors(key) }

// Seal and Open are the two directions of a cursor.
func (c Cursors) Seal(list string, p postgres.Place) string { return c.seal(list, p) }

// Open reads a cursor.
func (c Cursors) Open(list, cursor string) (postgres.Place, error) { return c.open(list, cursor) }

// ProblemOf is the status and type of the problem that an error becomes.
func ProblemOf(err error) (status int, name, detail string, header map[string]string) {
	p := problemOf(err)
	return p.status, p.name, p.detail, p.header
}

// ProblemNames are the registered types.
func ProblemNames() []string {
	var list []string
	for _, t := range problemTypes {
		list = append(list, t.name)
	}
	return list
}

// DecodeJSON is the reader of bodies.
func DecodeJSON(data []byte) (any, error) { return decodeJSON(data) }

// Answer adds a route that is in no contract.
func (d *Door) Answer(path string, answer func(context.Context) error) {
	d.echo.GET(path, func(c echo.Context) error { return answer(c.Request().Context()) })
}
