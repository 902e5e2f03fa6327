package middleware

import (
	"maps"
	"slices"
	"strings"
	"sync"

	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/routers"
	"github.com/labstack/echo/v4"
)

// contract is openapi.yaml, indexed.
type contract struct {
	document   *openapi3.T
	operations map[string]*operation // by method and path pattern of the router: "GET /v1/bids/:id"
}

// operation is one operation of the contract.
type operation struct {
	id    string
	route *routers.Route
	query map[string]bool // names of the query parameters
	// Which of the two headers an operation accepts; neither unless it updates.
	ifMatch, ifNoneMatch bool
	public               bool                // needs no token
	mediaTypes           []string            // of its body, JSON first; empty where it has none
	body                 *openapi3.SchemaRef // of its body in JSON, or nil
}

// theContract is read once for the process and never changed. The tests of package openapi prove
// that it is valid.
var theContract = sync.OnceValues(readContract)

// readContract reads the contract, with its version changed to 3.0.3: for 3.1 the validator would
// compile a schema for every request, which is thirty times as slow.
func readContract() (*contract, error) {
	doc, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	doc.OpenAPI = "3.0.3"
	c := &contract{document: doc, operations: map[string]*operation{}}
	for path, item := range doc.Paths.Map() {
		for method, o := range item.Operations() {
			c.operations[method+" "+routerPath(path)] = newOperation(doc, path, item, method, o)
		}
	}
	return c, nil
}

func newOperation(
	doc *openapi3.T, path string, item *openapi3.PathItem, method string, o *openapi3.Operation,
) *operation {
	op := &operation{
		id:     o.OperationID,
		route:  &routers.Route{Spec: doc, Path: path, PathItem: item, Method: method, Operation: o},
		query:  map[string]bool{},
		public: o.Security != nil && len(*o.Security) == 0,
	}
	if o.RequestBody != nil {
		op.mediaTypes = slices.Sorted(maps.Keys(o.RequestBody.Value.Content))
		if json := o.RequestBody.Value.Content.Get(echo.MIMEApplicationJSON); json != nil {
			op.body = json.Schema
		}
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

// routerPath converts /v1/bids/{id} to /v1/bids/:id.
func routerPath(path string) string {
	return strings.NewReplacer("{", ":", "}", "").Replace(path)
}

const operationKey = "operation"

// findOperation notes which operation a request is for. A path or method that the router does not
// know is refused at the end of the chain.
func (ch *Chain) findOperation(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if op := ch.contract.operations[c.Request().Method+" "+c.Path()]; op != nil {
			c.Set(operationKey, op)
		}
		return next(c)
	}
}

// operationOf returns the operation that a request is for, or nil.
func operationOf(c echo.Context) *operation {
	op, _ := c.Get(operationKey).(*operation)
	return op
}
