package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/routers"
	"github.com/labstack/echo/v4"
)

// contract is openapi.yaml made ready for looking things up.
type contract struct {
	document   *openapi3.T
	json       []byte                // as it is published
	operations map[string]*operation // by method and path pattern of the router: "GET /v1/bids/:id"
}

// operation is one operation of the contract.
type operation struct {
	id    string
	route *routers.Route
	query map[string]bool // names of the query parameters
	// What may stand in for the version that was read; both empty where an
	// operation asks for none.
	ifMatch, ifNoneMatch bool
	public               bool     // needs no token
	mediaTypes           []string // of its body, JSON first; empty where it has none
}

// theContract is read once for the process; nothing changes it. That it is
// valid is proved by the tests of package openapi.
var theContract = sync.OnceValues(readContract)

// readContract reads the contract. Requests are validated by it with its
// version read as 3.0.3: for 3.1 a schema would be compiled for every request,
// thirty times as slow.
func readContract() (*contract, error) {
	shown, err := openapi.Published()
	if err != nil {
		return nil, err
	}
	published, err := json.Marshal(shown)
	if err != nil {
		return nil, fmt.Errorf("write the contract as JSON: %w", err)
	}
	doc, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	doc.OpenAPI = "3.0.3"
	c := &contract{document: doc, json: published, operations: map[string]*operation{}}
	for path, item := range doc.Paths.Map() {
		for method, o := range item.Operations() {
			c.operations[method+" "+routerPath(path)] = newOperation(doc, path, item, method, o)
		}
	}
	return c, nil
}

func newOperation(doc *openapi3.T, path string, item *openapi3.PathItem, method string, o *openapi3.Operation) *operation {
	op := &operation{
		id:     o.OperationID,
		route:  &routers.Route{Spec: doc, Path: path, PathItem: item, Method: method, Operation: o},
		query:  map[string]bool{},
		public: o.Security != nil && len(*o.Security) == 0,
	}
	if o.RequestBody != nil {
		op.mediaTypes = slices.Sorted(maps.Keys(o.RequestBody.Value.Content))
	}
	for _, p := range o.Parameters {
		switch {
		case p.Value.In == openapi3.ParameterInQuery:
			op.query[p.Value.Name] = true
		case p.Value.Name == "If-Match":
			op.ifMatch = true
		case p.Value.Name == "If-None-Match":
			op.ifNoneMatch = true
		}
	}
	return op
}

// routerPath writes /v1/bids/{id} as /v1/bids/:id.
func routerPath(path string) string {
	return strings.NewReplacer("{", ":", "}", "").Replace(path)
}

const operationKey = "operation"

// findOperation notes which operation a request is for; none where the router
// knows no such path or method, which is then refused at the end of the chain.
func (d *Door) findOperation(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if op := d.contract.operations[c.Request().Method+" "+c.Path()]; op != nil {
			c.Set(operationKey, op)
		}
		return next(c)
	}
}

// operationOf is the operation that a request is for, or nil.
func operationOf(c echo.Context) *operation {
	op, _ := c.Get(operationKey).(*operation)
	return op
}
